"""How charts are lettered: as it stands, in the built-in font and the board's own behind it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from animatic.fonts import missing_characters, plain_text
from animatic.sheets.paper import face_for

if TYPE_CHECKING:
    from matplotlib.figure import Figure

__all__ = ["lettered", "measured", "plain"]

_UNREADABLE = "?"


@contextmanager
def lettered(font: Path | None) -> Iterator[None]:
    """Let what is drawn meanwhile have a board's font where the built-in one lacks a glyph.

    Words are never taken for formulas, whatever signs are in them.
    """
    import matplotlib as mpl

    families = ["DejaVu Sans", *_family(face_for(font).font)]
    with mpl.rc_context({"font.size": 9, "font.family": families, "text.parse_math": False}):
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
