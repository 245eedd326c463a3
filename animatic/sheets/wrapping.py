"""Words in lines, wherever it is known what fits: on a sheet, on a card, in a bar of a chart."""

from __future__ import annotations

import re
from collections.abc import Callable

from animatic.leftwards import marked

__all__ = ["wrapped"]

_TOKEN = re.compile(r"\s*[^\s_-]+[_-]*|\s*[_-]+")


def wrapped(words: str, fits: Callable[[str], bool]) -> list[str]:
    """Return words in lines that fit; the names of files also go on after `_` and `-`.

    >>> wrapped("gulls, harbour_engine_far", lambda line: len(line) < 15)
    ['gulls,', 'harbour_', 'engine_far']
    >>> wrapped("Remembering", lambda line: len(line) < 7)
    ['Rememb', 'ering']
    """
    lines = [""]
    for token in _TOKEN.findall(words):
        if fits(lines[-1] + token):
            lines[-1] += token
            continue
        lines.append(token.lstrip())
        while not fits(lines[-1]) and len(lines[-1]) > 1:
            line = lines.pop()
            end = next((n for n in range(len(line) - 1, 1, -1) if fits(line[:n])), 1)
            lines += [line[:end], line[end:]]
    return marked([line for line in lines if line], words)
