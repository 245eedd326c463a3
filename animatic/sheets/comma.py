"""The shot list as CSV (RFC 4180, UTF-8): a head of column keys, the shots, the total.

A cell whose words begin with `=`, `+`, `-` or `@` (also in their full-width forms) would be
run as a formula by a spreadsheet program. Such a cell gets an apostrophe before it, and so
does one that begins with an apostrophe: taking one leading apostrophe away gives the words
back. JSON carries every word unchanged.
"""

from __future__ import annotations

import csv
from io import StringIO

from animatic.sheets.rows import COLUMNS, Cell, row, text, total
from animatic.timeline.model import Timeline

__all__ = ["TOTAL", "safe", "write"]

TOTAL = "total"
"""What the last row has in the `shot` column."""

_RISKY = ("=", "+", "-", "@", "＝", "＋", "－", "＠", "'")


def write(timeline: Timeline) -> str:
    r"""Return the CSV text; lines end in ``\r\n``, and the last row is the total.

    >>> from pathlib import Path
    >>> from animatic.board import read_board
    >>> from animatic.timeline import lay_out
    >>> heads, first, *_ = write(lay_out(read_board(Path("demo_board")))).splitlines()
    >>> heads.split(",")[:4], first.split(",")[:4]
    (['shot', 'panels', 'size', 'setup'], ['10', '2', 'EWS', 'quay-day'])
    """
    file = StringIO(newline="")
    writer = csv.writer(file, lineterminator="\r\n")
    writer.writerow(column.key for column in COLUMNS)
    for shot in timeline.shots:
        writer.writerow(_cell(value) for value in row(timeline, shot).values())
    sums = total(timeline) | {"shot": TOTAL}
    writer.writerow(_cell(sums.get(column.key, "")) for column in COLUMNS)
    return file.getvalue()


def _cell(value: Cell) -> str:
    return safe(text(value)) if isinstance(value, str | tuple) else text(value)


def safe(words: str) -> str:
    """Return the words so that no spreadsheet program runs them as a formula.

    >>> safe("=1+1"), safe("'tis late"), safe("3+08"), safe("Odd: - Wait.")
    ("'=1+1", "''tis late", '3+08', 'Odd: - Wait.')
    """
    return f"'{words}" if words.startswith(_RISKY) else words
