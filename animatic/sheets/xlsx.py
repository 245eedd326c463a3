"""The shot list as an Office Open XML workbook (ECMA-376): numbers that can be reckoned with.

The sums are formulas over the rows, so that they follow a change made in the table, and have
their values beside them for whatever shows a file without reckoning. Words stay words, whatever
they begin with.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from io import BytesIO
from typing import Any

from xlsxwriter import Workbook
from xlsxwriter.utility import xl_col_to_name

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
_THOUSANDTHS = "0.000"
_UNCHANGING = datetime(1980, 1, 1)
"""The time that the file says it was made: the same board gives the same bytes."""
# What XML 1.0 cannot carry.
_UNWRITTEN = re.compile("[^\\t\\n\\r\\x20-\\ud7ff\\ue000-\\ufffd\\U00010000-\\U0010ffff]")


def write(timeline: Timeline, setups: Mapping[str, SetupEntry]) -> bytes:
    """Return the workbook: one sheet with the complete shot list and its sums."""
    columns, file = with_setups(setups), BytesIO()
    with Workbook(file, {"in_memory": True}) as book:
        book.set_properties({"author": "animatic", "created": _UNCHANGING})
        sheet = _Sheet(book)
        facts = f"{timeline.rate} frames a second, run time {run_time(timeline)}"
        sheet.put(1, 1, one_line(timeline.title), bold=True, font_size=14)
        sheet.put(2, 1, f"{facts}, first frame at {timeline.label(0)}")
        for at, column in enumerate(columns, 1):
            look = {"bold": True, "text_wrap": True, "bottom": 1, "align": _side(column)}
            sheet.put(FIRST_ROW - 1, at, column.heading, **look)
        for index, shot in enumerate(timeline.shots):
            values = row(timeline, shot, columns).values()
            for at, (column, value) in enumerate(zip(columns, values, strict=True), 1):
                look = {"text_wrap": not column.right, "valign": "top", "align": _side(column)}
                if isinstance(value, Decimal):
                    look["num_format"] = _THOUSANDTHS
                # Unrounded, so that the sum is right to the frame.
                found = _seconds(timeline, shot.frames) if column.key == "seconds" else value
                sheet.put(FIRST_ROW + index, at, _value(found), **look)
        _sums(sheet, columns, timeline)
        sheet.arrange([_WIDE.get(column.key, 11) for column in columns])
    return file.getvalue()


class _Sheet:
    """The one sheet; rows and columns count from 1, as people and formulas count them."""

    def __init__(self, book: Any) -> None:
        self.book, self.sheet = book, book.add_worksheet("Shot list")
        self.formats: dict[tuple[tuple[str, object], ...], Any] = {}

    def put(self, down: int, across: int, value: int | float | str, **look: object) -> None:
        """Fill a cell; words are never taken for a formula."""
        if value == "":
            self.sheet.write_blank(down - 1, across - 1, None, self._look(look))
        elif isinstance(value, str):
            words = _UNWRITTEN.sub("\N{REPLACEMENT CHARACTER}", value)[:_LONG]
            if words.startswith(("=", "+", "-", "@")):
                look["quote_prefix"] = True
            self.sheet.write_string(down - 1, across - 1, words, self._look(look))
        else:
            self.sheet.write_number(down - 1, across - 1, value, self._look(look))

    def reckon(
        self, down: int, across: int, formula: str, value: int | float | str, **look: object
    ) -> None:
        """Fill a cell with a formula and what it comes to."""
        self.sheet.write_formula(down - 1, across - 1, formula, self._look(look), value)

    def _look(self, look: dict[str, object]) -> Any:
        """Return the format of a look; equal looks share one."""
        key = tuple(sorted(look.items()))
        if key not in self.formats:
            self.formats[key] = self.book.add_format(look)
        return self.formats[key]

    def arrange(self, widths: list[int]) -> None:
        """Set the columns' widths, what stays in view, and how the sheet is printed."""
        for at, width in enumerate(widths):
            # The library adds 5 pixels of 7 to a character's width; the file has the width itself.
            self.sheet.set_column(at, at, width - 5 / 7)
        self.sheet.freeze_panes(FIRST_ROW - 1, 1)
        self.sheet.repeat_rows(FIRST_ROW - 2)
        self.sheet.set_landscape()
        self.sheet.fit_to_pages(1, 0)
        self.sheet.set_margins(left=0.75, right=0.75, top=1, bottom=1)
        self.sheet.set_header("", {"margin": 0.5})
        self.sheet.set_footer("", {"margin": 0.5})


def _side(column: Column) -> str:
    return "right" if column.right else "left"


def _seconds(timeline: Timeline, frames: int) -> float:
    return float(seconds_from_frames(frames, timeline.rate))


def _value(value: Cell | float) -> int | float | str:
    if isinstance(value, Decimal):
        return float(value)
    return value if isinstance(value, int | float) else text(value)


def _sums(sheet: _Sheet, columns: tuple[Column, ...], timeline: Timeline) -> None:
    """Write the last row: formulas where numbers add up, and the feet of the summed frames."""
    last = FIRST_ROW + len(timeline.shots) - 1
    frames = xl_col_to_name([column.key for column in columns].index("frames"))
    for at, column in enumerate(columns, 1):
        look: dict[str, object] = {"bold": True, "top": 1, "align": _side(column)}
        total = column.total(timeline) if column.total is not None else ""
        letter = xl_col_to_name(at - 1)
        formula = f"=SUM({letter}{FIRST_ROW}:{letter}{last})"
        if column.key == "shot":
            sheet.put(last + 1, at, count_of_shots(timeline), **look)
        elif isinstance(total, Decimal):
            look["num_format"] = _THOUSANDTHS
            sheet.reckon(last + 1, at, formula, _seconds(timeline, timeline.frames), **look)
        elif isinstance(total, int):
            sheet.reckon(last + 1, at, formula, total, num_format="0", **look)
        elif column.key == "feet":
            sheet.reckon(last + 1, at, _FEET.format(f"{frames}{last + 1}"), text(total), **look)
        else:
            sheet.put(last + 1, at, "", **look)
