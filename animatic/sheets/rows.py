"""The shot list, defined once: its columns, its totals, and how each value reads as text.

Every format of the list is written from `COLUMNS`, `row` and `total`, so that no two of them
can disagree. A column's key is its name in JSON and at the head of a CSV file.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from animatic.board.keys.schema import SetupEntry
from animatic.frames import milliseconds_from_frames
from animatic.timecode import feet_from_frames
from animatic.timeline.model import Line, Shot, Timeline
from animatic.words import counted

__all__ = [
    "COLUMNS",
    "Cell",
    "Column",
    "count_of_shots",
    "notes",
    "one_line",
    "row",
    "run_time",
    "spoken",
    "text",
    "total",
    "with_setups",
]

Cell = int | Decimal | str | tuple[Line, ...]
"""A value: whole frames or poses, seconds to three places, words, or spoken lines."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the shot list."""

    key: str
    heading: str
    """For people."""
    value: Callable[[Timeline, Shot], Cell]
    """What stands in a shot's row."""
    total: Callable[[Timeline], Cell] | None = None
    """What stands under the column; None where a total has no sense."""
    right: bool = False
    """Whether it is lined up at the right, as numbers are."""


def _words(key: str, heading: str, value: Callable[[Shot], Cell]) -> Column:
    return Column(key, heading, lambda timeline, shot: value(shot))


def _number(key: str, heading: str, value: Callable[[Shot], int]) -> Column:
    return Column(key, heading, lambda timeline, shot: value(shot), right=True)


def _label(key: str, heading: str, frame: Callable[[Shot], int]) -> Column:
    return Column(key, heading, lambda timeline, shot: timeline.label(frame(shot)), right=True)


def _sum(
    key: str,
    heading: str,
    amount: Callable[[Shot], int],
    shown: Callable[[Timeline, int], Cell] = lambda timeline, count: count,
) -> Column:
    """Return a column whose total is its sum; both are shown in the same way."""
    return Column(
        key,
        heading,
        lambda timeline, shot: shown(timeline, amount(shot)),
        lambda timeline: shown(timeline, sum(map(amount, timeline.shots))),
        right=True,
    )


def _seconds(timeline: Timeline, frames: int) -> Decimal:
    """Return seconds to three places; a length in frames always reads the same."""
    return Decimal(milliseconds_from_frames(frames, timeline.rate)).scaleb(-3)


def notes(shot: Shot) -> str:
    """Return which panels are mirrored, what line goes on into the shot, and all panels' notes.

    >>> from dataclasses import replace
    >>> from pathlib import Path
    >>> from animatic.timeline.model import Panel
    >>> wide = Panel(0, 1, "10", 0, 24, 2, Path("quay.jpg"), (640, 360), note="lantern lit")
    >>> near = replace(wide, index=1, number=2, start=24, end=48, mirror=True, note=None)
    >>> [notes(Shot(0, "10", "", panels, handles=8)) for panels in ((wide, near), (near,))]
    ['panel 2 mirrored / lantern lit', 'mirrored']
    """
    written = (one_line(panel.note or "") for panel in shot.panels)
    running = (f"goes on: {one_line(spoken(line))}" for line in shot.panels[0].carried)
    return " / ".join(filter(None, (_mirrored(shot), *running, *written)))


def _mirrored(shot: Shot) -> str:
    numbers = [str(panel.number) for panel in shot.panels if panel.mirror]
    if not numbers or len(numbers) == len(shot.panels):
        return "mirrored" if numbers else ""
    return f"panel{'s' * (len(numbers) > 1)} {', '.join(numbers)} mirrored"


def _feet(timeline: Timeline, frames: int) -> str:
    return feet_from_frames(frames)


COLUMNS: tuple[Column, ...] = (
    _words("shot", "Shot", lambda shot: shot.name),
    _sum("panels", "Panels", lambda shot: len(shot.panels)),
    _words("size", "Size", lambda shot: shot.size),
    _words("setup", "Setup", lambda shot: shot.setup),
    _number("first_frame", "First frame", lambda shot: shot.start),
    _number("end_frame", "End frame", lambda shot: shot.end),
    _sum("frames", "Frames", lambda shot: shot.frames),
    _sum("poses", "Poses", lambda shot: shot.poses),
    _sum("seconds", "Seconds", lambda shot: shot.frames, _seconds),
    _label("in", "In", lambda shot: shot.start),
    _label("out", "Out", lambda shot: shot.end),
    _sum("feet", "Feet 35 mm", lambda shot: shot.frames, _feet),
    _number("overlap_head", "Overlap head", lambda shot: shot.overlap_head),
    _number("overlap_tail", "Overlap tail", lambda shot: shot.overlap_tail),
    _number("handles", "Handles", lambda shot: shot.handles),
    _sum("frames_to_shoot", "Frames to shoot", lambda shot: shot.frames_to_shoot),
    _words("dialogue", "Dialogue", lambda shot: shot.lines),
    _words("notes", "Notes", notes),
)
"""The columns in order.

Frames count from 0 at the film's first frame. `end_frame` and `out` are those of the frame
after the shot's last (a range is half-open), so that they are the next shot's first. `frames`
is the length from cut to cut, `seconds` and `feet` are that length; `handles` is the count at
each end; `poses` are those for the frames to shoot.
"""


def with_setups(setups: Mapping[str, SetupEntry]) -> tuple[Column, ...]:
    """Return the columns of the complete list: after the setup, what is rigged for it.

    They are for the papers that are made with the board at hand; a shot without a setup, or
    with one that says nothing, leaves them empty.
    """

    def rigged(key: str, heading: str, value: Callable[[SetupEntry], str | None]) -> Column:
        def words(shot: Shot) -> str:
            setup = setups.get(shot.setup)
            return (value(setup) or "") if setup is not None else ""

        return _words(key, heading, words)

    more = (
        rigged("place", "Place", lambda setup: setup.place),
        rigged("camera", "Camera", lambda setup: setup.camera),
        rigged("lens", "Lens", lambda setup: setup.lens),
        rigged("lights", "Lights", lambda setup: ", ".join(setup.lights)),
        rigged("opened", "Walls opened", lambda setup: ", ".join(setup.opened)),
        rigged("setup_note", "Setup note", lambda setup: setup.note),
    )
    at = [column.key for column in COLUMNS].index("setup") + 1
    return (*COLUMNS[:at], *more, *COLUMNS[at:])


def row(timeline: Timeline, shot: Shot, columns: Sequence[Column] = COLUMNS) -> dict[str, Cell]:
    """Return a shot's values by column key, in the order of the columns."""
    return {column.key: column.value(timeline, shot) for column in columns}


def total(timeline: Timeline) -> dict[str, Cell]:
    """Return the number of `shots`, the totalled columns by key, and the `run_time`.

    Seconds are rounded once, from the whole length: they can differ from the sum of the
    rounded rows by half a millisecond a shot.
    """
    sums = {column.key: column.total(timeline) for column in COLUMNS if column.total}
    return {"shots": len(timeline.shots), **sums, "run_time": run_time(timeline)}


def count_of_shots(timeline: Timeline) -> str:
    """Return what people read in the total's row: '12 shots'."""
    return counted(len(timeline.shots), "shot")


def run_time(timeline: Timeline) -> str:
    """Return the real running time, [hours:]minutes:seconds to three places.

    At 23.976, 29.97 and 59.94 it is longer than non-drop timecode makes believe.

    >>> from animatic.frames import Rate
    >>> from pathlib import Path
    >>> from animatic.timeline.model import Panel
    >>> panel = Panel(0, 1, "10", 0, 1440, 2, Path("quay.jpg"), (640, 360))
    >>> shots = (Shot(0, "10", "quay", (panel,), handles=8),)
    >>> [run_time(Timeline("", Rate.named(r), (640, 360), shots)) for r in ("24", "23.976")]
    ['1:00.000', '1:00.060']
    """
    seconds, milliseconds = divmod(milliseconds_from_frames(timeline.frames, timeline.rate), 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    whole = f"{hours}:{minutes:02}" if hours else f"{minutes}"
    return f"{whole}:{seconds:02}.{milliseconds:03}"


def spoken(line: Line) -> str:
    """Return a line with its speaker before it, as one line of text.

    >>> spoken(Line(1, "Odd", "The tide\\n is late.", 0, 1, 0, 1, None))
    'Odd: The tide is late.'
    """
    return one_line(f"{line.who}: {line.text}" if line.who else line.text)


def text(cell: Cell, between: str = " / ") -> str:
    """Return a value as one line of text; spoken lines stand with `between` in between.

    >>> text(Decimal("3.000")), text(96), text("Quay\\tby night")
    ('3.000', '96', 'Quay by night')
    """
    if isinstance(cell, tuple):
        return between.join(filter(None, map(spoken, cell)))
    return one_line(str(cell))


def one_line(words: str) -> str:
    """Return the words with every run of white space as one space, and no control characters.

    A control character could move a terminal's cursor or end a table's row; half of a
    surrogate pair cannot be written as UTF-8.

    >>> one_line("a\\n  b\\x1b[31m")
    'a b[31m'
    """
    cleaned = "".join(map(_clean, words)) if not words.isprintable() else words
    return " ".join(cleaned.split())


def _clean(char: str) -> str:
    category = unicodedata.category(char)
    if category == "Cs":
        return "\N{REPLACEMENT CHARACTER}"
    return "" if category == "Cc" and not char.isspace() else char
