"""The shot list on a terminal: as many columns as the width allows, or all of them in a pipe.

The table is laid out here, because every width is decided before a line is written; rich
measures, wraps, and styles. (Its own table takes ten times as long for a thousand shots.)
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from io import StringIO
from itertools import zip_longest

from rich.cells import cell_len
from rich.console import Console
from rich.text import Text

from animatic.sheets.rows import (
    COLUMNS,
    Column,
    count_of_shots,
    one_line,
    row,
    run_time,
    text,
    total,
)
from animatic.timeline.model import Timeline

__all__ = ["show", "write"]

ORDER = (
    *("shot", "frames", "poses", "seconds", "frames_to_shoot", "size", "setup", "dialogue"),
    *("in", "out", "panels", "first_frame", "end_frame", "feet", "handles"),
    *("overlap_head", "overlap_tail", "notes"),
)
"""Which columns are given room first; one that finds none is left out and named below."""

_GAP = "  "
_MOST = {"shot": 16, "size": 10, "setup": 20, "notes": 24}
"""Beyond this many cells the words of these columns are wrapped."""
_DIALOGUE = 32
"""Dialogue is wrapped, but not into less than this."""

_Cells = dict[str, list[str]]
"""Words by column key: every shot's, then the total's."""


def show(timeline: Timeline, console: Console) -> None:
    """Print the list to a console: styled to its width on a terminal, else plain and whole."""
    if console.is_terminal:
        _print(timeline, console, console.width)
    else:
        console.file.write(write(timeline))


def write(timeline: Timeline, width: int | None = None) -> str:
    """Return the list as plain text, at most `width` cells wide; None gives every column.

    Without a width each shot is one line, which suits other programs.
    """
    # Without a width nothing may wrap, however long.
    console = Console(file=StringIO(), width=width or 10**9, color_system=None)
    with console.capture() as captured:
        _print(timeline, console, width)
    return "".join(f"{line.rstrip()}\n" for line in captured.get().split("\n")[:-1])


def _print(timeline: Timeline, console: Console, width: int | None) -> None:
    facts = (
        f"{timeline.rate} frames a second",
        f"run time {run_time(timeline)}",
        f"first frame at {timeline.label(0)}",
    )
    if title := one_line(timeline.title):
        console.print(Text(title, style="bold"))
    console.print(Text(" · ".join(facts), style="dim"))
    console.print()
    cells = _cells(timeline, " / " if width is None else "\n")
    widths = _widths(cells, width)
    console.print(_table(cells, widths, console), soft_wrap=True)
    left_out = [column.heading.lower() for column in COLUMNS if column.key not in widths]
    if left_out:
        words = f"A wider window or any other format also shows: {', '.join(left_out)}."
        console.print()
        console.print(Text(words, style="dim"))


def _cells(timeline: Timeline, between: str) -> _Cells:
    sums = total(timeline) | {"shot": count_of_shots(timeline)}
    rows = [*(row(timeline, shot) for shot in timeline.shots), sums]
    return {
        column.key: [text(values.get(column.key, ""), between) for values in rows]
        for column in COLUMNS
    }


def _widths(cells: _Cells, room: int | None) -> dict[str, int]:
    """Return the widths of the columns that find room, by key."""
    natural = {column.key: _natural(column, cells[column.key]) for column in COLUMNS}
    if room is None:
        return natural
    # The first column is always there, however narrow the window.
    spare = room + len(_GAP)
    widths: dict[str, int] = {}
    for key in ORDER:
        least = min(natural[key], _DIALOGUE if key == "dialogue" else _MOST.get(key, room))
        if not widths or least + len(_GAP) <= spare:
            widths[key] = min(least, room)
            spare -= widths[key] + len(_GAP)
    if "dialogue" in widths:
        widths["dialogue"] = min(natural["dialogue"], widths["dialogue"] + spare)
    return widths


def _natural(column: Column, words: Sequence[str]) -> int:
    """Return the width at which no cell is wrapped; the heading may take two lines."""
    lines = [line for cell in words for line in cell.split("\n")]
    return max(_two_lines(column.heading), *map(cell_len, lines))


def _two_lines(heading: str) -> int:
    """Return the least width at which a heading needs no third line.

    >>> _two_lines("Frames to shoot"), _two_lines("Poses")
    (8, 5)
    """
    words = heading.split()
    breaks = [(" ".join(words[:at]), " ".join(words[at:])) for at in range(len(words))]
    return min(max(map(cell_len, lines)) for lines in breaks)


def _table(cells: _Cells, widths: dict[str, int], console: Console) -> Text:
    """Return the table: dim heads, the shots between two rules, the total in bold."""
    shown = [column for column in COLUMNS if column.key in widths]

    def lines(row: Iterable[str], *, low: bool = False) -> list[str]:
        """Return one row's lines; its cells stand at the top, or low."""
        wrapped = [
            _wrapped(cell, widths[column.key], console)
            for cell, column in zip(row, shown, strict=True)
        ]
        if low:
            deepest = max(map(len, wrapped))
            wrapped = [[""] * (deepest - len(cell)) + cell for cell in wrapped]
        return [
            _GAP.join(
                _padded(part, widths[column.key], column.right)
                for part, column in zip(parts, shown, strict=True)
            ).rstrip()
            for parts in zip_longest(*wrapped, fillvalue="")
        ]

    rule = "─" * (sum(widths.values()) + len(_GAP) * (len(widths) - 1))
    *shots, last = zip(*(cells[column.key] for column in shown), strict=True)
    heads = lines((column.heading for column in shown), low=True)
    body = [line for shot in shots for line in lines(shot)]
    # Text, not markup: square brackets in dialogue are words.
    return Text("\n").join(
        [
            Text("\n".join([*heads, rule]), style="dim"),
            Text("\n".join(body)),
            Text(rule, style="dim"),
            Text("\n".join(lines(last)), style="bold"),
        ]
    )


def _wrapped(cell: str, width: int, console: Console) -> list[str]:
    if "\n" not in cell and cell_len(cell) <= width:
        return [cell]
    return [line.plain.rstrip() for line in Text(cell).wrap(console, width, overflow="fold")]


def _padded(words: str, width: int, right: bool) -> str:
    space = " " * (width - cell_len(words))
    return space + words if right else words + space
