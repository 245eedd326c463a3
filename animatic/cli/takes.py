"""takes: what is shot, held against the plan; and takes in the film that is assembled."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from animatic.cli.common import (
    check_file,
    counting,
    emit,
    read,
    refuse_among_takes,
)
from animatic.cli.options import board_and_folder, file_option, format_option
from animatic.errors import listed
from animatic.words import counted

if TYPE_CHECKING:
    from animatic.board import Board
    from animatic.shoot.takes import Shoot
    from animatic.timeline import Timeline

_BYTES = ("pdf", "png", "xlsx")
"""Formats that go into a file of their own where none is named."""


@click.command(short_help="Hold the takes against the plan: to do, shooting, shot.")
@board_and_folder("name the folder with the takes")
@format_option(["table", "csv", "md", "json"], "How the list is written.")
@file_option
def takes(board: Path, folder: Path, form: str, file: Path | None) -> None:
    """Hold the takes in FOLDER against the plan: to do, shooting or shot.

    A take is a folder of numbered pictures, or a video, named as `media` in the board says:
    40_take2. Each shot is listed with its frames, what is missing, and the poses left; the
    days left are reckoned from the times of the frames themselves. What is damaged is named.
    Nothing in FOLDER is ever changed.
    """
    from animatic.shoot import takerows

    check_file(file, form)
    loaded, timeline = read(board)
    refuse_written_among(folder, file, form, loaded)
    state = takerows.state_of(loaded, shoot_in(timeline, folder))
    writers = {
        "table": takerows.text,
        "csv": takerows.csv,
        "md": takerows.markdown,
        "json": takerows.json,
    }
    if form == "csv":
        # The rows have the findings of their shots; all of them are said, as in other formats.
        for finding in state.shoot.findings:
            click.echo(str(finding), err=True)
    emit(writers[form](state), form, file, loaded, "takes")


def refuse_written_among(takes: Path, file: Path | None, form: str, board: Board) -> None:
    """Raise UsageError where what a command makes would be written among the takes."""
    if file is not None:
        refuse_among_takes(takes, file, "--file")
    elif form in _BYTES:
        refuse_among_takes(takes, board.folder / "out", "--file", is_said=False)


def shoot_in(timeline: Timeline, folder: Path) -> Shoot:
    """Return the takes in a folder; shows progress on a terminal."""
    from animatic.shoot.takes import look_over

    with counting("takes", "picture") as tell:
        return look_over(timeline, folder, tell)


def film_with_takes(shoot: Shoot, part: Timeline, *, unfinished: bool) -> Timeline:
    """Return a part of the film with its takes; says which are left out, and how many shown."""
    from animatic.timeline.taken import with_takes

    names = {shot.name for shot in part.shots}
    takes = shoot.takes(unfinished=unfinished)
    for finding in shoot.in_film(takes):
        if not finding.shot or finding.shot in names:
            click.echo(str(finding), err=True)
    shown = {name: take for name, take in takes.items() if name in names}
    words = f"{counted(len(shown), 'shot')} as shot, {len(names) - len(shown)} as photos"
    click.echo(words, err=True)
    return with_takes(part, shown)


def edited(timeline: Timeline, shoot: Shoot) -> Timeline:
    """Return the film whose sources are its takes; says which have to be made ready first."""
    sources = shoot.sources()
    one_a_pose = [name for name, source in sources.items() if source.is_one_a_pose]
    late = [name for name, source in sources.items() if source.late]
    for words, names in (
        (
            "takes with one picture a pose, and the lists for the edit count one a frame: expand"
            " them first, each pose to its frames on the exposure sheet",
            one_a_pose,
        ),
        (
            "takes without all that comes before the cut: the remarks in the lists for the edit say"
            " at which of its frames each begins",
            late,
        ),
    ):
        if names:
            click.echo(f"{words} (shot {listed(names)})", err=True)
    return replace(timeline, sources=sources)
