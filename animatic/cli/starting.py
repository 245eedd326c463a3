"""start: a first board from a folder of photos."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import click

from animatic.cli.common import counting
from animatic.cli.options import Folder
from animatic.errors import UsageError
from animatic.words import counted

if TYPE_CHECKING:
    from animatic.start import Look

_UNWRITABLE = "the name has signs that a board cannot hold; give the file another name"


@click.command()
@click.argument("photos", type=Folder("name the folder with the photos"), metavar="PHOTOS")
@click.option("--title", help="The film's title; else the folder's name.")
def start(photos: Path, title: str | None) -> None:
    """Make a first board from a folder of photos.

    Writes board.yaml into the folder: photos in the order they were taken, of each burst the
    sharpest, a setup for each stretch between long pauses. Photos are read, never changed,
    moved or copied. RAW photos, videos and folders beside the photos are not read, but named.
    A board that is there stays as it is: of photos that it does not name, the rows are printed,
    to be put where they belong.
    """
    from animatic.files import write_beside
    from animatic.start import draft_board
    from animatic.start.look import NO_HEIC, find_photos
    from animatic.start.naming import is_writable, readable
    from animatic.start.passed import passed_over

    board = photos / "board.yaml"
    found = find_photos(photos)
    if board.exists():
        _print_more(board, found)
        return
    for words in passed_over(photos):
        click.echo(f"{readable(str(photos))}: not looked at: {words}", err=True)
    if not found:
        raise UsageError(f"{photos}: no photo in this folder (JPEG, PNG, TIFF, WebP, HEIC)")
    named = [path for path in found if is_writable(path.name)]
    looks, faults = _look(named)
    unwritten = dict.fromkeys(set(found) - set(named), _UNWRITABLE)
    for path, words in sorted({**faults, **unwritten}.items()):
        click.echo(f"{readable(str(path))}: {words}; left out", err=True)
    if not looks:
        raise UsageError(f"{photos}: none of the photos can be read")
    draft = draft_board(looks, readable(title or photos.resolve().name))
    write_beside(board, draft.text)
    for note in draft.notes:
        click.echo(note, err=True)
    click.echo(readable(str(board)))
    heic = list(faults.values()).count(NO_HEIC)
    left_out = [f"{draft.left_out} near-duplicates", f"{len(faults) - heic} damaged"]
    if heic:
        left_out.append(f"{heic} HEIC")
    if unwritten:
        left_out.append(f"{len(unwritten)} with a name that a board cannot hold")
    click.echo(
        f"{counted(draft.panels, 'panel')} on {counted(draft.setups, 'setup')};"
        f" {', '.join(left_out[:-1])} and {left_out[-1]} left out of {counted(len(found), 'photo')}"
    )


def _print_more(board: Path, found: list[Path]) -> None:
    """Print rows for the photos that a board does not name; it stays as it is."""
    from animatic.start import more_panels
    from animatic.start.naming import is_writable, quoted, readable

    text = board.read_bytes().decode("utf-8", "replace")
    new = [
        path
        for path in found
        if is_writable(path.name) and not _names(text, path.name, quoted(path.name))
    ]
    if not new:
        raise UsageError(
            f"{board}: there is a board already, and it names every photo; work on with it,"
            " or move it away"
        )
    looks, faults = _look(new)
    for path, words in sorted(faults.items()):
        click.echo(f"{readable(str(path))}: {words}; left out", err=True)
    rows, count = more_panels(looks, text)
    if count:
        click.echo(
            f"{board} is there already and stays as it is; it does not name"
            f" {counted(len(looks), 'photo')}: put these rows where they belong under panels",
            err=True,
        )
        click.echo(rows, nl=False)


def _names(text: str, *names: str) -> bool:
    """Whether a board's text has one of these names, not as the end or the beginning of another."""
    return any(re.search(rf"(?<![\w-]){re.escape(name)}(?![\w.-])", text) for name in names)


def _look(found: list[Path]) -> tuple[list[Look], dict[Path, str]]:
    from animatic.start.look import look_at_photos

    with counting("looking", "photo") as tell:
        return look_at_photos(found, lambda done: tell(done, len(found)))
