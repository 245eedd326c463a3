"""The voice script as a PDF to print: the guide, then the lines, a row that never breaks."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from pathlib import Path
from typing import Any, Literal
from xml.sax.saxutils import escape

from animatic.fonts import missing_characters
from animatic.leftwards import MARKS, has_leftwards, in_sight_order, is_leftwards
from animatic.sheets.lines import facts, guide
from animatic.sheets.paper import Face, face_for
from animatic.sheets.rows import one_line
from animatic.sheets.table import Cell
from animatic.timeline.model import Timeline

__all__ = ["PAPERS", "Paper", "write"]

Paper = Literal["a4", "letter"]
PAPERS: tuple[Paper, ...] = ("a4", "letter")
"""ISO 216 A4 (210 x 297 mm) and US Letter (8.5 x 11 in)."""

_MARGIN, _PADDING = 45.0, 6.0
_WIDTHS = (0.07, 0.15, 0.43, 0.17, 0.18)
"""Parts of the width: number, speaker, line and note, seconds, place and file."""


def write(timeline: Timeline, script: Sequence[dict[str, Cell]], paper: Paper = "a4") -> bytes:
    """Return the PDF; the same script gives the same bytes."""
    from reportlab.lib.pagesizes import A4, LETTER
    from reportlab.platypus import SimpleDocTemplate, Spacer

    file = BytesIO()
    size = A4 if paper == "a4" else LETTER
    title = one_line(timeline.title)
    document = SimpleDocTemplate(
        file,
        pagesize=size,
        leftMargin=_MARGIN,
        rightMargin=_MARGIN,
        topMargin=_MARGIN,
        bottomMargin=_MARGIN + 10,
        title=f"{title}: lines to record",
        author="",
        invariant=1,
    )
    letters = _Letters(timeline.lettering.font)
    width = size[0] - 2 * _MARGIN
    story: list[Any] = [letters.paragraph("title", f"{title}: lines to record", width)]
    story += [letters.paragraph("small", facts(timeline), width), Spacer(1, 8)]
    for words in guide(script):
        head, _, rest = words.partition(": ")
        rest = in_sight_order(letters.face(rest).plain(rest), False)
        story.append(letters.marked_up("guide", f"<u>{escape(head)}</u>: {escape(rest)}"))
    story += [Spacer(1, 10), _table(script, width, letters)]

    def foot(canvas: Any, page: Any) -> None:
        face, number = letters.face(title), f"page {canvas.getPageNumber()}"
        right = size[0] - _MARGIN - face.width(number, 8)
        face.draw(canvas, _MARGIN, _MARGIN - 8, face.fitted(title, 8, right - _MARGIN - 10), 8)
        face.draw(canvas, right, _MARGIN - 8, number, 8)

    document.build(story, onFirstPage=foot, onLaterPages=foot)
    return file.getvalue()


class _Letters:
    """How words are set: in the built-in font or, where that lacks any, in the board's."""

    def __init__(self, font: Path | None) -> None:
        self._plain, self._other = face_for(None), face_for(font)
        self._styles = _styles(self._plain.name)

    def face(self, words: str) -> Face:
        lacks = missing_characters(words, None)
        return self._other if lacks and self._other.font is not None else self._plain

    def marked_up(self, style: str, words: str) -> Any:
        """Return a paragraph of our own words."""
        from reportlab.platypus import Paragraph

        return Paragraph(words, self._styles[style])

    def paragraph(self, style: str, words: str, width: float) -> Any:
        """Return a paragraph of any words; those read from right to left end at the right."""
        from reportlab.lib.enums import TA_RIGHT
        from reportlab.lib.styles import ParagraphStyle
        from reportlab.platypus import Paragraph

        words, known = one_line(words), self._styles[style]
        face = self.face(words)
        more = {"alignment": TA_RIGHT} if is_leftwards(words) else {}
        made = ParagraphStyle(f"{style} {face.name}", known, fontName=face.name, **more)
        lines = [face.plain(words)]
        if has_leftwards(words):
            # Narrower by a hair, that no line is broken once more.
            lines = face.wrap(words, made.fontSize, width - 0.1)
        return Paragraph("<br/>".join(escape(in_sight_order(line)) for line in lines), made)


def _styles(font: str) -> dict[str, Any]:
    from reportlab.lib.enums import TA_RIGHT
    from reportlab.lib.styles import ParagraphStyle

    def style(name: str, size: float, **more: Any) -> Any:
        return ParagraphStyle(name, fontName=font, fontSize=size, leading=size * 1.3, **more)

    return {
        "title": style("title", 16, spaceAfter=4),
        "guide": style("guide", 9, spaceAfter=3),
        "small": style("small", 8, textColor="#444444", splitLongWords=1),
        "number": style("number", 12, alignment=TA_RIGHT),
        "who": style("who", 10),
        "line": style("line", 12),
        "head": style("head", 8, textColor="#444444"),
    }


def _table(script: Sequence[dict[str, Cell]], width: float, letters: _Letters) -> Any:
    from reportlab.platypus import Table, TableStyle

    widths = [width * part for part in _WIDTHS]

    def cell(column: int, style: str, *texts: str) -> list[Any]:
        room = widths[column] - 2 * _PADDING
        return [letters.paragraph(style, text, room) for text in texts if text]

    heads = ("No", "Speaker", "Line and note", "Seconds", "At, shot, file")
    lines: list[list[Any]] = [[cell(column, "head", head) for column, head in enumerate(heads)]]
    for row in script:
        words = {key: "" if value is None else str(value) for key, value in row.items()}
        # A file's name goes from the left, whoever speaks.
        where = (words["at"], f"shot {words['shot']}", MARKS[0] + words["file"])
        recorded = "there is a recording" if words["recorded"] else ""
        lines.append(
            [
                cell(0, "number", words["number"]),
                cell(1, "who", words["who"]),
                [*cell(2, "line", words["line"]), *cell(2, "small", words["note"])],
                [*cell(3, "who", words["seconds"]), *cell(3, "small", words["room"])],
                cell(4, "small", *where, recorded),
            ]
        )
    table = Table(lines, widths, repeatRows=1, splitByRow=1, splitInRow=1)
    table.setStyle(
        TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LINEBELOW", (0, 0), (-1, -1), 0.4, "#999999"),
                ("LEFTPADDING", (0, 0), (-1, -1), _PADDING),
                ("RIGHTPADDING", (0, 0), (-1, -1), _PADDING),
                ("TOPPADDING", (0, 0), (-1, -1), 4),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 6),
            ]
        )
    )
    return table
