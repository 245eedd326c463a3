"""fit: the film to a length, or its cuts to the beats of the music."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import click

from animatic.cli.common import again, bytes_as_read, read
from animatic.cli.options import board_argument
from animatic.errors import MediaError, UsageError
from animatic.words import counted

if TYPE_CHECKING:
    from animatic.board import Board, Duration
    from animatic.timeline import Timeline


@click.command(short_help="Bring the film to an exact length, or cuts to beats.")
@board_argument
@click.option("--length", "length", metavar="LENGTH", help="The film's length, as 1m12s or 60f.")
@click.option("--frames", type=click.IntRange(1), help="The film's length in frames.")
@click.option(
    "--to",
    "music",
    type=click.Path(path_type=Path),
    help="A sound file whose length the film takes: here, or from the board's folder.",
)
@click.option("--beats", is_flag=True, help="Move cuts to the nearest beats of the music.")
@click.option(
    "--tolerance",
    type=click.IntRange(0, 48),
    default=5,
    show_default=True,
    help="Frames that a cut may move to a beat.",
)
@click.option(
    "--all",
    "everything",
    is_flag=True,
    help="Move counts such as 60f and recorded dialogue too: all but locked panels.",
)
@click.option("--write", is_flag=True, help="Write the new lengths into the board.")
def fit(
    board: Path,
    length: str | None,
    frames: int | None,
    music: Path | None,
    beats: bool,
    tolerance: int,
    everything: bool,
    write: bool,
) -> None:
    """Scale the film to an exact length, or move its cuts to beats.

    Locked panels, recorded dialogue and counts such as 60f stay; with --all only locked panels
    do. Shows each shot that gets another length, before and after, and names the others; the
    board changes only with --write. It then says behind each length what has become of it, as
    2.5s ~58f: exactly 58 frames, and the next fit starts from 2.5s again.
    """
    from animatic.sheets.rows import run_time
    from animatic.timeline.beats import fit_beats
    from animatic.timeline.fit import CannotFit, fit_length

    asked = [option for option in (length, frames, music, beats or None) if option is not None]
    if len(asked) != 1:
        raise UsageError("say one of --length, --frames, --to and --beats")
    loaded, timeline = read(board)
    if beats:
        changes = fit_beats(loaded, timeline, tolerance, everything)
    else:
        wanted = _frames_asked(loaded, timeline, length, frames, music)
        try:
            changes = fit_length(loaded, timeline, wanted, everything)
        except CannotFit as fault:
            more = [] if everything else _way_back(loaded)
            raise CannotFit("\n".join([str(fault), *more])) from None
    if not changes:
        click.echo(f"nothing to change: {counted(timeline.frames, 'frame')}, {run_time(timeline)}")
        _say_held(loaded, timeline, everything)
        return
    was = bytes_as_read(loaded)
    data = _edited(loaded, was, changes)
    after = _laid_again(loaded, data)
    _show(timeline, after)
    if beats:
        _show_beats(loaded, timeline, after)
    _say_broken(loaded, timeline, after)
    _say_held(loaded, after, everything)
    if write:
        from animatic.board.history import replace_board

        replace_board(loaded.file, data, was=was)
        back = again("undo", loaded.file)
        click.echo(f"written to {loaded.file}; {back} brings the old board back")
    else:
        click.echo("nothing is written; --write puts the new lengths into the board")


def _frames_asked(
    board: Board, timeline: Timeline, length: str | None, frames: int | None, music: Path | None
) -> int:
    from animatic.board import parse_duration
    from animatic.frames import frames_from_seconds, round_half_up

    if frames is not None:
        return frames
    if music is not None:
        return frames_from_seconds(_length_of(board, music), timeline.rate)
    try:
        wanted = parse_duration(length or "").in_frames(timeline.rate)
    except ValueError as fault:
        found, allowed, hint = fault.args
        raise UsageError(f"--length: {found}; allowed: {allowed}{hint and '; ' + hint}") from None
    if wanted < 1:
        raise UsageError(f"--length: {length} is less than a frame")
    return round_half_up(wanted)


def _length_of(board: Board, music: Path) -> Fraction:
    """Return the seconds of a sound file that is named from here or from the board's folder."""
    from animatic.audiofile import measure

    file = next((p for p in (music, board.folder / music) if p.is_file()), None)
    if file is None:
        raise UsageError(f"--to: there is no file {music}, neither here nor in {board.folder}")
    try:
        return measure(file).seconds
    except MediaError as fault:
        raise MediaError(f"--to: {file}: {fault}") from None


def _way_back(board: Board) -> list[str]:
    """Say that lengths of before can be had again, where there are some."""
    from animatic.board.history import copies

    lengths = [entry.duration for entry in board.content.panels]
    if not any(length is not None and length.is_own_count for length in lengths):
        return []
    if not copies(board.file):
        return []
    back = again("undo", board.file)
    return [f"if a fit --all has written these counts: {back} brings the former ones back"]


def _edited(board: Board, was: bytes, lengths: dict[int, Duration | None]) -> bytes:
    """Return the board's bytes with the new lengths; None takes a panel's length out."""
    from animatic.board.edits.edit import Change, Removal, edited

    edits: list[Change | Removal] = []
    for index, length in sorted(lengths.items()):
        path = ("panels", index, "duration")
        edits.append(Removal(path) if length is None else Change(path, str(length)))
    return edited(was, edits, str(board.file))


def _laid_again(board: Board, data: bytes) -> Timeline:
    """Return the timeline of edited bytes; BoardError where the new lengths do not fit."""
    from animatic.board.read import board_from_bytes
    from animatic.timeline import lay_out

    return lay_out(board_from_bytes(data, board.file))


def _show(before: Timeline, after: Timeline) -> None:
    """Print the shots whose length changes and the film, and name those that stay."""
    from animatic.errors import listed
    from animatic.sheets import table
    from animatic.sheets.rows import run_time

    poses = sum(s.poses for s in after.shots) - sum(s.poses for s in before.shots)
    rows = [
        _row(old.name, old.frames, new.frames, new.poses - old.poses)
        for old, new in zip(before.shots, after.shots, strict=True)
        if old.frames != new.frames
    ]
    rows.append(_row("film", before.frames, after.frames, poses))
    heads = [table.Head(key, key, right=key != "shot") for key in rows[0]]
    click.echo(table.as_text(heads, rows))
    stay = [
        old.name
        for old, new in zip(before.shots, after.shots, strict=True)
        if old.frames == new.frames
    ]
    if stay:
        click.echo(f"{counted(len(stay), 'shot')} as before: {listed(stay)}")
    click.echo(f"{run_time(before)} becomes {run_time(after)}")


def _say_held(board: Board, timeline: Timeline, everything: bool) -> None:
    """Say which lines run over a cut since what they need is held."""
    from animatic.timeline.overruns import held_lines

    for words in held_lines(board, timeline, everything):
        click.echo(words)


def _row(name: str, before: int, after: int, poses: int) -> dict[str, int | str]:
    change = f"{after - before:+}"
    return {"shot": name, "before": before, "after": after, "change": change, "poses": f"{poses:+}"}


def _show_beats(board: Board, before: Timeline, after: Timeline) -> None:
    """Say which cuts moved by how much, and how many lie on a beat now, and how near."""
    from animatic.timeline.beats import landings

    old = {shot.name: shot.start for shot in before.shots}
    cuts = landings(board, after)
    for cut in cuts:
        if by := cut.shot.start - old[cut.shot.name]:
            where = "on a beat" if not cut.off else "off the beat"
            if cut.off and cut.is_on:
                side = "after" if cut.off > 0 else "before"
                where = f"{_off(cut.off, after)} {side} a beat"
            moved = f"{by:+} frame{'' if abs(by) == 1 else 's'}"
            click.echo(
                f"cut to shot {cut.shot.name}: {moved}, now at frame {cut.shot.start}, {where}"
            )
    on_beat = [cut.off for cut in cuts if cut.is_on]
    lie = "lies" if len(on_beat) == 1 else "lie"
    words = f"{len(on_beat)} of {counted(len(cuts), 'cut')} {lie} on a beat"
    if near := [off for off in on_beat if off]:
        most = _off(max(near, key=abs), after)
        words += f", {len(near)} of them on the pose nearest to it: at most {most} off"
    click.echo(words)


def _off(frames: int, timeline: Timeline) -> str:
    from animatic.frames import milliseconds_from_frames

    time = milliseconds_from_frames(abs(frames), timeline.rate)
    return f"{counted(abs(frames), 'frame')} ({time} ms)"


def _say_broken(board: Board, before: Timeline, after: Timeline) -> None:
    """Say which shots end within a pose by their new length."""
    from animatic.errors import listed
    from animatic.timeline.finding import Checked
    from animatic.timeline.findings import broken_poses

    changed = {
        new.name
        for old, new in zip(before.shots, after.shots, strict=True)
        if old.frames != new.frames
    }
    broken = dict.fromkeys(one.shot for one in broken_poses(Checked(board, after)))
    if names := [name for name in broken if name in changed]:
        end = "ends" if len(names) == 1 else "end"
        click.echo(
            f"{counted(len(names), 'shot')} {end} within a pose: {listed(names)}; the last pose"
            " is exposed for fewer frames"
        )
