"""The shot list as JSON: the film's title and rate, `shots` in order, and their `total`."""

from __future__ import annotations

import json
from decimal import Decimal

from animatic.sheets.rows import Cell, row, total
from animatic.timeline.model import Timeline

__all__ = ["write"]


def write(timeline: Timeline) -> str:
    """Return the JSON text, keys in the order of the columns, with a line end at its end.

    >>> from pathlib import Path
    >>> from animatic.board import read_board
    >>> from animatic.timeline import lay_out
    >>> json.loads(write(lay_out(read_board(Path("demo_board")))))["total"]["frames"]
    1724
    """
    content = {
        "title": timeline.title,
        "rate": timeline.rate.name,
        "shots": [_values(row(timeline, shot)) for shot in timeline.shots],
        "total": _values(total(timeline)),
    }
    written = json.dumps(content, ensure_ascii=False, indent=2) + "\n"
    # Half of a surrogate pair has no UTF-8; backslashreplace writes it as JSON itself would.
    return written.encode("utf-8", "backslashreplace").decode("utf-8")


def _values(cells: dict[str, Cell]) -> dict[str, object]:
    return {key: _value(cell) for key, cell in cells.items()}


def _value(cell: Cell) -> object:
    if isinstance(cell, tuple):
        return [{"who": line.who, "line": line.text} for line in cell]
    return float(cell) if isinstance(cell, Decimal) else cell
