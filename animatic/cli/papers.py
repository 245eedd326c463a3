"""exposure and plan, and every paper at once: what the timing says to the set and the edit."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import click

from animatic.cli.common import check_file, emit, read, say_empty, slug
from animatic.cli.options import (
    board_argument,
    file_option,
    format_option,
    paper_option,
    takes_option,
)
from animatic.cli.takes import edited, refuse_written_among, shoot_in
from animatic.errors import UsageError

if TYPE_CHECKING:
    from animatic.board import Board
    from animatic.sheets.thumbset import Thumbs
    from animatic.shoot import Plan
    from animatic.shoot.takes import Shoot
    from animatic.timeline import Timeline
    from animatic.timeline.mouths import Chart

__all__ = ["all_papers", "exposure", "mouth_chart_of", "plan", "say_unlettered", "shot_list"]

T = TypeVar("T")
_NOTHING_LEFT = "every shot is shot: nothing is left to plan, and no sheets are made"


def mouth_chart_of(timeline: Timeline) -> Chart:
    """Return the words of every line: sounds are listened to, silent lines estimated."""
    from animatic.sound.voiced import film_spans
    from animatic.timeline.mouths import mouth_chart

    return mouth_chart(timeline, film_spans(timeline))


def shot_list(
    board: Board,
    timeline: Timeline,
    form: str,
    paper: str = "a4",
    thumbs: Thumbs | None = None,
) -> str | bytes:
    """Return the shot list in one of its formats but `table`."""
    from animatic.sheets import FORMATS

    setups = board.content.setups
    if form == "pdf":
        from animatic.sheets import shotpdf

        return shotpdf.write(timeline, setups, paper, thumbs)
    if form == "xlsx":
        from animatic.sheets import xlsx

        return xlsx.write(timeline, setups)
    if form == "html":
        from animatic.sheets import page

        return page.write(timeline, setups, thumbs)
    return FORMATS[form](timeline)


@click.command(short_help="Write exposure sheets: a row a frame, with its pose.")
@board_argument
@click.option("--shot", metavar="SHOT", help="One shot's sheet; else those of all shots.")
@format_option(["pdf", "csv"], "How the sheets are written.")
@paper_option
@file_option
def exposure(board: Path, shot: str | None, form: str, paper: str, file: Path | None) -> None:
    """Write exposure sheets: a row a frame to shoot, with its pose.

    Each row has the pose (new or held), what is said and the shape of the mouth as in the mouth
    chart, effects that start, and the step of a camera move; handles and overlaps are marked.
    Print the PDF and tick off the poses: without --file it goes into the folder out beside the
    board.
    """
    from animatic.timeline.excerpt import shot_named

    check_file(file, form)
    loaded, timeline = read(board)
    shots = timeline.shots if shot is None else (shot_named(timeline, shot),)
    chart = mouth_chart_of(timeline)
    content: str | bytes
    if form == "csv":
        from animatic.sheets.exposure import write as write_csv

        content = write_csv(timeline, shots, chart)
    else:
        from animatic.sheets.exposurepdf import write as write_pdf

        say_unlettered(loaded, timeline)
        content = write_pdf(timeline, shots, loaded.content.setups, chart, paper)
    name = "exposure" if shot is None else f"exposure_{slug(shot)}"
    emit(content, form, file, loaded, name)


@click.command(short_help="Plan the shoot: setups in order, and what on which day.")
@board_argument
@format_option(
    ["table", "csv", "json", "pdf", "ics", "png"],
    "table, csv and json list the work; pdf are call sheets, ics a calendar, png a chart.",
)
@click.option(
    "--start",
    metavar="DATE",
    help="The first day of the shoot, as 2027-03-01; else as the board says.",
)
@click.option(
    "--days",
    metavar="DAYS",
    help="The weekdays of work, as mon-fri or mon,wed,sat; else as the board says, or mon-fri.",
)
@takes_option("Leave out what FOLDER has takes of: plan what is left to shoot.")
@paper_option
@file_option
def plan(
    board: Path,
    form: str,
    start: str | None,
    days: str | None,
    takes: Path | None,
    paper: str,
    file: Path | None,
) -> None:
    """Plan the shoot: setups in the order that re-rigs least, and what is shot on which day.

    It reckons from the board's pace, rig times, and hours of a day. Poses are never split; a
    shot is cut only where no day holds it, and the plan says at which pose. Dates stand on it
    where --start, or first_day in the board, says when the shoot begins. With --takes it is of
    what is left: shots that are shot are out of it, and of those being shot the poses done.
    """
    from animatic.board.keys.days import parse_date, parse_weekdays
    from animatic.shoot.calendar import NEEDS_START

    check_file(file, form)
    first = _meant("--start", parse_date, start)
    weekdays = _meant("--days", parse_weekdays, days)
    loaded, timeline = read(board)
    first = first or loaded.content.day.first_day
    if weekdays is not None and first is None:
        raise UsageError(NEEDS_START.format("--days"))
    shoot = None
    if takes is not None:
        refuse_written_among(takes, file, form, loaded)
        shoot = shoot_in(timeline, takes)
        for finding in shoot.findings:
            if finding.leaves_out:
                click.echo(str(finding), err=True)
    found = _planned(loaded, timeline, shoot)
    _say_what_is_done(found, form, None if start else first)
    if not found.days and not say_empty(_NOTHING_LEFT, form):
        return
    if form in ("pdf", "png"):
        say_unlettered(loaded, timeline)
    content = _plan(loaded, timeline, found, form, first, weekdays, paper)
    emit(content, form, file, loaded, "plan")


def _planned(board: Board, timeline: Timeline, shoot: Shoot | None) -> Plan:
    from animatic.shoot import plan_shoot

    return plan_shoot(board, timeline, shoot.left() if shoot is not None else None)


def _say_what_is_done(found: Plan, form: str, first: date | None) -> None:
    """Say what a plan leaves out, where it does not say so itself, and where dates may mislead.

    `first` is the board's own first day, where no other was said.
    """
    from animatic.shoot.planrows import done

    if found.done is None:
        return
    if form != "table":
        click.echo(done(found.done), err=True)
    if first is not None and found.done.poses and found.days:
        words = f"dates begin at the board's first_day, {first}, though some is shot"
        click.echo(f"{words}; plan --start says on which day the rest begins", err=True)


def _meant(option: str, parse: Callable[[str], T], text: str | None) -> T | None:
    """Return what the words of an option mean; UsageError where they mean nothing."""
    if text is None:
        return None
    try:
        return parse(text)
    except ValueError as fault:
        found, allowed, hint = fault.args
        parts = [f"{option}: {found}", allowed and f"allowed: {allowed}", hint]
        raise UsageError("; ".join(filter(None, parts))) from None


def _plan(
    board: Board,
    timeline: Timeline,
    found: Plan,
    form: str,
    first: date | None = None,
    weekdays: frozenset[int] | None = None,
    paper: str = "a4",
    thumbs: Thumbs | None = None,
) -> str | bytes:
    from animatic.shoot import planrows
    from animatic.shoot.hours import WORKDAYS, dated

    day = board.content.day
    dates = dated(found, first or day.first_day, weekdays or day.days or WORKDAYS)
    if form == "table":
        return planrows.text(found, dates)
    if form == "csv":
        return planrows.csv(dates)
    if form == "json":
        return planrows.json(found, dates)
    if form == "ics":
        from animatic.shoot import calendar

        return calendar.write(found, dates, timeline.title)
    if form == "png":
        from animatic.shoot import planchart

        return planchart.write(found, dates, timeline.title, timeline.lettering.font)
    from animatic.shoot import callsheet

    return callsheet.write(found, dates, timeline, paper, thumbs)


def say_unlettered(board: Board, timeline: Timeline) -> None:
    """Say once which characters stand as `?` on PDF papers, and what to do about it."""
    from animatic.sheets.unlettered import unlettered

    if missing := unlettered(timeline, board.content.setups):
        words = (
            f"on paper ? stands for {missing}, which the font lacks; name a font that has"
            " them in the board, as lettering: {font: file.ttf} (TrueType)"
        )
        click.echo(words, err=True)


def edit_lists(timeline: Timeline, file: Path) -> dict[Path, str]:
    """Return the edit decision lists of a film, each by its file: numbered where they are many.

    It says which transitions are too long for them.
    """
    from animatic.sheets.edl import lists, shortened

    for words in shortened(timeline):
        click.echo(words, err=True)
    found = lists(timeline)
    if len(found) == 1:
        return {file: found[0]}
    return {file.with_stem(f"{file.stem}_{number}"): part for number, part in enumerate(found, 1)}


def all_papers(
    board: Board, timeline: Timeline, shoot: Shoot | None = None
) -> Iterator[tuple[str, str | bytes]]:
    """Yield every paper of a film by its file's name, but for the lists that assemble makes.

    With a shoot the lists for the edit name its takes, and the plan is of what is left.
    """
    from animatic.sheets import cards, exposurepdf
    from animatic.sheets import exposure as sheets
    from animatic.sheets.thumbset import Thumbs

    # One set for all papers: making thumbnails is most of the work.
    thumbs = Thumbs(timeline.size)
    say_unlettered(board, timeline)
    for form in ("json", "pdf", "xlsx", "html"):
        yield f"shots.{form}", shot_list(board, timeline, form, thumbs=thumbs)
    to_edit = edited(timeline, shoot) if shoot is not None else timeline
    for file, part in edit_lists(to_edit, Path("shots.edl")).items():
        yield file.name, part
    if find_spec("opentimelineio") is not None:
        yield "shots.otio", shot_list(board, to_edit, "otio")
    chart, shots = mouth_chart_of(timeline), timeline.shots
    yield "exposure.csv", sheets.write(timeline, shots, chart)
    pages = exposurepdf.write(timeline, shots, board.content.setups, chart, thumbs=thumbs)
    yield "exposure.pdf", pages
    yield from _plans(board, timeline, shoot, thumbs)
    yield "cards.pdf", cards.write(timeline)


def _plans(
    board: Board, timeline: Timeline, shoot: Shoot | None, thumbs: Thumbs
) -> Iterator[tuple[str, str | bytes]]:
    """Yield the plan in every format that there is something for."""
    found, first = _planned(board, timeline, shoot), board.content.day.first_day
    _say_what_is_done(found, "", first)
    forms = ["csv", "json"]
    if found.days:
        # A calendar is of dates, which only the board can say here.
        forms += ["pdf", "png", *(["ics"] if first is not None else [])]
    else:
        click.echo(_NOTHING_LEFT, err=True)
    for form in forms:
        yield f"plan.{form}", _plan(board, timeline, found, form, thumbs=thumbs)
