"""The shot list as PDF: a block a shot with its picture, big numbers, and what is rigged."""

from __future__ import annotations

from collections.abc import Mapping

from animatic.board.schema import SetupEntry
from animatic.frames import ceil_div
from animatic.sheets.pdfpage import Page, mm
from animatic.sheets.rows import Cell, count_of_shots, one_line, row, run_time, text, total
from animatic.sheets.rows import with_setups as columns_with
from animatic.sheets.thumbset import Thumbs
from animatic.timeline.model import Shot, Timeline

__all__ = ["write"]

_EDGE, _HEAD, _FOOT = 10 * mm, 22 * mm, 6 * mm
_BLOCK = 31 * mm
_PICTURE = 44 * mm
_NUMBERS = (("frames_to_shoot", "frames to shoot"), ("poses", "poses"))


def write(
    timeline: Timeline,
    setups: Mapping[str, SetupEntry],
    paper: str = "a4",
    thumbs: Thumbs | None = None,
) -> bytes:
    """Return the list, several pages with the head repeated, the sums on the last."""
    thumbs = thumbs or Thumbs(timeline.size)
    thumbs.make(shot.panels[0] for shot in timeline.shots)
    page = Page(paper, f"{timeline.title}: shot list", font=timeline.lettering.font)
    columns = columns_with(setups)
    room = int((page.height - 2 * _EDGE - _HEAD - _FOOT) // _BLOCK)
    # The sums take the place of one shot.
    pages = ceil_div(len(timeline.shots) + 1, room)
    for number in range(pages):
        _head(page, timeline, number + 1, pages)
        for at, shot in enumerate(timeline.shots[number * room : (number + 1) * room]):
            y = _EDGE + _HEAD + at * _BLOCK
            _block(page, timeline, shot, row(timeline, shot, columns), y, thumbs)
        if number == pages - 1:
            _sums(page, timeline, _EDGE + _HEAD + (len(timeline.shots) - number * room) * _BLOCK)
        page.turn()
    return page.finished()


def _head(page: Page, timeline: Timeline, number: int, pages: int) -> None:
    right = page.width - _EDGE
    page.text(_EDGE, _EDGE + 18, one_line(timeline.title), 20, bold=True, width=right - 50 * mm)
    page.text(right, _EDGE + 18, f"shot list, page {number} of {pages}", 9, align="right")
    facts = (
        f"{timeline.rate} frames a second",
        f"run time {run_time(timeline)}",
        f"{timeline.frames} frames",
        f"first frame at {timeline.label(0)}",
    )
    page.text(_EDGE, _EDGE + 34, " · ".join(facts), 9)
    page.text(right, _EDGE + 34, f"on {timeline.size[0]}x{timeline.size[1]}", 9, align="right")
    page.text(
        _EDGE,
        page.height - _EDGE,
        "Frames count from 0; a shot's end frame and its out are those of the frame after its last."
        " Poses are those for the frames to shoot: cut, overlaps and a handle at each end.",
        6,
    )


def _block(
    page: Page, timeline: Timeline, shot: Shot, cells: dict[str, Cell], y: float, thumbs: Thumbs
) -> None:
    words = {key: text(value) for key, value in cells.items()}
    right, x = page.width - _EDGE, _EDGE + _PICTURE + 4 * mm
    page.rule(_EDGE, y, right, 0.8)
    page.picture(_EDGE, y + 2 * mm, _PICTURE, _BLOCK - 5 * mm, thumbs.of(shot.panels[0]))
    page.text(x, y + 21, words["shot"], 20, bold=True, width=36 * mm)
    page.text(x, y + 34, words["size"], 10, width=36 * mm)
    page.text(x, y + 47, words["in"], 8)
    page.text(x, y + 57, words["out"], 8)
    page.text(x, y + 67, f"frames {words['first_frame']} to {words['end_frame']}", 7)
    page.text(x, y + 77, f"{words['seconds']} s, {words['feet']} feet", 7)
    middle = x + 38 * mm
    for at, (key, heading) in enumerate(_NUMBERS):
        page.text(middle, y + 17 + 27 * at, words[key], 15, bold=True)
        page.text(middle, y + 25 + 27 * at, heading, 6.5)
    page.text(middle, y + 68, f"cut {words['frames']}", 7)
    overlap = f"overlap {words['overlap_head']} + {words['overlap_tail']}"
    page.text(middle, y + 77, f"{overlap}, handle {words['handles']}", 7, width=33 * mm)
    _rigged(page, words, middle + 34 * mm, y, right)


def _rigged(page: Page, words: dict[str, str], x: float, y: float, right: float) -> None:
    """Letter setup, camera, lights and dialogue, as many lines as the block holds."""
    setup = ", ".join(filter(None, (words["setup"], words["place"])))
    camera = ", ".join(filter(None, (words["camera"], words["lens"])))
    opened = f"open: {words['opened']}" if words["opened"] else ""
    lights = f"lights: {words['lights']}" if words["lights"] else ""
    page.text(x, y + 13, setup, 8.5, bold=True, width=right - x)
    lines = [
        line
        for part, most in ((camera, 1), (opened, 1), (lights, 2), (words["dialogue"], 3))
        for line in page.wrapped(part, 7.5, right - x, most)
        if line
    ]
    for at, line in enumerate(lines[:7]):
        page.text(x, y + 23 + 9 * at, line, 7.5)


def _sums(page: Page, timeline: Timeline, y: float) -> None:
    sums = total(timeline)
    page.rule(_EDGE, y, page.width - _EDGE, 1.6)
    parts = (
        count_of_shots(timeline),
        f"{text(sums['frames_to_shoot'])} frames to shoot",
        f"{text(sums['poses'])} poses",
        f"cut {text(sums['frames'])} frames",
        f"{text(sums['seconds'])} s",
        f"{text(sums['feet'])} feet",
    )
    words, room = " · ".join(parts), page.width - 2 * _EDGE
    # The sums have to be whole: rather smaller than cut.
    size = next((s for s in (11, 10, 9, 8) if page.width_of(words, s, bold=True) <= room), 7)
    page.text(_EDGE, y + 18, words, size, bold=True, width=room)
