"""Where the pictures of panels stand on a page of an exposure sheet.

A picture lies under its panel's number where there are rows enough. Of a panel of few rows it
lies beside the number, its top in the row where the panel starts, and reaches as far into the
rows below as the next panel's own picture can spare.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from animatic.sheets.exposure import Exposed

__all__ = ["Pictured", "pictured"]

_SIDE, _GAP = 3.0, 4.0
"""Points kept free at the left of a picture, and under it."""
_TALLEST = 1.2
"""Heights of a picture beyond this many widths of the column take too many rows."""


@dataclass(frozen=True, slots=True)
class Pictured:
    """A panel's picture and words on a page, in points from the column's top left."""

    row: Exposed
    at: int
    """The index of its row on the page."""
    words: str
    x: float
    y: float
    width: float
    height: float

    @property
    def low(self) -> float:
        """Where the picture ends."""
        return self.y + self.height


@dataclass(frozen=True, slots=True)
class _Column:
    """The column: its width and the height of a row, the pictures' width to height, lettering."""

    width: float
    step: float
    shape: float
    width_of: Callable[[str], float]

    def shaped(self, width: float, height: float) -> tuple[float, float]:
        """Return the largest picture of that shape in a box."""
        height = max(0.0, min(height, width / self.shape))
        return height * self.shape, height

    def whole(self) -> float:
        """Return how high a picture of the column's width is."""
        return min(_TALLEST * self.width, (self.width - 2 * _SIDE) / self.shape)

    def beside(self, *words: str) -> float:
        """Return where a picture begins beside words."""
        return max(map(self.width_of, words)) + 2 + _SIDE


def pictured(
    rows: Sequence[Exposed],
    width: float,
    step: float,
    shape: float,
    width_of: Callable[[str], float],
) -> list[Pictured]:
    """Return the pictures of a page's rows, each where its panel starts, or goes on at the top.

    `width` is the column's and `step` a row's height in points, `shape` a picture's width by its
    height; `width_of` measures words as they are lettered.
    """
    starts = [i for i, row in enumerate(rows) if i == 0 or row.starts_panel]
    # In the head the first panel has not begun; where it does, its picture comes soon.
    if len(starts) > 1 and rows[0].panel is rows[starts[1]].panel:
        starts = starts[1:]
    spans = list(zip(starts, [*starts[1:], len(rows)], strict=True))
    return list(_laid(rows, spans, _Column(width, step, shape, width_of)))


def _laid(
    rows: Sequence[Exposed], spans: Sequence[tuple[int, int]], column: _Column
) -> Iterator[Pictured]:
    step, reach = column.step, 0.0
    for number, (at, end) in enumerate(spans):
        row, is_reached = rows[at], reach > at * step
        words = _words(row, whole=not is_reached)
        top = max((at + 1) * step, reach + _GAP / 2)
        under = column.shaped(
            column.width - 2 * _SIDE, min(end * step - _GAP - top, column.whole())
        )
        short = _words(row, whole=False)
        after = spans[number + 1] if number + 1 < len(spans) else None
        low = _free(end, after, column)
        reaches = after is not None and low > end * step
        next_to = [short, str(rows[after[0]].panel.number)] if after and reaches else [short]
        x = column.beside(*next_to)
        beside = column.shaped(column.width - x - 2, low - 1 - at * step - 1)
        if is_reached or under[1] >= min(beside[1], column.whole()):
            found = Pictured(row, at, words, _SIDE, top, *under)
        else:
            found = Pictured(row, at, short, x, at * step + 1, *beside)
        reach = found.low
        yield found


def _words(row: Exposed, *, whole: bool) -> str:
    number = str(row.panel.number)
    if not row.starts_panel:
        return f"still {number}"
    return f"panel {number}" if whole else number


def _free(end: int, after: tuple[int, int] | None, column: _Column) -> float:
    """Return how far down a panel's picture may reach that ends before a row."""
    own = end * column.step
    if after is None:
        return own
    return max(own, after[1] * column.step - 2 * _GAP - column.whole())
