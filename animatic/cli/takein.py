"""take-in: recordings that came back, made ready and set in the board in place."""

from __future__ import annotations

import os
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import click

from animatic.cli.common import bytes_as_read, make_folder, read
from animatic.cli.options import board_and_folder
from animatic.errors import AnimaticError, MediaError, UsageError
from animatic.words import counted

if TYPE_CHECKING:
    from animatic.board import Board
    from animatic.board.edits.edit import Change
    from animatic.sound.recordings import Recording
    from animatic.timeline import Timeline
    from animatic.timeline.linefiles import Matches
    from animatic.timeline.model import Line

_FOLDER = Path("sound", "lines")
_SOUNDS = tuple(
    f".{ending}"
    for ending in (
        *("wav", "wave", "aif", "aiff", "flac", "mp3", "m4a", "mp4", "aac", "ogg", "oga"),
        *("opus", "wma", "caf", "w64", "amr", "3gp", "mov", "mkv", "webm"),
    )
)


@dataclass(frozen=True, slots=True)
class _Asked:
    """How recordings are made ready."""

    loudness: float
    usual: float | None
    """LUFS that the lines had before; None where there were none."""
    threshold: float
    pad: Fraction


@dataclass(frozen=True, slots=True)
class _Taken:
    """A recording that was made ready."""

    line: Line
    came: str
    file: Path
    made: Recording


@click.command("take-in", short_help="Take returned recordings into the board.")
@board_and_folder("name the folder with the recordings")
@click.option(
    "--loudness",
    type=click.FloatRange(-40, -10),
    help="The loudness (LUFS) that all lines are brought to.  [default: that of the lines the"
    " board has, else -23]",
)
@click.option(
    "--threshold",
    type=click.FloatRange(10, 80),
    default=40.0,
    show_default=True,
    help="How far (dB) under the line's loudest part silence begins.",
)
@click.option(
    "--pad",
    type=click.IntRange(0, 2000),
    default=80,
    show_default=True,
    help="Milliseconds kept before and after the line.",
)
@click.pass_context
def take_in(
    ctx: click.Context,
    board: Path,
    folder: Path,
    loudness: float | None,
    threshold: float,
    pad: int,
) -> None:
    """Take recordings from FOLDER into the board, each for its line.

    Files are matched by the number of the line, or by the name of the speaker or of the
    present recording. They are trimmed, evened in level and written under sound/lines/; the
    originals stay as they are. Says what each new length moves. Files that fit no line, or
    two, are named and left.
    """
    loaded, before = read(board)
    matches = _matches(before, folder)
    asked = _asked(before, loudness, threshold, Fraction(pad, 1000))
    taken, left = _made_ready(loaded, before, folder, matches.lines, asked)
    left = {**matches.left, **left}
    if taken:
        _set(loaded, before, taken, asked)
    else:
        click.echo("nothing is taken in")
    for name, why in sorted(left.items()):
        click.echo(f"{folder / name}: left; {why}", err=True)
    if not taken:
        ctx.exit(1)


def _asked(timeline: Timeline, loudness: float | None, threshold: float, pad: Fraction) -> _Asked:
    """Return how recordings are made ready: as loud as the lines that the cut was judged by."""
    from animatic.sound.recordings import LOUDNESS, usual_loudness

    usual = usual_loudness(line.voice for line in timeline.lines if line.voice)
    if loudness is None:
        loudness = LOUDNESS if usual is None else usual
    return _Asked(loudness, usual, threshold, pad)


def _evened(asked: _Asked) -> str:
    """Return what the level does to the balance.

    >>> _evened(_Asked(-23.0, -17.0, 40.0, Fraction(0)))
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


def _missing(timeline: Timeline) -> str:
    """Return which lines have no recording yet."""
    from animatic.sheets.rows import one_line

    missing = [line for line in timeline.lines if line.voice is None or line.scratch]
    if not missing:
        return "every line has its recording"
    named = ", ".join(f"{line.number} ({one_line(line.who)})" for line in missing)
    return f"still to come: {counted(len(missing), 'line')}: {named}"


def _matches(timeline: Timeline, folder: Path) -> Matches:
    from animatic.timeline.linefiles import match_files

    if not timeline.lines:
        raise UsageError("the board has no lines to take recordings for")
    names = sorted(p.name for p in folder.iterdir() if p.is_file() and p.name[0] not in "._")
    sounds = [name for name in names if Path(name).suffix.lower() in _SOUNDS]
    if not sounds:
        raise UsageError(f"{folder}: there is no recording in this folder")
    matches = match_files(timeline.lines, sounds)
    for name in names:
        if name not in sounds:
            matches.left[name] = "this is no sound"
    return matches


def _made_ready(
    board: Board, timeline: Timeline, folder: Path, files: dict[int, str], asked: _Asked
) -> tuple[list[_Taken], dict[str, str]]:
    """Return the recordings made ready, and why others could not be."""
    from animatic.sound.recordings import ready_recording

    taken, left = [], {}
    lines = {line.number: line for line in timeline.lines}
    for number, name in files.items():
        try:
            made = ready_recording(
                folder / name,
                loudness=asked.loudness,
                threshold=asked.threshold,
                pad=asked.pad,
            )
        except MediaError as fault:
            left[name] = str(fault).removeprefix(f"{folder / name}: ")
            continue
        line = lines[number]
        taken.append(_Taken(line, name, _kept(board, timeline, line, made), made))
    return taken, left


def _kept(board: Board, timeline: Timeline, line: Line, ready: Recording) -> Path:
    """Write a recording and return its path; what is there under its name already stays."""
    from animatic.sound.wavefile import write_wav
    from animatic.timeline.linefiles import line_file

    folder = board.folder / _FOLDER
    make_folder(folder)
    with TemporaryDirectory(prefix=".animatic-", dir=folder) as passing:
        made = Path(passing, "line.wav")
        write_wav(made, [ready.samples[:, None]], len(ready.samples), 1)
        name = Path(line_file(line, len(timeline.lines)))
        again = 1
        target = folder / name
        while target.exists():
            if target.read_bytes() == made.read_bytes():
                return target
            again += 1
            target = folder / f"{name.stem}_{again}{name.suffix}"
        os.replace(made, target)
    return target


def _set(board: Board, before: Timeline, taken: list[_Taken], asked: _Asked) -> None:
    """Set the recordings in the board, and say what that changes."""
    from animatic.board.edits.edit import edited
    from animatic.board.history import replace_board
    from animatic.sheets.changes import as_text
    from animatic.shoot.planchange import shooting_change
    from animatic.timeline import lay_out
    from animatic.timeline.compare import compare

    laid: list[tuple[Board, Timeline]] = []
    was = bytes_as_read(board)
    data = edited(was, _changes(board, before, taken), str(board.file))
    copy = None
    try:
        if data != was:
            copy = replace_board(
                board.file, data, was=was, check=lambda b: laid.append((b, lay_out(b)))
            )
    except AnimaticError:
        click.echo(f"the board is as it was; the recordings are in {board.folder / _FOLDER}")
        raise
    after = laid[0] if laid else (board, before)
    new = {line.number: line for line in after[1].lines}
    for one in taken:
        click.echo(_words(board, one, new[one.line.number]))
    click.echo(_evened(asked))
    if copy is None:
        click.echo("the board has all of them already")
    elif [panel.frames for panel in before.panels] == [panel.frames for panel in after[1].panels]:
        click.echo("no cut moves: the panels hold their lines' new lengths")
    else:
        changed = compare((board, before), after)
        click.echo(as_text(changed, shooting_change((board, before), after)), nl=False)
    click.echo(_missing(after[1]))
    if copy is not None:
        click.echo(f"the old board is kept as {copy}; animatic undo brings it back")


def _changes(board: Board, timeline: Timeline, taken: list[_Taken]) -> list[Change]:
    from animatic.board.edits.edit import Change

    files = {one.line.number: one.file for one in taken}
    changes = []
    for panel in timeline.panels:
        written = board.content.panels[panel.index].dialogue
        for index, line in enumerate(panel.lines):
            file = files.get(line.number)
            if file is None:
                continue
            named = file.relative_to(board.folder).as_posix()
            if written[index].voice != named:
                changes.append(Change(("panels", panel.index, "dialogue", index, "voice"), named))
    return changes


def _words(board: Board, one: _Taken, line: Line) -> str:
    """Return what became of a recording: its file, its length against the old, its level."""
    from animatic.frames import SAMPLE_RATE, decimal
    from animatic.sheets.rows import one_line

    def seconds(samples: int) -> str:
        return f"{decimal(Fraction(samples, SAMPLE_RATE), 2)} s"

    old = one.line
    kind = "estimated" if old.voice is None else "spoken" if old.scratch else "before"
    frames = (line.end_frame - line.first_frame) - (old.end_frame - old.first_frame)
    cut = seconds(one.made.cut_head + one.made.cut_tail)
    held = ", held back by its peaks" if one.made.held_back else ""
    return (
        f"line {line.number}, {one_line(line.who)}: {one.came} is now"
        f" {one.file.relative_to(board.folder).as_posix()}\n"
        f"  {seconds(line.end - line.start)}, {seconds(old.end - old.start)} {kind},"
        f" {_moved(frames)}; {cut} of silence off, {one.made.gain:+.1f} dB to"
        f" {one.made.loudness:.1f} LUFS{held}"
    )


def _moved(frames: int) -> str:
    """Return by how much a line is longer.

    >>> _moved(3), _moved(-1), _moved(0)
    ('3 frames longer', '1 frame shorter', 'as long')
    """
    if not frames:
        return "as long"
    return f"{counted(abs(frames), 'frame')} {'longer' if frames > 0 else 'shorter'}"
