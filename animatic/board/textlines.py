"""Lines of a text as YAML 1.1 parts them, by character positions."""

from __future__ import annotations

import re

from animatic.errors import Place

__all__ = ["BREAK", "line_end", "line_start", "place_in"]

BREAK = re.compile("\r\n|[\r\n\x85\u2028\u2029]")
"""What ends a line in YAML 1.1 (5.4), and for both readers of PyYAML."""


def line_start(text: str, at: int) -> int:
    """Return where the line of a position begins.

    >>> line_start("a: b" + chr(10) + "c: d", 7)
    5
    """
    while at and not (BREAK.match(text, at - 1) and text[at - 1 : at + 1] != "\r\n"):
        at -= 1
    return at


def line_end(text: str, at: int) -> int:
    """Return where the line of a position ends, before its line break.

    >>> line_end("a: b" + chr(10) + "c: d", 1)
    4
    """
    found = BREAK.search(text, at)
    return found.start() if found else len(text)


def place_in(text: str, at: int, file: str) -> Place:
    """Return the place of a position.

    >>> str(place_in("a: b" + chr(10) + "c: d", 8, "b.yaml"))
    'b.yaml:2:4'
    """
    start = line_start(text, at)
    return Place(file, sum(1 for _ in BREAK.finditer(text, 0, start)) + 1, at - start + 1)
