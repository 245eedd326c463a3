"""assemble: the main job, from a board to film, captions and lists."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from animatic.cli.common import (
    FLASH_CAUTION,
    FLASHING,
    MUSIC_CAUTION,
    Size,
    Tell,
    again,
    found_in,
    make_folder,
    read,
    refuse_among_takes,
    showing_progress,
    slug,
)
from animatic.cli.options import board_argument, out_option, takes_option
from animatic.errors import UsageError
from animatic.words import counted

if TYPE_CHECKING:
    from animatic.board import Board
    from animatic.shoot.takes import Shoot
    from animatic.sound import Programme
    from animatic.timeline import Timeline


@dataclass(frozen=True, slots=True)
class Wanted:
    """What of a film is made, and where; None stands for the board's own."""

    out: Path | None = None
    size: tuple[int, int] | None = None
    draft: bool = False
    first: str | None = None
    last: str | None = None
    use_cache: bool = True
    counter: bool | None = None
    images: Path | None = None
    papers: bool = False
    """Whether all papers are written too."""
    takes: Path | None = None
    """The folder of takes that are shown in place of photos."""
    unfinished: bool = False
    """Whether takes are shown that are not whole."""
    shared: str | None = None
    """A small film to pass on, gif or webm, in place of the MP4."""

    @property
    def is_part(self) -> bool:
        """Whether the film is a part of the board's."""
        return self.first is not None or self.last is not None


@click.command()
@board_argument
@out_option
@click.option("--size", type=Size(), help="Picture size, as 1280x720; else the board's.")
@click.option(
    "--draft", is_flag=True, help="A quick look, in half the board's size unless --size is said."
)
@click.option("--from", "first", metavar="SHOT", help="First shot of the film.")
@click.option("--to", "last", metavar="SHOT", help="Last shot of the film.")
@click.option(
    "--counter/--no-counter",
    default=None,
    help="Count the shot's frames over the picture; else as the board says.",
)
@click.option(
    "--images",
    type=click.Path(path_type=Path),
    help="Write numbered PNG images into this new folder instead of a film.",
)
@click.option(
    "--film",
    "shared",
    type=click.Choice(["gif", "webm"]),
    help="Write a small film to pass on instead of the MP4: of 480 or 640 pixels, or --size.",
)
@click.option("--all", "papers", is_flag=True, help="Write every paper for set and edit too.")
@takes_option("Show shots as shot where FOLDER has a whole take of them.")
@click.option("--unfinished", is_flag=True, help="With --takes, show what there is of others too.")
@click.option("--no-cache", is_flag=True, help="Code everything anew.")
def assemble(
    board: Path,
    out: Path | None,
    size: tuple[int, int] | None,
    draft: bool,
    first: str | None,
    last: str | None,
    counter: bool | None,
    images: Path | None,
    shared: str | None,
    papers: bool,
    takes: Path | None,
    unfinished: bool,
    no_cache: bool,
) -> None:
    """Make the film, the shot list and the captions.

    Writes film.mp4, film.vtt, shots.csv, shots.md and sound.json (how loud it is) into the
    folder out beside the board; with --all the exposure sheets, the plan (and its calendar
    where the board says the first day), the cards, and the shot list in every format as well.
    With --takes the film fills up as the shoot goes: what is shot moves, the rest are photos;
    the plan is then of what is left, and the lists for the edit name the takes.
    With --from or --to the film is a part, has the shots in its name, and the lists stay as
    they are.
    """
    loaded, whole = read(board)
    if images is not None and shared is not None:
        raise UsageError("say --images or --film, not both")
    if papers and (images or shared or first is not None or last is not None):
        raise UsageError("--all is for the whole film: leave --from, --to, --images and --film out")
    if unfinished and takes is None:
        raise UsageError("--unfinished goes with --takes FOLDER")
    if takes is not None:
        if images is not None:
            refuse_among_takes(takes, images, "--images")
        else:
            refuse_among_takes(takes, _out_folder(loaded, out), "--out", is_said=out is not None)
    wanted = Wanted(
        *(out, size, draft, first, last, not no_cache, counter, images, papers),
        takes=takes,
        unfinished=unfinished,
        shared=shared,
    )
    made = make_film(loaded, whole, wanted)
    for path in made.files:
        click.echo(str(path))
    _say_what_came_out(made.film)
    if made.programme is not None:
        from animatic.sheets.loudness import as_line

        click.echo(as_line(made.programme))
    _say_what_to_mind(loaded, whole)


def _out_folder(loaded: Board, out: Path | None) -> Path:
    return out if out is not None else loaded.folder / "out"


@dataclass(frozen=True, slots=True)
class Made:
    """The files that were written, the film as it is in them, and how loud a whole film is."""

    files: list[Path]
    film: Timeline
    programme: Programme | None = None


def make_film(loaded: Board, whole: Timeline, wanted: Wanted) -> Made:
    """Write film, captions and, for a whole film, shot lists and how loud it is."""
    from animatic.sheets import FORMATS, write_captions
    from animatic.sheets.loudness import as_file

    timeline = _part(whole, wanted)
    shoot = None
    if wanted.takes is not None:
        from animatic.cli.takes import film_with_takes, shoot_in

        shoot = shoot_in(whole, wanted.takes)
        timeline = film_with_takes(shoot, timeline, unfinished=wanted.unfinished)
    folder = _out_folder(loaded, wanted.out)
    if wanted.images is None:
        make_folder(folder)
    name = "film" + (_part_name(timeline) if wanted.is_part else "")
    name += "_draft" if wanted.draft else ""
    with showing_progress("film") as tell:
        film, programme = _write_pictures(timeline, folder, name, wanted, tell)
    if wanted.images is not None or wanted.shared is not None:
        return Made([film], timeline)
    if wanted.is_part:
        captions = {f"{name}.vtt": write_captions(timeline)}
        return Made([film, *_write_sheets(folder, captions)], timeline)
    contents = {f"{name}.vtt": write_captions(timeline)}
    contents |= {f"shots.{form}": FORMATS[form](whole) for form in ("csv", "md")}
    if programme is not None:
        contents["sound.json"] = as_file(whole, programme)
    files = [film, *_write_sheets(folder, contents)]
    files += _write_papers(loaded, whole, folder, shoot) if wanted.papers else []
    return Made(files, timeline, programme)


def _write_papers(loaded: Board, whole: Timeline, folder: Path, shoot: Shoot | None) -> list[Path]:
    """Write every paper for set and edit; with a shoot, of what is left of it."""
    from animatic.cli.papers import all_papers
    from animatic.files import write_beside

    written = []
    for name, content in all_papers(loaded, whole, shoot):
        write_beside(folder / name, content)
        written.append(folder / name)
    return written


def _write_pictures(
    timeline: Timeline, folder: Path, name: str, wanted: Wanted, tell: Tell | None
) -> tuple[Path, Programme | None]:
    """Write the film, or the images or the small film asked for in its place."""
    from animatic.film import write_film, write_gif, write_images, write_webm

    counter = timeline.lettering.counter if wanted.counter is None else wanted.counter
    if wanted.images is not None:
        write_images(timeline, wanted.images, counter=counter, progress=tell)
        return wanted.images, None
    if wanted.shared is not None:
        target = folder / f"{name}.{wanted.shared}"
        write = {"gif": write_gif, "webm": write_webm}[wanted.shared]
        write(timeline, target, longest=max(timeline.size), counter=counter, progress=tell)
        return target, None
    target = folder / f"{name}.mp4"
    report = write_film(
        timeline, target, progress=tell, counter=counter, use_cache=wanted.use_cache
    )
    return target, report.programme


def _part(whole: Timeline, wanted: Wanted) -> Timeline:
    """Return the film as it is asked for: its shots, in its size; a size that is said is kept."""
    from animatic.timeline.excerpt import excerpt, half_size, resized

    size = wanted.size or (half_size(whole.size) if wanted.draft else whole.size)
    if wanted.shared is not None and wanted.size is None:
        from animatic.film.share import LONGEST, small_size

        size = small_size(size, LONGEST[wanted.shared])
    return resized(excerpt(whole, wanted.first, wanted.last), size)


def _write_sheets(folder: Path, contents: Mapping[str, str | bytes]) -> list[Path]:
    """Write sheets by name into a folder."""
    from animatic.files import write_beside

    for name, content in contents.items():
        write_beside(folder / name, content)
    return [folder / name for name in contents]


def _part_name(timeline: Timeline) -> str:
    """Return the shots of a part as an end for a file name."""
    ends = (timeline.shots[0].name, timeline.shots[-1].name)
    return "_" + "-".join(map(slug, ends))


def _say_what_came_out(timeline: Timeline) -> None:
    from animatic.sheets.rows import run_time

    width, height = timeline.size
    click.echo(
        f"{counted(len(timeline.shots), 'shot')}, {counted(timeline.frames, 'frame')}"
        f" at {timeline.rate}, {run_time(timeline)}, {width}x{height};"
        f" {counted(sum(shot.poses for shot in timeline.shots), 'pose')} to set"
    )


def _say_what_to_mind(board: Board, timeline: Timeline) -> None:
    found = found_in(board, timeline)
    if found:
        kinds = Counter(finding.kind for finding in found)
        listed = ", ".join(f"{kind} {number}" for kind, number in sorted(kinds.items()))
        count, way = counted(len(found), "finding"), again("check", board.file)
        click.echo(f"{count} to look at ({listed}): {way}")
    if any(finding.kind in FLASHING for finding in found):
        click.echo(FLASH_CAUTION)
    if any(cue.bus != "dialogue" for cue in timeline.cues):
        click.echo(MUSIC_CAUTION)
