"""What take-in says: what became of each recording, and what it does to the film."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from animatic.words import counted, quoted

if TYPE_CHECKING:
    from animatic.board import Board
    from animatic.sound.recordings import Recording
    from animatic.timeline import Timeline
    from animatic.timeline.finding import Finding
    from animatic.timeline.model import Line
    from animatic.timeline.sentlines import Meant

__all__ = ["Asked", "Taken", "evened", "missing", "overruns", "words"]


@dataclass(frozen=True, slots=True)
class Asked:
    """How recordings are made ready."""

    loudness: float
    usual: float | None
    """LUFS that the lines had before; None where there were none."""
    threshold: float | None
    """dB under the loudest part at which silence begins; None where the recording tells."""
    pad: Fraction


@dataclass(frozen=True, slots=True)
class Taken:
    """A recording that was made ready."""

    line: Line
    came: str
    file: Path
    made: Recording
    meant: Meant | None = None
    """The line of the script by which the file was found to be of it."""


def evened(asked: Asked) -> str:
    """Return what the level does to the balance.

    >>> evened(Asked(-23.0, -17.0, 40.0, Fraction(0)))
    'lines are brought to -23 LUFS; they were at -17, so speech is 6 dB softer against the rest'
    """
    said = f"lines are brought to {asked.loudness:g} LUFS"
    if asked.usual is None:
        return f"{said}; --loudness sets another level"
    apart = asked.loudness - asked.usual
    if not apart:
        return f"{said}, as loud as those that the board has"
    than = "louder" if apart > 0 else "softer"
    return (
        f"{said}; they were at {asked.usual:g}, so speech is {abs(apart):g} dB {than} against"
        " the rest"
    )


def missing(board: Board, timeline: Timeline) -> str:
    """Return which lines have no recording yet, by the numbers of the newest script that has all.

    Recordings are named by the script: another number would lead to another line.
    """
    from animatic.board.sent import kept_scripts
    from animatic.sheets.rows import one_line
    from animatic.timeline.sentlines import sent_numbers

    missing = [line for line in timeline.lines if line.voice is None or line.scratch]
    if not missing:
        return "every line has a recording"
    scripts, _ = kept_scripts(board.file)
    numbers = sent_numbers(scripts[0], timeline) if scripts else {}
    unsent = [line for line in missing if scripts and line.number not in numbers]

    def named(line: Line) -> str:
        number = "" if line in unsent else f"{numbers.get(line.number, line.number)} "
        return f"{number}({one_line(line.who)} {quoted(one_line(line.text))})"

    rows = [f"still to come: {counted(len(missing), 'line')}: {', '.join(map(named, missing))}"]
    if unsent:
        rows.append("those without a number are in no script yet: send animatic lines anew")
    if any(numbers.get(line.number, line.number) != line.number for line in missing):
        rows.append(f"the numbers are those of {scripts[0]}")
    return "\n  ".join(rows)


def words(board: Board, one: Taken, line: Line) -> str:
    """Return what became of a recording: its line, its file, its length and level, its faults."""
    from animatic.sheets.rows import one_line

    said = f"line {line.number}, {one_line(line.who)} {quoted(one_line(line.text))}"
    rows = [f"{said}: {one.came} is now {one.file.relative_to(board.folder).as_posix()}"]
    if one.meant is not None and one.meant.said.number != line.number:
        rows.append(f"it is number {one.meant.said.number} of {one.meant.script}")
    return "\n  ".join([*rows, _measures(one, line), *_faults(one.made)])


def _measures(one: Taken, line: Line) -> str:
    old, made = one.line, one.made
    kind = "estimated" if old.voice is None else "spoken" if old.scratch else "before"
    frames = (line.end_frame - line.first_frame) - (old.end_frame - old.first_frame)
    held = ", held back by its peaks" if made.held_back else ""
    return (
        f"{_seconds(line.end - line.start)}, {_seconds(old.end - old.start)} {kind},"
        f" {_moved(frames)}; {_seconds(made.cut_head + made.cut_tail)} of silence off,"
        f" {made.gain:+.1f} dB to {made.loudness:.1f} LUFS{held}"
    )


def _faults(made: Recording) -> Iterator[str]:
    """Yield what is wrong with a recording, and what to do."""
    from animatic.frames import decimal

    if made.clipped is not None:
        places = counted(made.clipped.places, "place")
        first = f"{'the first ' if made.clipped.places > 1 else ''}at"
        yield (
            f"it is clipped in {places}, {first} {decimal(made.clipped.first, 2)} s: that cannot"
            " be mended; ask for it again, recorded softer"
        )
    if not made.is_told and not (made.cut_head and made.cut_tail):
        yield (
            "it has no silence around the line, or its room is too near to the voice to tell:"
            " listen to it; --threshold cuts more, or cut it by hand"
        )


def _seconds(samples: int) -> str:
    from animatic.frames import SAMPLE_RATE, decimal

    return f"{decimal(Fraction(samples, SAMPLE_RATE), 2)} s"


def overruns(board: Board, timeline: Timeline, numbers: set[int]) -> list[Finding]:
    """Return what `check` finds of lines that run over, in the shots with lines of these numbers.

    Recordings that are too long may push others over the end.
    """
    from animatic.timeline.finding import Checked
    from animatic.timeline.heardfindings import overrunning_dialogue

    shots = {
        panel.shot
        for panel in timeline.panels
        if any(line.number in numbers for line in panel.lines)
    }
    found = overrunning_dialogue(Checked(board, timeline))
    return [finding for finding in found if finding.shot in shots]


def _moved(frames: int) -> str:
    """Return by how much a line is longer.

    >>> _moved(3), _moved(-1), _moved(0)
    ('3 frames longer', '1 frame shorter', 'as long')
    """
    if not frames:
        return "as long"
    return f"{counted(abs(frames), 'frame')} {'longer' if frames > 0 else 'shorter'}"
