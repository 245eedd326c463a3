"""cards and arrange: the board on the wall, and the order read off it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from animatic.cli.common import again, bytes_as_read, make_folder, read
from animatic.cli.options import board_argument, out_option, paper_option
from animatic.errors import BoardError, listed
from animatic.words import counted

if TYPE_CHECKING:
    from animatic.board import Board
    from animatic.board.edits.arrange import Arranged, Card
    from animatic.board.naming import MusicChange
    from animatic.timeline import Timeline


@click.command(short_help="Make cards to print, cut out and move about.")
@board_argument
@click.option(
    "--per-page",
    type=click.IntRange(1, 24),
    default=6,
    show_default=True,
    help="Cards on a page.",
)
@paper_option
@out_option
def cards(board: Path, per_page: int, paper: str, out: Path | None) -> None:
    """Make cards to print and cut out, one for each panel, and a contact sheet.

    Writes cards.pdf into the folder out beside the board. Move the cards about on a table or
    a wall; arrange takes the new order by their numbers.
    """
    from animatic.cli.papers import say_unlettered
    from animatic.files import write_beside
    from animatic.sheets.cards import PAPERS, crowded, crowded_contacts, write

    loaded, timeline = read(board)
    say_unlettered(loaded, timeline)
    folder = out if out is not None else loaded.folder / "out"
    content = write(timeline, per_page, PAPERS[paper])
    make_folder(folder)
    write_beside(folder / "cards.pdf", content)
    click.echo(str(folder / "cards.pdf"))
    if cut := crowded(timeline, per_page, PAPERS[paper]):
        words = "have" if len(cut) > 1 else "has"
        words += " no room for all words; fewer on a page gives more"
        click.echo(f"{_cards(cut)} {words}", err=True)
    if cut := crowded_contacts(timeline, PAPERS[paper]):
        words = "are" if len(cut) > 1 else "is"
        click.echo(f"{_cards(cut)} {words} cut short on the contact sheet", err=True)
    click.echo(f"{counted(len(timeline.panels), 'card')}, {per_page} on a page; print at 100 %")


def _cards(numbers: list[int]) -> str:
    """Return the numbers of cards as they are told: card 3, or cards 3 and 5."""
    return f"card{'s' * (len(numbers) > 1)} {listed([*map(str, numbers)])}"


@click.command(short_help="Put the panels in the order read off the wall.")
@click.argument("board", type=click.Path(path_type=Path))
@click.argument("order", nargs=-1, required=True, metavar="CARD...")
@click.option("--write", is_flag=True, help="Write the new order into the board.")
def arrange(board: Path, order: tuple[str, ...], write: bool) -> None:
    """Put the panels in a new order, by the numbers on their cards.

    CARD is a number, a range as 5-9 (or 9-5, backwards), or a parked card as p1. Cards that
    are left out are parked: they stay in the board under parked, and out of the film. Comments
    move with their panel. Where the order turns round, or parks, the shots that music plays from
    and until, the music is changed with it, and it is said. A piece of which all shots are parked
    is parked with them, and comes back with them. Shows the new run; the board changes only with
    --write.
    """
    from animatic.board.edits.arrange import read_order
    from animatic.board.history import replace_board

    loaded, timeline = read(board)
    was = bytes_as_read(loaded)
    numbers = read_order(order, len(loaded.content.panels), len(loaded.content.parked))
    made, data, music = _fitting(loaded, was, numbers)
    after = _laid(loaded, data)
    _show(timeline, after, made)
    for change in music:
        click.echo(str(change))
    _say_sent(loaded, timeline, after)
    if data == was:
        click.echo("that is the order the board has; nothing to write")
    elif write:
        replace_board(loaded.file, data, was=was)
        back = again("undo", loaded.file)
        click.echo(f"written to {loaded.file}; {back} brings the old order back")
        click.echo("the numbers on the cards are those of the old order: print new cards")
    else:
        click.echo("nothing is written; --write puts this order into the board")


def _say_sent(board: Board, before: Timeline, after: Timeline) -> None:
    """Say where an order changes what the numbers in a script that was sent stand for."""
    from animatic.board.sent import kept_scripts
    from animatic.timeline.sentlines import moved_lines, said_lines

    if said_lines(before) == said_lines(after):
        return
    scripts, _ = kept_scripts(board.file)
    if scripts and (moved := moved_lines(scripts[0], after)):
        click.echo(
            f"{scripts[0]} was sent before this order: {moved}; take-in goes by that script, and"
            " finds its lines by their words"
        )


def _fitting(
    board: Board, was: bytes, order: list[Card]
) -> tuple[Arranged, bytes, list[MusicChange]]:
    """Return a new order in which transitions without room are put by, and what music becomes."""
    from animatic.board.edits.arrange import arranged
    from animatic.board.naming import with_music
    from animatic.board.read import board_from_bytes
    from animatic.timeline.layout import long_transitions

    unfit: list[tuple[int, str]] = []
    while True:
        made = arranged(was, order, str(board.file), unfit)
        data, music = with_music(board, made)
        try:
            found = long_transitions(board_from_bytes(data, board.file))
        except BoardError:
            found = []
        if not found:
            return made, data, music
        # One at a time: where it is gone, others may have room.
        unfit.append(found[0])


def _laid(board: Board, data: bytes) -> Timeline:
    """Return the film in its new order; BoardError where it does not fit together."""
    from animatic.board.read import board_from_bytes
    from animatic.timeline import lay_out

    try:
        return lay_out(board_from_bytes(data, board.file))
    except BoardError as fault:
        click.echo("in this order the board would be at fault (lines as they would be):", err=True)
        raise BoardError(fault.problems) from None


def _show(before: Timeline, after: Timeline, made: Arranged) -> None:
    """Print the new run, one line a panel, then what is parked and what the film comes to."""
    from animatic.sheets import table
    from animatic.sheets.rows import run_time, spoken

    rows: list[dict[str, table.Cell]] = [
        {
            "now": panel.index + 1,
            "card": card,
            "shot": panel.shot,
            "size": panel.size,
            "frames": panel.frames,
            "dialogue": " / ".join(spoken(line) for line in panel.lines),
        }
        for panel, card in zip(after.panels, made.cards, strict=True)
    ]
    empty: dict[str, table.Cell] = dict.fromkeys(rows[0])
    rows += [
        {**empty, "now": f"p{number}", "card": card, "shot": "parked"}
        for number, card in enumerate(made.parked, 1)
    ]
    heads = [table.Head(key, key, right=key in ("now", "card", "frames")) for key in rows[0]]
    click.echo(table.as_text(heads, rows))
    for old, new in made.renamed:
        click.echo(f"shot {old} is parted by this order; its later part is now shot {new}")
    for number, keys in made.given:
        them = "these" if len(keys) > 1 else "this"
        click.echo(
            f"into card {made.cards[number - 1]} (now {number}) goes {', '.join(keys)}:"
            f" its shot had {them}, in a panel that no longer stands before it"
        )
    for number, keys in made.put_by:
        click.echo(
            f"{' and '.join(keys)} of card {made.cards[number - 1]} (now {number}) is put by as a"
            " comment, since it does not fit there; it comes back in an order where it fits"
        )
    for number, key in made.kept_out:
        click.echo(
            f"card {made.cards[number - 1]} (now {number}) is not given the {key} of its shot,"
            " since it does not fit there; it comes back in an order where it fits"
        )
    click.echo(f"{run_time(before)} becomes {run_time(after)}")
