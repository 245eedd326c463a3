"""The shot list as an Office Open XML workbook (ECMA-376): numbers that can be reckoned with.

The sums are formulas over the rows, so that they follow a change made in the table. Words stay
words, whatever they begin with.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from io import BytesIO
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Alignment, Border, Font, Side
from openpyxl.utils import get_column_letter

from animatic.board.keys.schema import SetupEntry
from animatic.frames import seconds_from_frames
from animatic.sheets.rows import (
    Cell,
    Column,
    count_of_shots,
    one_line,
    row,
    run_time,
    text,
    with_setups,
)
from animatic.timecode import FRAMES_A_FOOT
from animatic.timeline.model import Timeline

__all__ = ["FIRST_ROW", "write"]

FIRST_ROW = 4
"""The row of the first shot: over it stand the title, the facts, and the heads."""
_LONG = 32_767
"""Characters that a cell holds at most (ECMA-376, as programs keep it)."""
_WIDE = {
    "dialogue": 60,
    "notes": 40,
    "lights": 36,
    "setup_note": 36,
    "camera": 26,
    "opened": 22,
    "setup": 18,
    "place": 14,
}
_FEET = f'=INT({{0}}/{FRAMES_A_FOOT})&"+"&TEXT(MOD({{0}},{FRAMES_A_FOOT}),"00")'
"""Feet and frames of a cell with frames, as the rows have them."""
_UNCHANGING = datetime(1980, 1, 1)
"""The time that the file says it was made: the same board gives the same bytes."""
# What XML 1.0 cannot carry.
_UNWRITTEN = re.compile("[^\\t\\n\\r\\x20-\\ud7ff\\ue000-\\ufffd\\U00010000-\\U0010ffff]")


def write(timeline: Timeline, setups: Mapping[str, SetupEntry]) -> bytes:
    """Return the workbook: one sheet with the complete shot list and its sums."""
    columns = with_setups(setups)
    book = Workbook()
    sheet = book.active
    sheet.title = "Shot list"
    facts = f"{timeline.rate} frames a second, run time {run_time(timeline)}"
    _put(sheet, 1, 1, one_line(timeline.title), Font(bold=True, size=14))
    _put(sheet, 2, 1, f"{facts}, first frame at {timeline.label(0)}")
    under = Border(bottom=Side("thin"))
    for at, column in enumerate(columns, 1):
        cell = _put(sheet, FIRST_ROW - 1, at, column.heading, Font(bold=True))
        cell.alignment = Alignment(wrap_text=True, vertical="bottom", horizontal=_side(column))
        cell.border = under
        sheet.column_dimensions[get_column_letter(at)].width = _WIDE.get(column.key, 11)
    for index, shot in enumerate(timeline.shots):
        values = row(timeline, shot, columns).values()
        for at, (column, value) in enumerate(zip(columns, values, strict=True), 1):
            cell = _put(sheet, FIRST_ROW + index, at, _value(value))
            if column.key == "seconds":
                # Unrounded, so that the sum is right to the frame.
                cell.value = float(seconds_from_frames(shot.frames, timeline.rate))
            cell.alignment = Alignment(
                wrap_text=not column.right, vertical="top", horizontal=_side(column)
            )
            if isinstance(value, Decimal):
                cell.number_format = "0.000"
    _sums(sheet, columns, timeline)
    sheet.freeze_panes = sheet.cell(FIRST_ROW, 2)
    sheet.print_title_rows = f"{FIRST_ROW - 1}:{FIRST_ROW - 1}"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    return _saved(book)


def _side(column: Column) -> str:
    return "right" if column.right else "left"


def _value(value: Cell) -> int | float | str:
    if isinstance(value, Decimal):
        return float(value)
    return value if isinstance(value, int) else text(value)


def _put(sheet: Any, down: int, across: int, value: int | float | str, font: Any = None) -> Any:
    """Fill a cell; words are never taken for a formula."""
    cell = sheet.cell(down, across)
    if isinstance(value, str):
        cell.value = _UNWRITTEN.sub("\N{REPLACEMENT CHARACTER}", value)[:_LONG]
        cell.data_type = "s"
        cell.quotePrefix = value.startswith(("=", "+", "-", "@"))
    else:
        cell.value = value
    if font is not None:
        cell.font = font
    return cell


def _sums(sheet: Any, columns: tuple[Column, ...], timeline: Timeline) -> None:
    """Write the last row: formulas where numbers add up, and the feet of the summed frames."""
    last = FIRST_ROW + len(timeline.shots) - 1
    bold, over = Font(bold=True), Border(top=Side("thin"))
    frames = get_column_letter([column.key for column in columns].index("frames") + 1)
    for at, column in enumerate(columns, 1):
        cell = sheet.cell(last + 1, at)
        total = column.total(timeline) if column.total is not None else ""
        letter = get_column_letter(at)
        if column.key == "shot":
            _put(sheet, last + 1, at, count_of_shots(timeline))
        elif isinstance(total, int | Decimal):
            cell.value = f"=SUM({letter}{FIRST_ROW}:{letter}{last})"
            cell.number_format = "0.000" if isinstance(total, Decimal) else "0"
        elif column.key == "feet":
            cell.value = _FEET.format(f"{frames}{last + 1}")
        cell.font, cell.border = bold, over
        cell.alignment = Alignment(horizontal=_side(column))


def _saved(book: Workbook) -> bytes:
    """Return the file; the library stamps it with the time, which is taken out again."""
    book.properties.creator = "animatic"
    book.properties.created = book.properties.modified = _UNCHANGING
    stamped, file = BytesIO(), BytesIO()
    book.save(stamped)
    stamp = re.compile(rb"(<dcterms:(created|modified)[^>]*>)[^<]*")
    with zipfile.ZipFile(stamped) as old, zipfile.ZipFile(file, "w") as new:
        for name in old.namelist():
            data = old.read(name)
            if name == "docProps/core.xml":
                data = stamp.sub(rb"\g<1>1980-01-01T00:00:00Z", data)
            entry = zipfile.ZipInfo(name)
            new.writestr(entry, data, zipfile.ZIP_DEFLATED)
    return file.getvalue()
