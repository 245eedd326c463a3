"""check and shots: the board looked over, and its shot list printed."""

from __future__ import annotations

import json
from pathlib import Path

import click

from animatic.cli.common import (
    FLASH_CAUTION,
    FLASHING,
    check_file,
    emit,
    found_in,
    read,
)
from animatic.cli.options import (
    board_argument,
    file_option,
    format_option,
    paper_option,
    takes_option,
)
from animatic.cli.papers import edit_lists, say_unlettered, shot_list
from animatic.cli.takes import edited, refuse_written_among, shoot_in
from animatic.errors import UsageError
from animatic.words import counted


@click.command()
@board_argument
@click.option("--strict", is_flag=True, help="Fail (exit 1) where there is any finding.")
@format_option(["text", "json"], "How the findings are written.")
@click.pass_context
def check(ctx: click.Context, board: Path, strict: bool, form: str) -> None:
    """Look the board over: errors, and findings that are worth a look."""
    from animatic.board.voices import silent_lines
    from animatic.sheets.rows import run_time
    from animatic.timeline.level import levels

    loaded, timeline = read(board)
    found, evened = found_in(loaded, timeline), levels(loaded)
    if form == "json":
        listed: dict[str, object] = {"findings": [finding.as_dict() for finding in found]}
        if evened:
            listed["levels"] = [one.as_dict() for one in evened]
        click.echo(json.dumps(listed, ensure_ascii=False, indent=2))
    else:
        for finding in found:
            click.echo(str(finding))
        if any(finding.kind in FLASHING for finding in found):
            click.echo(FLASH_CAUTION)
        if silent := silent_lines(loaded.content):
            click.echo(silent)
        for one in evened:
            if one.is_told:
                click.echo(str(one))
        click.echo(
            f"{loaded.file}: {counted(len(timeline.shots), 'shot')},"
            f" {counted(len(timeline.panels), 'panel')}, {counted(timeline.frames, 'frame')}"
            f" at {timeline.rate}, {run_time(timeline)}"
        )
        click.echo(f"no errors; {counted(len(found), 'finding')} to look at")
    if found and strict:
        ctx.exit(1)


@click.command(short_help="Print the shot list with exact frame counts.")
@board_argument
@format_option(
    ["table", "csv", "md", "json", "xlsx", "pdf", "html", "edl", "otio"],
    "How the list is written; edl and otio are for the edit.",
)
@takes_option("With --format edl or otio, name the takes in FOLDER that count.")
@paper_option
@file_option
def shots(board: Path, form: str, takes: Path | None, paper: str, file: Path | None) -> None:
    """Print the shot list with exact frame counts, or write it in another format.

    pdf, xlsx and html have what each setup needs too, pdf and html a picture of each shot.
    Without --file pdf and xlsx go into the folder out beside the board, the others to the screen.
    An edit decision list has 999 events at most: with --file each of a longer film's goes into a
    file of its own, numbered.
    """
    from rich.console import Console

    from animatic.sheets import terminal

    check_file(file, form)
    if takes is not None and form not in ("edl", "otio"):
        raise UsageError("--takes goes with --format edl or otio")
    loaded, timeline = read(board)
    if takes is not None:
        refuse_written_among(takes, file, form, loaded)
        timeline = edited(timeline, shoot_in(timeline, takes))
    if form == "table" and file is None:
        terminal.show(timeline, Console())
    else:
        lists = edit_lists(timeline, file or Path("shots.edl")) if form == "edl" else {}
        if len(lists) > 1 and file is not None:
            for part, content in lists.items():
                emit(content, form, part, loaded, "shots")
            return
        if form == "pdf":
            say_unlettered(loaded, timeline)
        emit(shot_list(loaded, timeline, form, paper), form, file, loaded, "shots")
        if len(lists) > 1:
            words = f"these are {len(lists)} lists; --file writes each into a file of its own"
            click.echo(words, err=True)
