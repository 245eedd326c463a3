"""The columns of an exposure sheet's PDF, and how many rows a page holds.

Nothing is lettered smaller than `LEAST` where it can be helped: at that size small letters are
1.7 mm high, about 10 minutes of arc at 60 cm, an arm's length, and twice what normal sight makes
out (letters of 5 minutes; value from memory, as in ISO 8596). Where the columns do not fit, or what
is rigged or heard would have to be smaller, the page is laid across. What has no room even there is
whole, but smaller: what is rigged down to 4.5 points, words in a cell down to 4.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from animatic.sheets.exposure import Exposed
from animatic.sheets.exposurewords import effects, mouths, whole_words
from animatic.sheets.pdfpage import mm

__all__ = [
    "LEAST",
    "LEAST_ROW",
    "MOST_ROWS",
    "MOST_ROWS_ACROSS",
    "Column",
    "columns",
    "fit_upright",
    "rows_a_page",
]

LEAST = 9.0
"""Points of the smallest lettering."""
LEAST_ROW = 4.3 * mm
"""The lowest row: its letters are `LEAST` high."""
MOST_ROWS, MOST_ROWS_ACROSS = 50, 33
"""Rows that are not lower, on a page upright or across."""
_LEAST_NOTES = 10 * mm
_FAIR_NOTES = 20 * mm
"""What notes keep where other columns are widened."""
_MOST_WORDS = 60 * mm
_MOVES = ("left", "top", "width")


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its key, what stands at its head, and where it lies, in points."""

    key: str
    heading: str
    x: float
    width: float


def rows_a_page(nominal: int, most: int = MOST_ROWS) -> int:
    """Return the rows of a page: whole seconds; at 30 and 60 also halves and quarters of them.

    >>> [rows_a_page(rate) for rate in (12, 24, 25, 30, 60)]
    [48, 48, 50, 45, 45]
    >>> [rows_a_page(rate, MOST_ROWS_ACROSS) for rate in (12, 24, 25, 30, 60)]
    [24, 24, 25, 30, 30]
    """
    whole = most // nominal * nominal
    return max(whole, most // 15 * 15) if nominal >= 30 else whole


def _wanted(rows: Sequence[Exposed]) -> Iterator[tuple[str, str, float]]:
    """Yield the columns that a shot needs, but for the notes; what is empty is left out."""
    moves = any(row.step for row in rows)
    yield "frame", "frame", 12 * mm
    yield "part", "", 15 * mm
    yield "film", "film", 12 * mm
    yield "pose", "pose", 24 * mm
    yield "tick", "done", 10 * mm
    yield "panel", "panel", (20 if moves else 26) * mm
    if any(row.said for row in rows):
        yield "said", "dialogue", 30 * mm
    if any(said.mouth for row in rows for said in row.said):
        yield "mouth", "mouth", 26 * mm
    if any(row.effects for row in rows):
        yield "effects", "effects", 17 * mm
    for key in _MOVES if moves else ():
        yield key, f"{key} %", 24 * mm


def fit_upright(rows: Sequence[Exposed], width: float) -> bool:
    """Return whether the columns of a shot's rows fit a width, with some room for notes."""
    needed: float = _LEAST_NOTES + sum(wide for _, _, wide in _wanted(rows))
    return needed <= width


def columns(
    rows: Sequence[Exposed],
    left: float,
    width: float,
    width_of: Callable[[str], float] = lambda words: 0.0,
) -> dict[str, Column]:
    """Return the columns of a shot by key, from `left` on; notes take what is left over.

    `width_of` measures words at the least size: their columns are as wide as their words, as far
    as the notes can give way.
    """
    found, at, wanted = {}, left, list(_wanted(rows))
    more = _widened(rows, {key: wide for key, _, wide in wanted}, width, width_of)
    for key, heading, wide in wanted:
        wide += more.get(key, 0.0)
        found[key] = Column(key, heading, at, wide)
        at += wide
    found["notes"] = Column("notes", "notes", at, left + width - at)
    return found


def _widened(
    rows: Sequence[Exposed],
    wide: Mapping[str, float],
    width: float,
    width_of: Callable[[str], float],
) -> dict[str, float]:
    """Return what the columns of words take from the notes, the spoken ones first."""
    spare = width - sum(wide.values()) - _FAIR_NOTES
    more = {}
    for key, cells in (("said", whole_words), ("effects", effects), ("mouth", mouths)):
        if key in wide and (words := cells(rows)):
            longest = min(max(map(width_of, words.values())) + 5, _MOST_WORDS)
            more[key] = max(0.0, min(longest - wide[key], spare))
            spare -= more[key]
    return more
