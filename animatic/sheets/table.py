"""A table of rows for people and programs: one set of rows as text, CSV, Markdown or JSON.

CSV is RFC 4180 with a head of column keys, Markdown a table of GitHub Flavored Markdown 0.29,
4.10. Every cell is one line in all but JSON, which carries each value as it is.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from io import StringIO
from typing import Any

from rich.cells import cell_len

from animatic.sheets.comma import safe
from animatic.sheets.markdown import escaped
from animatic.sheets.rows import one_line

__all__ = ["Cell", "Head", "as_csv", "as_json", "as_markdown", "as_text", "filled", "words"]

Cell = int | Decimal | str | None
"""A value: a whole number, a decimal one to its written places, words, or nothing."""
Rows = Sequence[Mapping[str, Cell]]


@dataclass(frozen=True, slots=True)
class Head:
    """A column: its key in JSON and CSV, its heading for people, and whether it is numbers."""

    key: str
    heading: str
    right: bool = False


def words(cell: Cell) -> str:
    """Return a value as one line of text.

    >>> words(Decimal("1.250")), words(None), words("Well,\\n yes")
    ('1.250', '', 'Well, yes')
    """
    return "" if cell is None else one_line(str(cell))


def as_csv(heads: Sequence[Head], rows: Rows) -> str:
    r"""Return the rows as CSV; lines end in ``\r\n``.

    >>> as_csv([Head("who", "Speaker"), Head("n", "No", True)], [{"who": "=Odd", "n": -3}])
    "who,n\r\n'=Odd,-3\r\n"
    """
    file = StringIO(newline="")
    writer = csv.writer(file, lineterminator="\r\n")
    writer.writerow(head.key for head in heads)
    for row in rows:
        cells = (row[head.key] for head in heads)
        writer.writerow(safe(words(c)) if isinstance(c, str) else words(c) for c in cells)
    return file.getvalue()


def as_markdown(heads: Sequence[Head], rows: Rows) -> str:
    """Return the rows as the lines of a Markdown table.

    >>> print(as_markdown([Head("who", "Speaker"), Head("n", "No", True)], [{"who": "O*", "n": 1}]))
    | Speaker |  No |
    | ------- | --: |
    | O\\*     |   1 |
    """
    lines = [[head.heading for head in heads]]
    lines += [[escaped(words(row[head.key])) for head in heads] for row in rows]
    widths = [max(3, *map(cell_len, cells)) for cells in zip(*lines, strict=True)]
    if not heads[-1].right:
        widths[-1] = 3  # The last column is left ragged.
    rule = ["-" * (w - 1) + (":" if h.right else "-") for w, h in zip(widths, heads, strict=True)]
    padded = [_padded(line, heads, widths) for line in lines]
    shown = ["| " + " | ".join(line) + " |" for line in (padded[0], rule, *padded[1:])]
    return "\n".join(shown)


def as_text(heads: Sequence[Head], rows: Rows) -> str:
    """Return the rows as a table of plain text, its heads in small letters."""
    lines = [[head.heading.lower() for head in heads]]
    lines += [[words(row[head.key]) for head in heads] for row in rows]
    widths = [max(map(cell_len, cells)) for cells in zip(*lines, strict=True)]
    return "\n".join("  ".join(_padded(line, heads, widths)).rstrip() for line in lines)


def filled(items: Sequence[str], width: int) -> list[str]:
    """Return items with commas in lines of `width` cells, broken only from item to item.

    An item that is longer has a line of its own.

    >>> filled(["title", "mix duck", "setups quay lens"], 18)
    ['title, mix duck,', 'setups quay lens']
    """
    lines: list[str] = []
    for number, item in enumerate(items, 1):
        item = item if number == len(items) else f"{item},"
        if lines and cell_len(lines[-1]) + 1 + cell_len(item) <= width:
            lines[-1] += f" {item}"
        else:
            lines.append(item)
    return lines


def _padded(cells: Sequence[str], heads: Sequence[Head], widths: Sequence[int]) -> Iterator[str]:
    for cell, head, width in zip(cells, heads, widths, strict=True):
        space = " " * (width - cell_len(cell))
        yield space + cell if head.right else cell + space


def as_json(content: Mapping[str, Any]) -> str:
    """Return JSON text in which decimal numbers are numbers.

    >>> as_json({"seconds": Decimal("1.250")})
    '{\\n  "seconds": 1.25\\n}\\n'
    """
    text = json.dumps(content, ensure_ascii=False, indent=2, default=_plain) + "\n"
    # Half of a surrogate pair has no UTF-8; backslashreplace writes it as JSON itself would.
    return text.encode("utf-8", "backslashreplace").decode("utf-8")


def _plain(value: object) -> object:
    if isinstance(value, Decimal):
        return float(value)
    if isinstance(value, Iterable):
        return list(value)
    raise TypeError(f"{type(value).__name__} has no JSON")
