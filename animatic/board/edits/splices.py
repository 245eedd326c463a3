"""Putting pieces of text in the place of others."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from animatic.errors import InternalError

__all__ = ["Splice", "spliced"]


@dataclass(frozen=True, slots=True)
class Splice:
    """The characters [start, end) are to become `words`."""

    start: int
    end: int
    words: str


def spliced(text: str, splices: Iterable[Splice]) -> str:
    """Return the text with all splices made; those at one place stand in the order given.

    InternalError where two of them overlap.

    >>> spliced("a: 1, b: 2", [Splice(9, 10, "3"), Splice(4, 4, " # one")])
    'a: 1 # one, b: 3'
    """
    pieces, at = [], 0
    for splice in sorted(splices, key=lambda splice: (splice.start, splice.end)):
        if splice.start < at:
            raise InternalError("two changes of the board's text overlap")
        pieces += [text[at : splice.start], splice.words]
        at = splice.end
    return "".join([*pieces, text[at:]])
