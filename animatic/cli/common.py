"""What the commands share: arguments, reading a board, progress, small words."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

import click

if TYPE_CHECKING:
    from animatic.board import Board
    from animatic.timeline import Timeline
    from animatic.timeline.findings import Finding

__all__ = [
    "FLASHING",
    "FLASH_CAUTION",
    "MUSIC_CAUTION",
    "Size",
    "Tell",
    "bytes_as_read",
    "counted",
    "found_in",
    "make_folder",
    "print_content",
    "read",
    "showing_progress",
]

FLASH_CAUTION = (
    "Caution: cuts this fast can flash, and flashing pictures can hurt people with"
    " photosensitive epilepsy; see docs/cautions.md."
)
FLASHING = ("flash", "short")
"""The kinds of finding with which the caution stands."""
MUSIC_CAUTION = "Clear every piece of music and sound before anything is published."


class Size(click.ParamType[tuple[int, int]]):
    """A picture size as 1280x720."""

    name = "WxH"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[int, int]:
        """Return (width, height); both are even and within what a board may say."""
        from animatic.board.sizes import parse_size

        if isinstance(value, tuple):
            return value
        try:
            return parse_size(value)
        except ValueError as fault:
            found, allowed, hint = fault.args
            self.fail(f"{found}; allowed: {allowed}{hint and '; ' + hint}", param, ctx)


def found_in(board: Board, timeline: Timeline) -> list[Finding]:
    """Return all findings: those of the timeline, and where the film flashes."""
    from animatic.picture.flashing import flashing
    from animatic.timeline.findings import findings

    return findings(board, timeline, [flashing])


def read(named: Path) -> tuple[Board, Timeline]:
    """Return a board and its timeline; BoardError with every problem."""
    from animatic.board import read_board
    from animatic.heap import keep_together
    from animatic.timeline import lay_out

    keep_together()
    board = read_board(named)
    return board, lay_out(board)


def bytes_as_read(board: Board) -> bytes:
    """Return what a board's file holds; UsageError where it says something else by now."""
    from animatic.board.yamltree import parse
    from animatic.errors import UsageError

    data = board.file.read_bytes()
    if parse(data, str(board.file)).root != board.tree.root:
        raise UsageError(f"{board.file}: another program changed the board just now; try again")
    return data


def counted(number: int, word: str) -> str:
    """Return a number with its noun.

    >>> counted(1, "shot"), counted(2, "shot")
    ('1 shot', '2 shots')
    """
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def make_folder(folder: Path) -> None:
    """Make a folder and those above it; MachineError where the machine refuses."""
    from animatic.errors import MachineError

    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise MachineError(
            f"{folder}: the folder cannot be made ({fault.strerror}); choose another with --out"
        ) from None


def print_content(content: str | bytes) -> None:
    """Write a file's content to standard output as it is, without changing line ends."""
    data = content.encode() if isinstance(content, str) else content
    sys.stdout.flush()
    sys.stdout.buffer.write(data)


class Step(Protocol):
    """How far a piece of work is."""

    @property
    def done(self) -> int:
        """What is done."""

    @property
    def total(self) -> int:
        """What there is to do in all."""


Tell = Callable[[Step], None]


@contextmanager
def showing_progress(what: str, unit: str = "frame") -> Iterator[Tell | None]:
    """Give a callback that draws progress with the time left; None where nobody looks."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        TextColumn(unit + " {task.completed} of {task.total}"),
        TimeRemainingColumn(compact=True),
        TextColumn("left"),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(what, total=None)
        yield lambda step: bar.update(task, completed=step.done, total=step.total)
