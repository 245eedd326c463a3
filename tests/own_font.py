"""A font of a board's own."""

from __future__ import annotations

from pathlib import Path

from fontTools.ttLib import TTFont

from animatic.fonts import font_file

__all__ = ["save_own_font"]


def save_own_font(file: Path, characters: str) -> None:
    """Write a font with characters that the built-in one lacks: they look like an A."""
    with TTFont(font_file(None)) as font:
        for table in font["cmap"].tables:
            table.cmap.update({ord(c): "A" for c in characters})
        for record in font["name"].names:
            record.string = "Own Letters"
        font.save(file)
