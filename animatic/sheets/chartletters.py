"""How charts are lettered: as it stands, in the built-in font and the board's own behind it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from animatic.fonts import missing_characters, plain_text
from animatic.sheets.paper import face_for
from animatic.sheets.wrapping import wrapped

if TYPE_CHECKING:
    from matplotlib.figure import Figure

__all__ = ["LINE_INCHES", "lettered", "measured", "plain", "title_lines"]

_UNREADABLE = "?"
_SIZE = 9.0
"""Points of a chart's lettering."""
_TITLE = 1.2 * _SIZE
"""Points of its title: what matplotlib makes of `large`."""
_MOST_LINES = 5
LINE_INCHES = 1.2 * _TITLE / 72
"""How much higher a chart is with another line of title, in inches."""


@contextmanager
def lettered(font: Path | None) -> Iterator[None]:
    """Let what is drawn meanwhile have a board's font where the built-in one lacks a glyph.

    Words are never taken for formulas, whatever signs are in them.
    """
    import matplotlib as mpl

    families = ["DejaVu Sans", *_family(face_for(font).font)]
    with mpl.rc_context({"font.size": _SIZE, "font.family": families, "text.parse_math": False}):
        yield


@lru_cache(maxsize=8)
def _family(font: Path | None) -> tuple[str, ...]:
    if font is None:
        return ()
    from matplotlib.font_manager import FontProperties, fontManager

    fontManager.addfont(str(font))
    return (FontProperties(fname=str(font)).get_name(),)


def measured(figure: Figure, words: str, size: float) -> tuple[float, float]:
    """Return width and height of a line of words on a figure, in points, at a size in points."""
    text = figure.text(0, 0, words, fontsize=size)
    box = text.get_window_extent()
    text.remove()
    return box.width * 72 / figure.dpi, box.height * 72 / figure.dpi


def plain(words: str, font: Path | None) -> str:
    """Return words as one line, with a sign in place of what neither font has.

    >>> plain("the\\n鯨", None)
    'the ?'
    """
    words = plain_text(words)
    missing = missing_characters(words, None)
    other = face_for(font).font
    if missing and other is not None:
        missing = missing_characters(missing, other)
    return "".join(_UNREADABLE if letter in missing else letter for letter in words)


def title_lines(title: str, what: str, wide: float, font: Path | None) -> list[str]:
    """Return a chart's title, and what it shows, in lines of at most `wide` points.

    >>> title_lines("Low Water", "shot lengths", 130, None)
    ['Low Water: shot', 'lengths']
    """
    face = face_for(None)

    def fits(line: str) -> bool:
        lacking = missing_characters(line, None)
        # A letter of another font is taken to be as wide as it is high.
        known = "".join(letter for letter in line if letter not in lacking)
        return face.width(known, _TITLE) + _TITLE * (len(line) - len(known)) <= wide

    title = plain(title, font)
    lines = wrapped(f"{title}: {what}", fits)
    while len(lines) > _MOST_LINES and len(title) > 1:
        title = title[: len(title) * 9 // 10]
        lines = wrapped(f"{title.rstrip()}…: {what}", fits)
    return lines
