"""What the commands say: findings, and what was assembled."""

from __future__ import annotations

import json
import re
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from animatic.errors import MachineError
from animatic.files import write_beside
from animatic.frames import milliseconds_from_frames
from animatic.timeline import Timeline
from animatic.timeline.excerpt import excerpt, half_size, resized
from animatic.timeline.findings import Finding, findings

if TYPE_CHECKING:
    from animatic.board import Board
    from animatic.film import Progress

__all__ = ["assemble", "check", "running_time"]

FLASH_CAUTION = (
    "Caution: cuts this fast can flash, and flashing pictures can hurt people with"
    " photosensitive epilepsy; see docs/cautions.md."
)
MUSIC_CAUTION = "Clear every piece of music and sound before anything is published."


def running_time(timeline: Timeline) -> str:
    """Return the film's length as minutes, seconds and thousandths: 1:04.500."""
    ms = milliseconds_from_frames(timeline.frames, timeline.rate)
    return f"{ms // 60_000}:{ms // 1000 % 60:02}.{ms % 1000:03}"


def check(board: Board, timeline: Timeline, form: str) -> list[Finding]:
    """Print the findings of a board as text or JSON, and return them."""
    found = findings(board, timeline)
    if form == "json":
        listed = [
            {
                "kind": finding.kind,
                "shot": finding.shot,
                "file": finding.place.file,
                "line": finding.place.line,
                "column": finding.place.column,
                "found": finding.words,
                "hint": finding.hint,
            }
            for finding in found
        ]
        click.echo(json.dumps({"findings": listed}, ensure_ascii=False, indent=2))
        return found
    for finding in found:
        click.echo(str(finding))
    if any(finding.kind == "short" for finding in found):
        click.echo(FLASH_CAUTION)
    shots, panels = len(timeline.shots), len(timeline.panels)
    size = f"{timeline.frames} frames at {timeline.rate}, {running_time(timeline)}"
    click.echo(f"{board.file}: {shots} shots, {panels} panels, {size}")
    click.echo(f"no errors; {_counted(len(found), 'finding')} to look at")
    return found


def _counted(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def assemble(
    loaded: tuple[Board, Timeline],
    out: Path | None,
    size: tuple[int, int] | None,
    draft: bool,
    first: str | None,
    last: str | None,
) -> None:
    """Write film, captions and shot lists of a board, and say what was written."""
    from animatic.film import write_film
    from animatic.sheets import FORMATS, write_captions

    board, whole = loaded
    timeline = excerpt(whole, first, last)
    size = size or timeline.size
    timeline = resized(timeline, half_size(size) if draft else size)
    folder = out if out is not None else board.folder / "out"
    _make_folder(folder)
    part = f"_{_plain(timeline.shots[0].name)}-{_plain(timeline.shots[-1].name)}"
    name = "film" + (part if first or last else "") + ("_draft" if draft else "")
    with _progress("film") as tell:
        report = write_film(timeline, folder / f"{name}.mp4", progress=tell)
    written = [report.path, folder / f"{name}.vtt"]
    write_beside(written[-1], write_captions(timeline))
    if not (first or last):
        for suffix in ("csv", "md"):
            written.append(folder / f"shots.{suffix}")
            write_beside(written[-1], FORMATS[suffix](whole))
    for path in written:
        click.echo(str(path))
    width, height = timeline.size
    click.echo(
        f"{_counted(len(timeline.shots), 'shot')}, {timeline.frames} frames at {timeline.rate},"
        f" {running_time(timeline)}, {width}x{height};"
        f" {sum(shot.poses for shot in timeline.shots)} poses to set"
    )
    _say_what_to_mind(board, whole)


def _say_what_to_mind(board: Board, timeline: Timeline) -> None:
    found = findings(board, timeline)
    if found:
        kinds = Counter(finding.kind for finding in found)
        listed = ", ".join(f"{kind} {number}" for kind, number in sorted(kinds.items()))
        click.echo(f"{_counted(len(found), 'finding')} to look at ({listed}): animatic check")
    if any(finding.kind == "short" for finding in found):
        click.echo(FLASH_CAUTION)
    if any(cue.bus != "dialogue" for cue in timeline.cues):
        click.echo(MUSIC_CAUTION)


def _plain(name: str) -> str:
    """Return a shot name as part of a file name."""
    return re.sub(r"[^\w-]+", "_", name)


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise MachineError(
            f"{folder}: the folder cannot be made ({fault.strerror}); choose another with --out"
        ) from None


@contextmanager
def _progress(what: str) -> Iterator[Callable[[Progress], None] | None]:
    """Give a callback that draws progress with the time left; None where nobody looks."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, TextColumn, TimeRemainingColumn
    from rich.progress import Progress as Bar

    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        TextColumn("frame {task.completed} of {task.total}"),
        TimeRemainingColumn(compact=True),
        TextColumn("left"),
    )
    with Bar(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(what, total=None)
        yield lambda progress: bar.update(task, completed=progress.done, total=progress.total)
