"""Where the names of shots stand on a chart of columns, so that none touches another.

All measures are in points. A name lies level over its column where every name has room there;
else every name stands upright over its own column; else the names stand in a row of their own
above the columns, pushed apart, each with a line down to its column. Where a row has no room
for all names, the chart has several rows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from animatic.frames import ceil_div

__all__ = ["Way", "most_in_a_row", "rows_of", "spread", "way_of"]

Way = Literal["level", "upright", "above"]

_GAP = 1.5
"""Between two names."""
_MARGIN = 4.0
"""Of a level name within its column, on both sides together."""


@dataclass(frozen=True, slots=True)
class _Pool:
    """Neighbouring names that stand as close as they may."""

    names: int
    mean: float


def most_in_a_row(height: float, width: float) -> int:
    """Return how many upright names of a letter height stand in a width, one at the least.

    >>> most_in_a_row(9.5, 660)
    60
    """
    return max(1, int(width / (height + _GAP)))


def rows_of(frames: Sequence[int], most: int) -> list[range]:
    """Return shots, by index, in as few rows as hold `most` each, with the longest row short.

    >>> rows_of([10, 10, 10, 10, 40], 3)
    [range(0, 3), range(3, 5)]
    """
    wanted = ceil_div(len(frames), most)
    low, high = max(frames), sum(frames)
    while low < high:
        middle = (low + high) // 2
        if len(_filled(frames, most, middle)) <= wanted:
            high = middle
        else:
            low = middle + 1
    return _filled(frames, most, high)


def _filled(frames: Sequence[int], most: int, longest: int) -> list[range]:
    """Return rows of at most so many shots and frames, each as full as can be."""
    rows, first, length = [], 0, 0
    for index, count in enumerate(frames):
        if index > first and (length + count > longest or index - first == most):
            rows.append(range(first, index))
            first, length = index, 0
        length += count
    return [*rows, range(first, len(frames))]


def way_of(
    lengths: Sequence[float], heights: Sequence[float], columns: Sequence[float], rows: int
) -> Way:
    """Return how names of these lengths and letter heights stand over columns of these widths."""
    if rows == 1:
        if all(n + _MARGIN <= wide for n, wide in zip(lengths, columns, strict=True)):
            return "level"
        if max(heights) + _GAP <= min(columns):
            return "upright"
    return "above"


def spread(wanted: Sequence[float], height: float, width: float) -> list[float]:
    """Return places for upright names, as near to the rising ones wanted as can be (in squares).

    `height` is that of the letters; the places lie in 0 to `width`, which must hold them all.

    >>> spread([10, 12, 100], 8.5, 200)
    [6.0, 16.0, 100.0]
    >>> spread([1, 2], 8.5, 200)
    [5.0, 15.0]
    """
    step = height + _GAP
    pools: list[_Pool] = []
    for index, place in enumerate(wanted):
        pool = _Pool(1, place - index * step)
        while pools and pools[-1].mean >= pool.mean:
            before = pools.pop()
            names = before.names + pool.names
            mean = (before.mean * before.names + pool.mean * pool.names) / names
            pool = _Pool(names, mean)
        pools.append(pool)
    free = [pool.mean for pool in pools for _ in range(pool.names)]
    last = width - step / 2 - (len(free) - 1) * step
    return [max(step / 2, min(place, last)) + index * step for index, place in enumerate(free)]
