"""Words on a PDF page: a font that covers what boards are written in, measured and cut."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from reportlab.lib.utils import simpleSplit
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont

from animatic.fonts import font_file, missing_characters, plain_text
from animatic.leftwards import MARKS, in_sight_order, is_leftwards, joined, marked

__all__ = ["Face", "face_for"]

_UNREADABLE = "?"
"""Stands for a character that the font lacks; a finding names them."""
_ELLIPSIS = "…"


@dataclass(frozen=True, slots=True)
class Face:
    """A font that is embedded in the page; sizes and widths in points."""

    name: str
    font: Path | None

    def plain(self, text: str) -> str:
        """Return a text as one line, with a sign in place of what the font lacks.

        Its letters are in the order in which they are read; `draw` puts them as they are seen.
        """
        text = plain_text(text)
        missing = set(missing_characters(text, self.font))
        known = "".join(_UNREADABLE if c in missing else c for c in text) if missing else text
        return joined(known, self.font)

    def width(self, text: str, size: float) -> float:
        """Return how wide a text is."""
        return float(pdfmetrics.stringWidth(text.lstrip(MARKS), self.name, size))

    def draw(self, canvas: Any, x: float, y: float, text: str, size: float) -> None:
        """Put a line on the page, its base line at y."""
        canvas.setFont(self.name, size)
        canvas.drawString(x, y, in_sight_order(self.plain(text), is_leftwards(text)))

    def wrap(self, text: str, size: float, width: float) -> list[str]:
        """Return a text in lines of at most `width`; a longer word is broken."""
        lines = simpleSplit(self.plain(text), self.name, size, width)
        parts = [part for line in lines for part in self._broken(line, size, width)]
        return marked(parts, text)

    def _broken(self, line: str, size: float, width: float) -> list[str]:
        parts = []
        while self.width(line, size) > width and len(line) > 1:
            fits = len(line) - 1
            while fits > 1 and self.width(line[:fits], size) > width:
                fits -= 1
            parts.append(line[:fits])
            line = line[fits:]
        return [*parts, line]

    def fitted(self, text: str, size: float, width: float) -> str:
        """Return a text that fits, ended with an ellipsis where it had to be cut."""
        text = self.plain(text)
        if self.width(text, size) <= width:
            return text
        for end in range(len(text) - 1, 0, -1):
            cut = text[:end].rstrip() + _ELLIPSIS
            if self.width(cut, size) <= width:
                return cut
        return _ELLIPSIS

    def cut(self, lines: list[str], most: int, size: float, width: float) -> list[str]:
        """Return at most so many lines; the last ends with an ellipsis where more were there."""
        if len(lines) <= most:
            return lines
        kept = lines[: max(1, most)]
        last = kept[-1]
        while last and self.width(last + _ELLIPSIS, size) > width:
            last = last[:-1].rstrip()
        return [*kept[:-1], last + _ELLIPSIS]


@lru_cache(maxsize=8)
def face_for(font: Path | None) -> Face:
    """Return the board's font, or the built-in one where a PDF cannot embed the board's.

    PDF pages take TrueType outlines; an OpenType font with PostScript outlines stays in the
    film alone. MachineError where the built-in font is not there.
    """
    for file, asked in ((font_file(font), font), (font_file(None), None)):
        name = str(file) if asked else "built-in"
        try:
            pdfmetrics.registerFont(TTFont(name, str(file)))
        except TTFError:
            continue
        return Face(name, asked)
    raise AssertionError("the built-in font is TrueType")
