"""lines and mouths: the voice script and the mouth chart."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from animatic.cli.common import check_file, emit, read, say_empty, slug
from animatic.cli.options import board_argument, file_option, format_option, paper_option
from animatic.cli.papers import say_unlettered
from animatic.errors import MachineError
from animatic.words import counted

if TYPE_CHECKING:
    from animatic.board import Board
    from animatic.sheets.table import Cell
    from animatic.timeline import Timeline


@click.command(short_help="Write the voice script for an actor far away.")
@board_argument
@format_option(["pdf", "md", "csv", "json"], "How the script is written.")
@click.option("--who", metavar="SPEAKER", help="The lines of this speaker only.")
@paper_option
@file_option
def lines(board: Path, form: str, who: str | None, paper: str, file: Path | None) -> None:
    """Write the voice script: what an actor far away needs to record the lines.

    Each line has its number, note, the seconds it may take and where it falls; a recording
    guide stands before them. The PDF goes into the folder out beside the board, the other
    formats to the screen, unless --file names a file.

    Each script counts as sent, in every format, also one on the screen: its numbers are kept
    beside the board, and take-in goes by them, wherever the lines stand by then.
    """
    from animatic.sheets import lines as sheet
    from animatic.sheets import linespdf

    check_file(file, form)
    loaded, timeline = read(board)
    script = sheet.rows(loaded, timeline, who)
    if not script and not say_empty(f"{loaded.file}: the board has no lines", form):
        return
    content: str | bytes
    if form == "pdf":
        say_unlettered(loaded, timeline)
        content = linespdf.write(timeline, script, "letter" if paper == "letter" else "a4")
    elif form == "md":
        content = sheet.as_page(timeline, script)
    else:
        content = sheet.as_comma(script) if form == "csv" else sheet.as_list(timeline, script)
    emit(content, form, file, loaded, "lines" if who is None else f"lines_{slug(who)}")
    if file is not None or form == "pdf":
        click.echo(counted(len(script), "line"))
    _keep(loaded, timeline, {row["number"] for row in script})


def _keep(board: Board, timeline: Timeline, numbers: set[Cell]) -> None:
    """Keep which number the script gave to which line, for the recordings that come back."""
    from animatic.board.sent import keep_script
    from animatic.timeline.sentlines import said_lines

    said = [line for line in said_lines(timeline) if line.number in numbers]
    if not said:
        return
    try:
        keep_script(board.file, said)
    except MachineError as fault:
        click.echo(
            f"{fault}; so the numbers of this script are not kept beside the board: take its"
            " recordings in before the lines get another order",
            err=True,
        )


@click.command(short_help="Print on which frame each spoken word begins.")
@board_argument
@format_option(["table", "csv", "json", "md"], "How the chart is written.")
@file_option
def mouths(board: Path, form: str, file: Path | None) -> None:
    """Print the mouth chart: on which frame each spoken word begins.

    Recordings and scratch voices are listened to; words of silent lines are estimated. Frames
    to shoot count from 1 over the shot with its handles, as on the exposure sheet and in takes;
    film frames count from 0.
    """
    from animatic.cli.papers import mouth_chart_of
    from animatic.sheets import mouths as sheet

    check_file(file, form)
    loaded, timeline = read(board)
    chart = mouth_chart_of(timeline)
    listed = sheet.rows(timeline, chart)
    if not listed and not say_empty(f"{loaded.file}: nobody speaks in this board", form):
        return
    if form == "json":
        content = sheet.as_list(timeline, chart)
    elif form == "md":
        content = sheet.as_page(timeline, listed)
    else:
        content = sheet.as_comma(listed) if form == "csv" else sheet.as_table(listed)
    emit(content, form, file, loaded, "mouths")
