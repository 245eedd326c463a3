"""A page that notes what is drawn on it and where: letters, rules, boxes, pictures."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import combinations
from typing import Any

import pytest

from animatic.sheets.pdfpage import Page, Stroke

CAPITALS, SMALL = 0.729, 0.547
"""Heights of the built-in font's capitals and small letters, in parts of its size (OS/2 table)."""


@dataclass(frozen=True)
class Piece:
    """What is drawn in a rectangle, in points from the page's top left."""

    what: str
    left: float
    top: float
    right: float
    low: float
    size: float = 0.0

    def meets(self, other: Piece, slack: float = 0.2) -> bool:
        return (
            self.left + slack < other.right
            and other.left + slack < self.right
            and self.top + slack < other.low
            and other.top + slack < self.low
        )


@dataclass
class Drawn:
    """One page."""

    width: float
    height: float
    texts: list[Piece] = field(default_factory=list)
    bolds: list[Piece] = field(default_factory=list)
    rules: list[tuple[Stroke, float]] = field(default_factory=list)
    boxes: list[Piece] = field(default_factory=list)
    pictures: list[Piece] = field(default_factory=list)

    def struck(self, pieces: list[Piece], lightest: float = 0.0) -> Iterator[str]:
        """Yield which of the pieces a level rule runs through."""
        for (x0, y0, x1, y1), weight in self.rules:
            if y0 != y1 or weight < lightest:
                continue
            rule = Piece("", min(x0, x1), y0 - weight / 2, max(x0, x1), y0 + weight / 2)
            yield from (piece.what for piece in pieces if piece.meets(rule))

    def overprinted(self) -> list[tuple[str, str]]:
        """Return which words lie over other words or a picture, and those beyond the paper."""
        found = [(a.what, b.what) for a, b in combinations(self.texts, 2) if a.meets(b)]
        found += [(a.what, b.what) for a in self.texts for b in self.pictures if a.meets(b)]
        paper = [t.what for t in self.texts if t.left < 0 or t.right > self.width]
        return found + [(words, "the paper's edge") for words in paper]


def noted(patch: pytest.MonkeyPatch, module: Any) -> list[Drawn]:
    """Have a paper's module draw on pages that are noted; return the list that they come into."""
    found: list[Drawn] = []

    class Noting(Page):
        def here(self) -> Drawn:
            if self.is_new:
                found.append(Drawn(self.width, self.height))
                self.is_new = False
            return found[-1]

        def __init__(self, *args: Any, **named: Any) -> None:
            self.is_new = True
            super().__init__(*args, **named)

        def text(self, x: float, baseline: float, words: str, size: float, **how: Any) -> None:
            kept: list[tuple[float, str, float]] = []
            draw = self.canvas.drawString

            def note(at: float, y: float, drawn: str) -> None:
                kept.append((at, drawn, self.canvas._fontsize))
                draw(at, y, drawn)

            self.canvas.drawString = note
            super().text(x, baseline, words, size, **how)
            del self.canvas.drawString
            for left, drawn, points in kept:
                if drawn.strip():
                    bold = how.get("bold", False)
                    right = left + self.width_of(drawn, points, bold=bold)
                    top = baseline - CAPITALS * points
                    piece = Piece(drawn, left, top, right, baseline, points)
                    self.here().texts.append(piece)
                    if bold:
                        self.here().bolds.append(piece)

        def lines(self, strokes: Any, weight: float) -> None:
            self.here().rules += [(stroke, weight) for stroke in strokes]
            super().lines(strokes, weight)

        def box(self, x: float, y: float, width: float, height: float, **how: Any) -> None:
            self.here().boxes.append(Piece(str(how.get("fill")), x, y, x + width, y + height))
            super().box(x, y, width, height, **how)

        def picture(self, x: float, y: float, width: float, height: float, jpeg: bytes) -> float:
            high = super().picture(x, y, width, height, jpeg)
            self.here().pictures.append(Piece("picture", x, y, x + width, y + high))
            self.here().boxes.pop()
            return high

        def turn(self) -> None:
            self.is_new = True
            super().turn()

    patch.setattr(module, "Page", Noting)
    return found
