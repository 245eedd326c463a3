"""The shot list as JSON: the film's title and rate, `shots` in order, and their `total`."""

from __future__ import annotations

from animatic.sheets.rows import Cell, row, total
from animatic.sheets.table import as_json
from animatic.timeline.model import Timeline

__all__ = ["write"]


def write(timeline: Timeline) -> str:
    """Return the JSON text, keys in the order of the columns, with a line end at its end.

    >>> import json
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
    return as_json(content)


def _values(cells: dict[str, Cell]) -> dict[str, object]:
    return {key: _value(cell) for key, cell in cells.items()}


def _value(cell: Cell) -> object:
    if isinstance(cell, tuple):
        return [{"who": line.who, "line": line.text} for line in cell]
    return cell
