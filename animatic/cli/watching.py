"""watch: the film made again whenever the board or a file that it names changes."""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from pathlib import Path
from time import perf_counter
from typing import TYPE_CHECKING

import click

from animatic.cli.assemble import Wanted, make_film
from animatic.cli.common import read
from animatic.cli.options import board_argument, out_option
from animatic.errors import AnimaticError, UsageError
from animatic.words import counted

if TYPE_CHECKING:
    from animatic.timeline.differences import Laid


Stamps = dict[Path, tuple[int, int] | None]
"""When files were changed and how long they are; None for those that are not there."""
SETTLE_MS = 200
"""Changes that come closer together than this are one: editors write in several steps."""


@click.command(short_help="Assemble again whenever the board or a file changes.")
@board_argument
@out_option
@click.option("--full", is_flag=True, help="The board's own picture size, not half of it.")
def watch(board: Path, out: Path | None, full: bool) -> None:
    """Assemble again whenever the board, a photo or a sound changes; Ctrl-C ends it.

    Makes film_draft.mp4 in half the picture size, and says what changed in frames. A board
    that is at fault, or half written, is named and waited for; the old film stays.
    """
    from animatic.board import find_board

    try:
        keep_watching(find_board(board), Wanted(out=out, draft=not full))
    except KeyboardInterrupt:
        click.echo("\nended; the last whole film stays")


def keep_watching(file: Path, wanted: Wanted, stop: threading.Event | None = None) -> None:
    """Assemble at once, and again at each change, until `stop` is set."""
    stop = stop or threading.Event()
    seen = _stamps(file)
    laid = _assembled(file, wanted, None)
    click.echo(f"watching {file}; Ctrl-C ends it")
    while _wait_for_change(file, seen, stop):
        before, seen = seen, _stamps(file)
        _say_files(file, before, seen)
        laid = _assembled(file, wanted, laid) or laid


def _say_files(file: Path, before: Stamps, now: Stamps) -> None:
    """Name the photos and sounds that are not what they were, which the board does not tell."""
    for path in sorted(path for path in before.keys() & now.keys() if before[path] != now[path]):
        if path != file.absolute():
            what = "is gone" if now[path] is None else "has changed"
            click.echo(f"{os.path.relpath(path, file.absolute().parent)} {what}")


def _stamps(file: Path) -> Stamps:
    """Return time of change and size of the board and of each file that it names."""
    found: Stamps = {}
    for path in (file.absolute(), *_named_files(file)):
        try:
            state = path.stat()
            found[path] = (state.st_mtime_ns, state.st_size)
        except OSError:
            found[path] = None
    return found


def _wait_for_change(file: Path, seen: Stamps, stop: threading.Event) -> bool:
    """Return when a file that matters is not as it was seen; False when it is time to stop."""
    from watchfiles import watch as changes

    folders = {path.parent for path in seen if path.parent.is_dir()}

    def matters(kind: object, path: str) -> bool:
        return Path(path).absolute() in seen

    # It may have changed while the film was made, before anybody watched: so look first.
    if _stamps(file) != seen:
        return True
    events = changes(
        *folders,
        watch_filter=matters,
        debounce=SETTLE_MS,
        rust_timeout=1000,
        yield_on_timeout=True,
        stop_event=stop,
        recursive=False,
        raise_interrupt=True,
    )
    return any(_stamps(file) != seen for _ in events)


def _named_files(file: Path) -> Iterator[Path]:
    """Yield the files that the board names as it is now, as far as it can be read."""
    from animatic.board.checks import named_files
    from animatic.board.read import content_of
    from animatic.board.text.yamltree import parse

    try:
        content, _ = content_of(parse(file.read_bytes(), str(file)))
    except (AnimaticError, OSError):
        return
    if content is not None:
        yield from (named.path for named in named_files(content, file.absolute().parent))


def _assembled(file: Path, wanted: Wanted, before: Laid | None) -> Laid | None:
    """Make the film and say what changed; None, with the reason told, where it cannot be."""
    began = perf_counter()
    try:
        board, timeline = read(file)
        film = make_film(board, timeline, wanted).files[0]
    except UsageError as fault:
        # An editor that replaces the file leaves none for a moment.
        click.echo(f"{fault}; waiting", err=True)
        return None
    except AnimaticError as fault:
        click.echo(f"{fault}\nthe film stays as it was; waiting for the next change", err=True)
        return None
    if before is not None:
        _say_changes(before, (board, timeline))
    click.echo(
        f"{film}: {counted(timeline.frames, 'frame')}, made in {perf_counter() - began:.1f} s"
    )
    return board, timeline


def _say_changes(before: Laid, after: Laid) -> None:
    from animatic.sheets.changes import as_text
    from animatic.shoot.planchange import shooting_change
    from animatic.timeline.compare import compare

    comparison = compare(before, after)
    if not comparison.is_none:
        click.echo(as_text(comparison, shooting_change(before, after)), nl=False)
