"""compare and pace: what a change costs, and how the film moves."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from animatic.cli.common import make_folder, read
from animatic.cli.options import board_argument, format_option, out_option
from animatic.errors import BoardError, UsageError
from animatic.words import counted

if TYPE_CHECKING:
    from animatic.board import Board
    from animatic.timeline import Timeline


@click.command(short_help="Show what a change costs in frames, poses and time.")
@click.argument("boards", nargs=-1, type=click.Path(path_type=Path), metavar="[OLD] [NEW]")
@click.option("--since", metavar="REV", help="Compare with the board at a git revision.")
@format_option(["table", "md", "json"], "How the changes are written.")
def compare(boards: tuple[Path, ...], since: str | None, form: str) -> None:
    """Show what differs between two boards, in frames, poses and time on set.

    With one board, or none, it is compared with its last kept copy, or with --since. Of two, one
    may be a copy kept elsewhere: files that are not beside it are looked for beside the other. It
    also says what the change does to the plan of the shoot.
    """
    from animatic.sheets import changes
    from animatic.shoot import plan_shoot
    from animatic.shoot.planchange import plan_change, shooting_change
    from animatic.timeline.compare import compare as compare_films

    if len(boards) > 2:
        raise UsageError("name at most two boards, the old one first")
    if len(boards) == 2 and since is not None:
        raise UsageError("say --since or two boards, not both")
    if len(boards) == 2:
        (former, old), (board, new) = (_named(*pair) for pair in (boards, boards[::-1]))
    else:
        board, new = read(boards[-1] if boards else Path("."))
        former, old = _former(board, since)
    comparison = compare_films((former, old), (board, new))
    shooting = shooting_change((former, old), (board, new))
    change = None
    try:
        change = plan_change(plan_shoot(former, old), plan_shoot(board, new))
    except BoardError as fault:
        # Only a former board may be so: kept copies may be older than the rule.
        click.echo(f"the plans are not compared, the old board has none: {fault}", err=True)
    if form == "json":
        plan = change.as_dict() if change is not None else None
        click.echo(changes.as_json(comparison, shooting, plan), nl=False)
    else:
        write = changes.as_text if form == "table" else changes.as_markdown
        lines = change.lines() if change is not None else []
        click.echo(write(comparison, shooting, lines), nl=False)


def _named(named: Path, other: Path) -> tuple[Board, Timeline]:
    """Return one of two boards and its timeline; what it lacks is looked for beside the other."""
    from animatic.board import find_board
    from animatic.board.former import copy_of_board
    from animatic.errors import listed
    from animatic.timeline import lay_out

    try:
        return read(named)
    except BoardError:
        file, others = find_board(named), find_board(other).parent
        if (copy := copy_of_board(file, others)) is None:
            raise
    board, lost = copy
    if lost:
        are = "is" if len(lost) == 1 else "are"
        files = f"{counted(len(lost), 'file')} that {are} neither beside it nor in {others}"
        click.echo(f"{file}: compared without {files}: {listed(lost)}", err=True)
    return board, lay_out(board)


def _former(board: Board, since: str | None) -> tuple[Board, Timeline]:
    """Return the board at a revision, or its last kept copy, and its timeline."""
    from animatic.board.former import board_at_revision, former_board
    from animatic.board.history import copies
    from animatic.timeline import lay_out

    if since is not None:
        former = board_at_revision(board.file, since)
        return former, lay_out(former)
    kept = copies(board.file)
    if not kept:
        raise UsageError(
            f"{board.file}: no older copy is kept; name two boards, or say --since REV"
        )
    former = former_board(kept[-1].read_bytes(), board.file, str(kept[-1]))
    return former, lay_out(former)


@click.command(short_help="Show how long shots are along the film.")
@board_argument
@out_option
@format_option(["text", "json"], "How the numbers are written.")
def pace(board: Path, out: Path | None, form: str) -> None:
    """Show how long shots are along the film, and where it ticks too evenly.

    Writes pace.png and pace.svg into the folder out beside the board.
    """
    from rich.console import Console

    from animatic.cli.papers import say_unlettered
    from animatic.files import write_beside
    from animatic.sheets import pacechart
    from animatic.timeline.pace import pace as pace_of

    loaded, timeline = read(board)
    measured = pace_of(loaded, timeline)
    say_unlettered(loaded, timeline)
    folder = out if out is not None else loaded.folder / "out"
    make_folder(folder)
    for kind in ("png", "svg"):
        write_beside(folder / f"pace.{kind}", pacechart.chart(timeline, measured, kind))
    if form == "json":
        click.echo(pacechart.as_json(timeline, measured), nl=False)
        return
    click.echo(pacechart.as_text(timeline, measured, min(100, Console().width)), nl=False)
    for kind in ("png", "svg"):
        click.echo(str(folder / f"pace.{kind}"))
