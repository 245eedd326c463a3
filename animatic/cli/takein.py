"""take-in: recordings that came back, made ready and set in the board in place."""

from __future__ import annotations

import os
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import click

from animatic.cli.common import again, bytes_as_read, make_folder, read
from animatic.cli.options import board_and_folder
from animatic.cli.takeinwords import Asked, Taken, evened, missing, overruns, words
from animatic.errors import AnimaticError, MediaError, UsageError

if TYPE_CHECKING:
    from animatic.board import Board
    from animatic.board.edits.edit import Change
    from animatic.sound.recordings import Recording
    from animatic.timeline import Timeline
    from animatic.timeline.linefiles import Matches
    from animatic.timeline.model import Line
    from animatic.timeline.sentlines import Meant

_FOLDER = Path("sound", "lines")
_SOUNDS = tuple(
    f".{ending}"
    for ending in (
        *("wav", "wave", "aif", "aiff", "flac", "mp3", "m4a", "mp4", "aac", "ogg", "oga"),
        *("opus", "wma", "caf", "w64", "amr", "3gp", "mov", "mkv", "webm"),
    )
)


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
    help="How far (dB) under the line's loudest part silence begins.  [default: 40, or less where"
    " the room is nearer]",
)
@click.option(
    "--pad",
    type=click.IntRange(0, 2000),
    default=80,
    show_default=True,
    help="Milliseconds kept before and after the line.",
)
@click.option(
    "--newest",
    is_flag=True,
    help="Take numbers as the newest script says them, also where one before it says otherwise.",
)
@click.pass_context
def take_in(
    ctx: click.Context,
    board: Path,
    folder: Path,
    loudness: float | None,
    threshold: float | None,
    pad: int,
    newest: bool,
) -> None:
    """Take recordings from FOLDER into the board, each for its line.

    Files are matched by the number of the line, or by the name of the speaker or of the
    present recording. A number is that of the script that lines has written, wherever its line
    stands now; without one, that of the board. They are trimmed, evened in level and written
    under sound/lines/; the originals stay as they are. Says what each new length moves. Files
    that fit no line, or two, are named and left.
    """
    from animatic.sheets.rows import one_line

    loaded, before = read(board)
    matches = _matches(loaded, before, folder, newest)
    asked = _asked(before, loudness, threshold, Fraction(pad, 1000))
    taken, left = _made_ready(loaded, before, folder, matches, asked)
    left = {**matches.left, **left}
    if taken:
        _set(loaded, before, taken, asked)
    else:
        click.echo("nothing is taken in")
    for name, why in sorted(left.items()):
        click.echo(f"{folder / name}: left; {one_line(why)}", err=True)
    if not taken:
        ctx.exit(1)


def _asked(
    timeline: Timeline, loudness: float | None, threshold: float | None, pad: Fraction
) -> Asked:
    """Return how recordings are made ready: as loud as the lines that the cut was judged by."""
    from animatic.sound.recordings import LOUDNESS, usual_loudness

    usual = usual_loudness(line.voice for line in timeline.lines if line.voice)
    if loudness is None:
        loudness = LOUDNESS if usual is None else usual
    return Asked(loudness, usual, threshold, pad)


def _matches(board: Board, timeline: Timeline, folder: Path, newest: bool) -> Matches:
    from animatic.board.sent import kept_scripts
    from animatic.timeline.linefiles import match_files
    from animatic.timeline.sentlines import sent_lines

    if not timeline.lines:
        raise UsageError("the board has no lines to take recordings for")
    names = sorted(p.name for p in folder.iterdir() if p.is_file() and p.name[0] not in "._")
    sounds = [name for name in names if Path(name).suffix.lower() in _SOUNDS]
    if not sounds:
        raise UsageError(f"{folder}: there is no recording in this folder")
    scripts, lost = kept_scripts(board.file)
    for path in lost:
        click.echo(
            f"{path}: this is damaged; it said which lines a script had, so look whether the words"
            " of each line fit",
            err=True,
        )
    damaged = {name: why for name in sounds if (why := _damage(folder / name))}
    whole = [name for name in sounds if name not in damaged]
    sent = sent_lines(board, timeline, scripts, newest_counts=newest)
    matches = match_files(timeline.lines, whole, sent)
    matches.left.update(damaged)
    matches.left.update({name: "this is no sound" for name in names if name not in sounds})
    return matches


def _damage(file: Path) -> str:
    """Return why a sound cannot be used at all; nothing where it can."""
    from animatic.sound.decode import sound_length

    if not file.stat().st_size:
        return "this file is damaged: it is empty; have it sent again"
    try:
        sound_length(file)
    except MediaError as fault:
        return str(fault).removeprefix(f"{file}: ")
    return ""


def _made_ready(
    board: Board, timeline: Timeline, folder: Path, matches: Matches, asked: Asked
) -> tuple[list[Taken], dict[str, str]]:
    """Return the recordings made ready, and why others could not be."""
    from animatic.sound.recordings import ready_recording

    taken, left = [], {}
    lines = {line.number: line for line in timeline.lines}
    for number, name in matches.lines.items():
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
        line, meant = lines[number], matches.meant.get(number)
        named = _named(line, meant, len(timeline.lines))
        taken.append(Taken(line, name, _kept(board, named, made), made, meant))
    return taken, left


def _named(line: Line, meant: Meant | None, count: int) -> str:
    """Return what a recording is called: by its number in the script that it was made from.

    So a name means one line, as long as the script does.
    """
    from animatic.timeline.linefiles import line_file

    return line_file(line, count) if meant is None else line_file(meant.said, meant.count)


def _kept(board: Board, named: str, ready: Recording) -> Path:
    """Write a recording and return its path; what is there under its name already stays."""
    from animatic.sound.wavefile import write_wav

    folder = board.folder / _FOLDER
    make_folder(folder)
    with TemporaryDirectory(prefix=".animatic-", dir=folder) as passing:
        made = Path(passing, "line.wav")
        write_wav(made, [ready.samples[:, None]], len(ready.samples), 1)
        name = Path(named)
        again = 1
        target = folder / name
        while target.exists():
            if target.read_bytes() == made.read_bytes():
                return target
            again += 1
            target = folder / f"{name.stem}_{again}{name.suffix}"
        os.replace(made, target)
    return target


def _set(board: Board, before: Timeline, taken: list[Taken], asked: Asked) -> None:
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
        click.echo(words(board, one, new[one.line.number]))
    click.echo(evened(asked))
    over = overruns(*after, {one.line.number for one in taken})
    if copy is None:
        click.echo("the board has all of them already")
    elif [panel.frames for panel in before.panels] == [panel.frames for panel in after[1].panels]:
        held = "" if over else ": the panels hold their lines' new lengths"
        click.echo(f"no cut moves{held}")
    else:
        changed = compare((board, before), after)
        click.echo(as_text(changed, shooting_change((board, before), after)), nl=False)
    for finding in over:
        click.echo(str(finding))
    click.echo(missing(*after))
    if copy is not None:
        click.echo(f"the old board is kept as {copy}; {again('undo', board.file)} brings it back")


def _changes(board: Board, timeline: Timeline, taken: list[Taken]) -> list[Change]:
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
