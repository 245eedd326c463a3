"""What the commands share: arguments, reading a board, progress, small words."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from shlex import quote
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
    "again",
    "bytes_as_read",
    "check_file",
    "counting",
    "emit",
    "found_in",
    "make_folder",
    "print_content",
    "read",
    "refuse_among_takes",
    "refuse_named",
    "refuse_other_kind",
    "say_empty",
    "showing_progress",
    "slug",
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
        from animatic.board.keys.sizes import parse_size

        if isinstance(value, tuple):
            return value
        try:
            return parse_size(value)
        except ValueError as fault:
            found, allowed, hint = fault.args
            self.fail(f"{found}; allowed: {allowed}{hint and '; ' + hint}", param, ctx)


def found_in(board: Board, timeline: Timeline) -> list[Finding]:
    """Return all findings: those of the timeline, where the film flashes, what is spoken fast."""
    from animatic.picture.flashing import flashing
    from animatic.timeline.findings import findings

    return findings(board, timeline, [flashing], _voiced(timeline))


def _voiced(timeline: Timeline) -> dict[Path, int]:
    """Return the samples from first to last voice of the lines' recordings, kept as facts are."""
    from animatic.board.media import Memory

    def measure(path: Path) -> list[int]:
        # Here, since it loads numpy and PyAV, and mostly all is known.
        from animatic.sound.voiced import voiced_length

        return [voiced_length(path)]

    memory, found = Memory("media.json"), {}
    for file in dict.fromkeys(line.voice for line in timeline.lines if line.voice is not None):
        facts = memory.recall("voice", file, 1, measure)
        # What cannot be read now is for the sound to say.
        if not isinstance(facts, str):
            found[file] = facts[0]
    memory.keep()
    return found


def read(named: Path) -> tuple[Board, Timeline]:
    """Return a board and its timeline; BoardError with every problem."""
    from animatic.board import read_board
    from animatic.heap import keep_together
    from animatic.timeline import lay_out
    from animatic.timeline.level import levels

    keep_together()
    board = read_board(named)
    if board.media.lights:
        with counting("evening photos", "setup") as tell:
            levels(board, tell)
    return board, lay_out(board)


def bytes_as_read(board: Board) -> bytes:
    """Return what a board's file holds; UsageError where it says something else by now."""
    from animatic.board.text.yamltree import parse
    from animatic.errors import UsageError

    data = board.file.read_bytes()
    if parse(data, str(board.file)).root != board.tree.root:
        raise UsageError(f"{board.file}: another program changed the board just now; try again")
    return data


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


_SUFFIXES = frozenset({"pdf", "csv", "md", "json", "xlsx", "html", "edl", "otio", "ics", "png"})
_BYTES = frozenset({"pdf", "xlsx", "png"})


def check_file(file: Path | None, form: str) -> None:
    """Raise a UsageError where a file's name says another format than the one that is written."""
    from animatic.errors import UsageError

    suffix = file.suffix.lower().removeprefix(".") if file is not None else ""
    suffix = "html" if suffix == "htm" else suffix
    is_other = suffix in _SUFFIXES or (suffix == "txt" and form in _BYTES)
    if file is None or suffix == form:
        return
    if not is_other:
        refuse_other_kind(file, form if form in _SUFFIXES else "txt")
        return
    named = file.with_suffix(f".{form}" if form in _SUFFIXES else ".txt").name
    known = next(p.type for p in click.get_current_context().command.params if p.name == "form")
    other = f", or say --format {suffix}" if suffix in getattr(known, "choices", ()) else ""
    raise UsageError(f"--file {file} and --format {form} disagree: name the file {named}{other}")


def refuse_other_kind(file: Path, suffix: str) -> None:
    """Raise a UsageError where a file to be written is there and is one of another kind."""
    from animatic.errors import UsageError

    if file.exists() and file.suffix.lower() != f".{suffix}":
        raise UsageError(
            f"--file {file}: this is there already and is no .{suffix} file, so it is not written"
            f" over; choose another name, as {file.with_suffix(f'.{suffix}').name}"
        )


def refuse_named(file: Path, board: Board) -> None:
    """Raise a UsageError where a file to be written is one that the board itself uses."""
    from animatic.board.checks import named_files
    from animatic.errors import UsageError

    named = named_files(board.content, board.folder, with_parked=True)
    used = {board.file.resolve(), *(file.path.resolve() for file in named)}
    if file.resolve() in used:
        raise UsageError(f"--file {file}: the board uses this file; choose another name")


def emit(content: str | bytes, form: str, file: Path | None, board: Board, name: str) -> None:
    """Write what a command makes: into `file`, else text to the output.

    What is no text goes without `file` into out in the board's folder, as `name` with its
    format for a suffix. The file that was written is said. UsageError where the board uses it.
    """
    from animatic.files import write_beside

    if file is not None:
        refuse_named(file, board)
    if file is None and isinstance(content, bytes):
        file = board.folder / "out" / f"{name}.{form}"
    if file is None:
        print_content(content)
        return
    make_folder(file.parent)
    write_beside(file, content)
    click.echo(str(file))


def refuse_among_takes(takes: Path, target: Path, option: str, *, is_said: bool = True) -> None:
    """Raise UsageError for a place to write to in the folder of takes, which nothing changes.

    `option` says the place; without `is_said` it is the one that is taken where nobody says it.
    What links in the folder lead to belongs to the takes too.
    """
    from animatic.errors import UsageError

    place = target.resolve()
    try:
        links = [path for path in takes.iterdir() if path.is_symlink()]
    except OSError:  # Looking the takes over says what is wrong with the folder.
        links = []
    if not any(place.is_relative_to(folder.resolve()) for folder in (takes, *links)):
        return
    named, elsewhere = f"{option} {target}: this lies", "choose another place"
    if not is_said:
        named = f"{target}: the command would write here, and this lies"
        elsewhere += f" with {option}, or give the takes a folder of their own"
    raise UsageError(f"{named} in the takes ({takes}), where nothing is ever written; {elsewhere}")


def say_empty(words: str, form: str) -> bool:
    """Say that there is nothing to list, and return whether an empty list is written all the same.

    A program gets the list that it asked for, and the words beside it.
    """
    is_for_programs = form in ("csv", "json")
    click.echo(words, err=is_for_programs)
    return is_for_programs


def slug(name: str) -> str:
    """Return a name as a part of a file's name.

    >>> slug("20 b/1")
    '20_b_1'
    """
    return re.sub(r"[^\w-]+", "_", name)


def again(command: str, board: Path) -> str:
    """Return a command for the same board file, as it can be typed where one stands.

    >>> again("undo", Path("board.yaml")), again("check", Path("my film/board.yaml"))
    ('animatic undo', "animatic check 'my film'")
    """
    from animatic.board.read import NAMES

    named = board.parent if board.name in NAMES else board
    where = "" if named == Path(".") else f" {quote(str(named))}"
    return f"animatic {command}{where}"


class Step(Protocol):
    """How far a piece of work is."""

    @property
    def done(self) -> int:
        """What is done."""

    @property
    def total(self) -> int:
        """What there is to do in all."""


@dataclass(frozen=True, slots=True)
class _Count:
    """How far a piece of work is, by counting."""

    done: int
    total: int


Tell = Callable[[Step], None]


@contextmanager
def showing_progress(what: str, unit: str = "frame") -> Iterator[Tell | None]:
    """Give a callback that draws progress with the time left; None where nobody looks."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, SpinnerColumn, TextColumn, TimeRemainingColumn

    columns = (
        SpinnerColumn(),  # A step may take seconds.
        TextColumn("{task.description}"),
        BarColumn(),
        TextColumn("{task.fields[count]}"),
        TimeRemainingColumn(compact=True),
        TextColumn("left"),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(what, total=None, count="")

        def tell(step: Step) -> None:
            count = f"{unit} {step.done} of {step.total}"
            bar.update(task, completed=step.done, total=step.total, count=count)

        yield tell


@contextmanager
def counting(what: str, unit: str) -> Iterator[Callable[[int, int], None]]:
    """Give a callback that takes what is done and what there is to do, and draws progress."""
    with showing_progress(what, unit) as tell:
        yield lambda done, total: tell(_Count(done, total)) if tell is not None else None
