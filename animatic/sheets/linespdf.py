"""The voice script as a PDF to print: the guide, then the lines, a row that never breaks."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from typing import Any, Literal
from xml.sax.saxutils import escape

from animatic.fonts import font_file
from animatic.sheets.lines import facts, guide
from animatic.sheets.rows import one_line
from animatic.sheets.table import Cell
from animatic.timeline.model import Timeline

__all__ = ["PAPERS", "Paper", "write"]

Paper = Literal["a4", "letter"]
PAPERS: tuple[Paper, ...] = ("a4", "letter")
"""ISO 216 A4 (210 x 297 mm) and US Letter (8.5 x 11 in)."""

_FONT = "script"
_MARGIN = 45.0
_WIDTHS = (0.07, 0.15, 0.43, 0.17, 0.18)
"""Parts of the width: number, speaker, line and note, seconds, place and file."""


def write(timeline: Timeline, script: Sequence[dict[str, Cell]], paper: Paper = "a4") -> bytes:
    """Return the PDF; the same script gives the same bytes."""
    from reportlab.lib.pagesizes import A4, LETTER
    from reportlab.platypus import Paragraph, SimpleDocTemplate, Spacer

    _register_font()
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
    styles = _styles()
    story: list[Any] = [Paragraph(escape(f"{title}: lines to record"), styles["title"])]
    story += [Paragraph(escape(facts(timeline)), styles["small"]), Spacer(1, 8)]
    for words in guide(script):
        head, _, rest = words.partition(": ")
        text = f"<u>{escape(head)}</u>: {escape(rest)}"
        story.append(Paragraph(text, styles["guide"]))
    story += [Spacer(1, 10), _table(script, size[0] - 2 * _MARGIN, styles)]

    def foot(canvas: Any, page: Any) -> None:
        canvas.setFont(_FONT, 8)
        canvas.drawString(_MARGIN, _MARGIN - 8, title[:90])
        canvas.drawRightString(size[0] - _MARGIN, _MARGIN - 8, f"page {canvas.getPageNumber()}")

    document.build(story, onFirstPage=foot, onLaterPages=foot)
    return file.getvalue()


def _register_font() -> None:
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    if _FONT not in pdfmetrics.getRegisteredFontNames():
        pdfmetrics.registerFont(TTFont(_FONT, str(font_file(None))))


def _styles() -> dict[str, Any]:
    from reportlab.lib.enums import TA_RIGHT
    from reportlab.lib.styles import ParagraphStyle

    def style(name: str, size: float, **more: Any) -> Any:
        return ParagraphStyle(name, fontName=_FONT, fontSize=size, leading=size * 1.3, **more)

    return {
        "title": style("title", 16, spaceAfter=4),
        "guide": style("guide", 9, spaceAfter=3),
        "small": style("small", 8, textColor="#444444", splitLongWords=1),
        "number": style("number", 12, alignment=TA_RIGHT),
        "who": style("who", 10),
        "line": style("line", 12),
        "head": style("head", 8, textColor="#444444"),
    }


def _table(script: Sequence[dict[str, Cell]], width: float, styles: dict[str, Any]) -> Any:
    from reportlab.platypus import Paragraph, Table, TableStyle

    def cell(style: str, *texts: str) -> Any:
        return [Paragraph(escape(one_line(text)), styles[style]) for text in texts if text]

    heads = ("No", "Speaker", "Line and note", "Seconds", "At, shot, file")
    lines: list[list[Any]] = [[cell("head", head) for head in heads]]
    for row in script:
        words = {key: "" if value is None else str(value) for key, value in row.items()}
        where = (words["at"], f"shot {words['shot']}", words["file"])
        lines.append(
            [
                cell("number", words["number"]),
                cell("who", words["who"]),
                [*cell("line", words["line"]), *cell("small", words["note"])],
                [*cell("who", words["seconds"]), *cell("small", words["room"])],
                [*cell("small", *where), *_tick(words["recorded"], cell)],
            ]
        )
    table = Table(
        lines, [width * part for part in _WIDTHS], repeatRows=1, splitByRow=1, splitInRow=1
    )
    table.setStyle(
        TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LINEBELOW", (0, 0), (-1, -1), 0.4, "#999999"),
                ("TOPPADDING", (0, 0), (-1, -1), 4),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 6),
            ]
        )
    )
    return table


def _tick(recorded: str, cell: Any) -> list[Any]:
    content: list[Any] = cell("small", "there is a recording") if recorded else []
    return content
