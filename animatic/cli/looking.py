"""look: one page with the film, to be looked at, talked over and noted on."""

from __future__ import annotations

import tempfile
from pathlib import Path

import click

from animatic.cli.common import (
    FLASH_CAUTION,
    FLASHING,
    Size,
    found_in,
    make_folder,
    read,
    showing_progress,
)
from animatic.cli.options import board_argument, out_option


@click.command(short_help="Make one page to watch, talk over and note on.")
@board_argument
@out_option
@click.option("--size", type=Size(), help="Picture size; else half the board's.")
def look(board: Path, out: Path | None, size: tuple[int, int] | None) -> None:
    """Make one page for looking at the film: shots, pace, findings, and room for notes.

    Writes look.html into the folder out beside the board. The page has the film inside, opens
    in any browser from a disk or a phone, and asks nothing of any network. Notes are kept by
    the browser under a name that the board gets in the folder .animatic beside it.
    """
    from animatic.board.identity import identity
    from animatic.files import write_beside
    from animatic.film import write_film
    from animatic.review.page import look_page
    from animatic.timeline.excerpt import half_size, resized

    loaded, whole = read(board)
    timeline = resized(whole, size or half_size(whole.size))
    folder = out if out is not None else loaded.folder / "out"
    make_folder(folder)
    with tempfile.TemporaryDirectory() as room, showing_progress("look") as tell:
        film = Path(room, "film.mp4")
        write_film(timeline, film, progress=tell, counter=timeline.lettering.counter)
        # What is found depends on the size that the film will have, not on the page's.
        found = found_in(loaded, whole)
        caution = FLASH_CAUTION if any(one.kind in FLASHING for one in found) else ""
        page = look_page(loaded, timeline, film.read_bytes(), found, identity(loaded.file), caution)
    write_beside(folder / "look.html", page)
    click.echo(str(folder / "look.html"))
    click.echo("notes stay in the browser that they are typed in; save them there as a file")
