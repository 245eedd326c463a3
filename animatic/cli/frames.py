"""still and cache: one frame of the film as a picture, and what is kept between runs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from animatic.cli.common import read
from animatic.cli.options import board_argument, file_option
from animatic.errors import UsageError

if TYPE_CHECKING:
    from animatic.timeline import Timeline


@click.command()
@board_argument
@click.option("--at", "label", metavar="TIMECODE", help="The frame's timecode, as 01:00:12:05.")
@click.option("--shot", "shot", metavar="SHOT", help="The shot; its first frame without --frame.")
@click.option("--frame", type=click.IntRange(0), help="The frame in the shot, or in the film.")
@file_option
@click.option("--counter/--no-counter", default=None, help="With the frame counter, or without.")
def still(
    board: Path,
    label: str | None,
    shot: str | None,
    frame: int | None,
    file: Path | None,
    counter: bool | None,
) -> None:
    """Write one frame of the film as a PNG.

    Frames count from 0. Without --file it is written into the folder out beside the board,
    named by the frame.
    """
    from animatic.cli.common import make_folder, refuse_named, refuse_other_kind
    from animatic.film import write_still

    if file is not None and file.suffix.lower() not in ("", ".png"):
        raise UsageError(f"--file {file}: a frame is written as PNG: name it {file.stem}.png")
    loaded, timeline = read(board)
    if file is not None:
        refuse_other_kind(file, "png")
        refuse_named(file, loaded)
    number = _frame_asked(timeline, label, shot, frame)
    path = file or loaded.folder / "out" / f"still_{number:06}.png"
    make_folder(path.parent)
    is_counted = timeline.lettering.counter if counter is None else counter
    write_still(timeline, number, path, counter=is_counted)
    name = next(s.name for s in timeline.shots if s.start <= number < s.end)
    click.echo(str(path))
    click.echo(f"frame {number}, {timeline.label(number)}, shot {name}")


def _frame_asked(timeline: Timeline, label: str | None, shot: str | None, frame: int | None) -> int:
    from animatic.timecode import frames_from_label
    from animatic.timeline.excerpt import shot_named

    if label is not None:
        if shot is not None or frame is not None:
            raise UsageError("say --at, or --shot and --frame")
        try:
            number = frames_from_label(label, timeline.rate) - timeline.start
        except ValueError as fault:
            raise UsageError(f"--at: {fault}") from None
        if not 0 <= number < timeline.frames:
            where = "before it begins" if number < 0 else "after it ends"
            first, last = timeline.label(0), timeline.label(timeline.frames - 1)
            raise UsageError(
                f"--at {label} lies {where}: the film runs from {first} to {last}"
                f" (frames 0 to {timeline.frames - 1})"
            )
        return number
    if shot is None:
        if frame is None:
            raise UsageError("say which frame: --at 01:00:12:05, or --shot 40 --frame 3")
        return frame
    found = shot_named(timeline, shot)
    if (frame or 0) >= found.frames:
        raise UsageError(f"--frame {frame}: shot {shot} has frames 0 to {found.frames - 1}")
    return found.start + (frame or 0)


@click.command()
@click.option(
    "--size",
    "asked",
    is_flag=True,
    help="Say how much is kept; this is done without an option, too.",
)
@click.option("--clear", is_flag=True, help="Empty it.")
def cache(asked: bool, clear: bool) -> None:
    """Say how much is kept between runs, or empty it.

    Coded pictures and sound are kept so that a retimed film takes no coding; so are spoken
    lines, and what was found in photos, sounds and takes. The folder may be deleted at any
    time; what is missing is made anew.
    """
    from animatic.cli.kept import clear_kept, kept_size
    from animatic.film import Cache

    if asked and clear:
        raise UsageError("say --size or --clear")
    kept = Cache()
    size = kept_size(kept)
    if clear:
        clear_kept(kept)
        click.echo(f"{kept.folder}: {_amount(size)} removed")
    else:
        coded = f"{_amount(kept.size())} of at most {_amount(kept.limit)}"
        click.echo(f"{kept.folder}: {_amount(size)}; coded pictures and sound are {coded}")


def _amount(size: int) -> str:
    """Return a number of bytes in words.

    >>> _amount(1500), _amount(2_000_000_000)
    ('1.5 kB', '2000.0 MB')
    """
    return f"{size / 1e3:.1f} kB" if size < 1_000_000 else f"{size / 1e6:.1f} MB"
