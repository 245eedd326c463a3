"""PDF pages drawn by hand: paper sizes, two weights of lettering, lines, boxes, pictures.

Lengths are in points (1/72 inch) from the top left, as people read. The same content always
gives the same bytes.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from typing import Any, Literal

from reportlab import rl_config
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from animatic.fonts import font_file, missing_characters
from animatic.leftwards import in_sight_order, is_leftwards
from animatic.sheets.paper import Face, face_for
from animatic.sheets.rows import one_line
from animatic.sheets.wrapping import wrapped

__all__ = ["ELSEWHERE", "PAPERS", "Align", "Page", "Stroke", "mm"]

PAPERS: dict[str, tuple[float, float]] = {"a4": A4, "letter": LETTER}
"""Paper sizes by name: ISO 216 A4, and 8.5 x 11 inches."""
ELSEWHERE = "… (whole on the shot list)"
"""Ends what no page holds, on papers other than the shot list."""
Align = Literal["left", "centre", "right"]
Stroke = tuple[float, float, float, float]
"""A straight line: x and y of both its ends."""
_BOLD = "built-in-bold"
_LEAST_NAME = 9.0
"""Points of a name in one line."""


@lru_cache(maxsize=1)
def _bold_face() -> Face:
    plain = font_file(None)
    bold = plain.with_name("DejaVuSans-Bold.ttf")
    pdfmetrics.registerFont(TTFont(_BOLD, str(bold if bold.is_file() else plain)))
    return Face(_BOLD, None)


class Page:
    """A PDF being drawn page by page; the current page is that after the last `turn`.

    `font` is the board's own: it letters what the built-in one lacks.
    """

    def __init__(
        self, paper: str, title: str, *, wide: bool = False, font: Path | None = None
    ) -> None:
        # Streams as bytes, not in letters: smaller, and much faster written.
        rl_config.useA85 = 0
        size: tuple[float, float] = PAPERS[paper]
        self.width, self.height = reversed(size) if wide else size
        self._file = BytesIO()
        self.canvas: Any = Canvas(self._file, (self.width, self.height), invariant=1)
        self.canvas.setTitle(one_line(title))
        self.canvas.setCreator("animatic")
        self._images: dict[bytes, Any] = {}
        self._plain, self._bold, self._other = face_for(None), _bold_face(), face_for(font)

    def lay(self, *, across: bool) -> None:
        """Lay the current page, and those after it, across or upright."""
        short, long = sorted((self.width, self.height))
        self.width, self.height = (long, short) if across else (short, long)
        self.canvas.setPageSize((self.width, self.height))

    def _set(self, words: str, bold: bool) -> tuple[str, Face]:
        """Return the words and the face that has them."""
        face = self._bold if bold else self._plain
        if words.isascii() and words.isprintable():
            return words, face
        if self._other.font is not None and _lacks(words, None):
            face = self._other
        return face.plain(words), face

    def text(
        self,
        x: float,
        baseline: float,
        words: str,
        size: float,
        *,
        bold: bool = False,
        width: float | None = None,
        least: float | None = None,
        align: Align = "left",
    ) -> None:
        """Letter a line; `x` is its left, its middle or its right.

        What is wider than `width` is lettered smaller, down to `least`, and then cut; without
        `least` it is cut.
        """
        leftwards = is_leftwards(words)
        words, face = self._set(words, bold)
        if width is not None:
            if least is not None:
                # A hair less, or the error of a float would cut what was made to fit.
                fits = 0.999 * size * width / (face.width(words, size) or 1.0)
                size = max(least, min(size, fits))
            words = face.fitted(words, size, width)
        if align != "left":
            wide = face.width(words, size)
            x -= wide if align == "right" else wide / 2
        self.canvas.setFont(face.name, size)
        self.canvas.setFillGray(0)
        self.canvas.drawString(x, self.height - baseline, in_sight_order(words, leftwards))

    def name(self, x: float, baseline: float, words: str, size: float, width: float) -> None:
        """Letter a name in bold, whole: smaller in one line, or in two from nine points down."""
        if self.width_of(words, _LEAST_NAME, bold=True) <= width:
            self.text(x, baseline, words, size, bold=True, width=width, least=_LEAST_NAME)
            return
        for half in range(round(2 * _LEAST_NAME), 5, -1):
            size = half / 2

            def fits(line: str, size: float = size) -> bool:
                return self.width_of(line, size, bold=True) <= width

            lines = wrapped(words, fits)
            if len(lines) <= 2:
                break
        for index, line in enumerate(lines[:2]):
            # A little lower than one line, clear of the rule above it.
            low = baseline + 2 - 1.1 * size * (len(lines) - 1 - index)
            self.text(x, low, line, size, bold=True)

    def width_of(self, words: str, size: float, *, bold: bool = False) -> float:
        """Return how wide words are."""
        words, face = self._set(words, bold)
        return face.width(words, size)

    def wrapped(
        self, words: str, size: float, width: float, most: int | None = None, *, bold: bool = False
    ) -> list[str]:
        """Return words in lines of at most a width; of more than `most`, the last is cut."""
        words, face = self._set(words, bold)
        lines = face.wrap(words, size, width)
        return lines if most is None else face.cut(lines, most, size, width)

    def lines(self, strokes: Sequence[Stroke], weight: float) -> None:
        """Draw straight lines of one weight in black."""
        self.canvas.setLineWidth(weight)
        self.canvas.setStrokeGray(0)
        self.canvas.lines([(a, self.height - b, c, self.height - d) for a, b, c, d in strokes])

    def rule(self, x0: float, y: float, x1: float, weight: float = 0.6) -> None:
        """Draw a level line."""
        self.lines([(x0, y, x1, y)], weight)

    def box(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        *,
        fill: float | None = None,
        weight: float = 0.6,
    ) -> None:
        """Draw a box, top left at x, y; `fill` is a grey from 0 to 1, `weight` 0 leaves no edge."""
        self.canvas.setLineWidth(weight)
        self.canvas.setStrokeGray(0)
        if fill is not None:
            self.canvas.setFillGray(fill)
        down = self.height - y - height
        self.canvas.rect(x, down, width, height, stroke=int(weight > 0), fill=int(fill is not None))

    def picture(self, x: float, y: float, width: float, height: float, jpeg: bytes) -> float:
        """Put a JPEG with a thin edge, as large as it goes, into a box; return its height."""
        reader = self._images.get(jpeg)
        if reader is None:
            reader = self._images[jpeg] = ImageReader(BytesIO(jpeg))
        across, down = reader.getSize()
        scale = min(width / across, height / down)
        wide, high = float(across * scale), float(down * scale)
        self.canvas.drawImage(reader, x, self.height - y - high, wide, high)
        self.box(x, y, wide, high, weight=0.4)
        return high

    def turn(self) -> None:
        """End the page and begin the next."""
        self.canvas.showPage()

    def finished(self) -> bytes:
        """Return the PDF."""
        self.canvas.save()
        return self._file.getvalue()


@lru_cache(maxsize=4096)
def _lacks(words: str, font: Path | None) -> bool:
    return bool(missing_characters(words, font))
