"""The shot list as a Markdown page: title, rate, run time, and one table with its totals.

The table is that of GitHub Flavored Markdown 0.29, 4.10. Its columns are padded, so that the
page can also be read and printed as plain text.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from rich.cells import cell_len

from animatic.sheets.rows import COLUMNS, count_of_shots, one_line, row, run_time, text, total
from animatic.timeline.model import Timeline
from animatic.words import counted

__all__ = ["escaped", "write"]

# A character that begins markup, wherever it stands; `_` only does at the edge of a word and
# `&` only before the name or number of a character.
_MARKUP = re.compile(r"[\\`*\[\]<>|~]|(?<![^\W_])_|_(?![^\W_])|&(?=#?\w+;)")
_NOTE = (
    "Frames count from 0; a shot's end frame and its Out are those of the frame after its last."
    " Handles stand at each end. Poses are those for the frames to shoot."
)


def write(timeline: Timeline) -> str:
    """Return the Markdown text."""
    title = escaped(one_line(timeline.title)).replace("#", r"\#")
    facts = (
        f"{timeline.rate} frames a second",
        f"run time {run_time(timeline)}",
        counted(timeline.frames, "frame"),
        f"first frame at {timeline.label(0)}",
    )
    return "\n".join(
        [f"# {title or 'Shot list'}", "", " · ".join(facts), "", *_table(timeline), "", _NOTE, ""]
    )


def _table(timeline: Timeline) -> list[str]:
    """Return the table's lines: heads, the rule, the shots, the total."""
    sums = total(timeline)
    sums["shot"] = count_of_shots(timeline)
    rows = [[column.heading for column in COLUMNS]]
    for shot in timeline.shots:
        values = row(timeline, shot).values()
        rows.append([escaped(text(value, "\n")).replace("\n", "<br>") for value in values])
    last = [text(sums.get(column.key, "")) for column in COLUMNS]
    rows.append([f"**{words}**" if words else "" for words in last])
    # Dialogue and notes are left ragged: else every line were as long as the longest of them.
    widths = [max(3, *map(cell_len, cells)) for cells in zip(*rows, strict=True)]
    widths[-2:] = 3, 3
    rule = [_rule(width, column.right) for width, column in zip(widths, COLUMNS, strict=True)]
    lines = [_padded(cells, widths) for cells in rows]
    return [lines[0], f"| {' | '.join(rule)} |", *lines[1:]]


def _rule(width: int, right: bool) -> str:
    return "-" * (width - 1) + ":" if right else "-" * width


def _padded(cells: Sequence[str], widths: Sequence[int]) -> str:
    padded = []
    for cell, width, column in zip(cells, widths, COLUMNS, strict=True):
        space = " " * (width - cell_len(cell))
        padded.append(space + cell if column.right else cell + space)
    return f"| {' | '.join(padded)} |"


def escaped(words: str) -> str:
    r"""Return the words with what Markdown would read as markup behind a backslash.

    >>> print(escaped("[sigh] *no* | a_b _c_"))
    \[sigh\] \*no\* \| a_b \_c\_
    """
    return _MARKUP.sub(r"\\\g<0>", words)
