"""A place at which a reader of YAML gave up, and what stands around it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import yaml

from animatic.board.text.scalars import scalar
from animatic.board.text.textlines import BREAK, line_end, line_start

__all__ = ["Found", "Spot", "quoted"]

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_LONGEST_QUOTE = 90
Found = tuple[int, str, str]
"""Where a fault lies in the text, what was found, and a hint."""


def quoted(key: str, text: str) -> str:
    """Return a key with its text in quotes, as a hint shows it.

    >>> quoted("line", "Well, the tide is late.")
    'line: "Well, the tide is late."'
    """
    bare = text.strip().strip("\u201c\u201d\u201e\u201f\u2018\u2019\u201a")
    whole = f"{key}: {scalar(bare, chr(34))}"
    return whole if len(whole) <= _LONGEST_QUOTE else f"{whole[: _LONGEST_QUOTE - 5]} ...{chr(34)}"


@dataclass(frozen=True, slots=True)
class Spot:
    """Where the reader gave up (`at`), where what it was about begins, and its words."""

    text: str
    at: int
    opened: int
    context: str
    problem: str

    @property
    def here(self) -> str:
        """The character at which it gave up; empty at the text's end."""
        return self.text[self.at : self.at + 1]

    def line(self, at: int) -> str:
        """The line of a position."""
        return self.text[line_start(self.text, at) : line_end(self.text, at)]

    def above(self, at: int) -> list[tuple[int, str]]:
        """The lines with words above a position's line, with their starts, nearest first."""
        found, start = [], 0
        stop = line_start(self.text, at)
        while start < stop:
            end = line_end(self.text, start)
            if self.text[start:end].strip() and not self.text[start:end].lstrip().startswith("#"):
                found.append((start, self.text[start:end]))
            after = BREAK.match(self.text, end)
            start = after.end() if after else stop
        return found[::-1]

    def column(self, at: int) -> int:
        """Return how far in its line a position stands, from 0."""
        return at - line_start(self.text, at)

    def last_quoted(self) -> tuple[int, int, str]:
        """Return start, end and mark of the last text in quotes that begins before the self."""
        last = 0, 0, ""
        for token in self._tokens():
            if isinstance(token, yaml.ScalarToken) and token.style in ("'", '"'):
                last = token.start_mark.index, token.end_mark.index, token.style
        return last

    def last_opened(self) -> int | None:
        """Return the place of the innermost brace or bracket that is open at the self."""
        opened: list[int] = []
        for token in self._tokens():
            if isinstance(token, yaml.FlowMappingStartToken | yaml.FlowSequenceStartToken):
                opened.append(token.start_mark.index)
            elif isinstance(token, yaml.FlowMappingEndToken | yaml.FlowSequenceEndToken) and opened:
                opened.pop()
        return opened[-1] if opened else None

    def _tokens(self) -> Iterator[Any]:
        """Yield the reader's tokens up to the self."""
        try:
            for token in yaml.scan(self.text, _Loader):
                if token.start_mark.index >= self.at:
                    return
                yield token
        except yaml.YAMLError:
            return
