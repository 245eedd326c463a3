"""The shot list as PDF: a block a shot with its picture, big numbers, and what is rigged."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from animatic.board.keys.schema import SetupEntry
from animatic.sheets.pdfpage import Page, mm
from animatic.sheets.rows import Cell, count_of_shots, one_line, row, run_time, text, total
from animatic.sheets.rows import with_setups as columns_with
from animatic.sheets.thumbset import Thumbs
from animatic.timeline.model import Shot, Timeline
from animatic.words import counted

__all__ = ["write"]

_EDGE, _HEAD, _FOOT = 10 * mm, 17 * mm, 7 * mm
_BLOCK, _SUMS = 28 * mm, 10 * mm
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
    pages = _paged(timeline.shots, page.height - 2 * _EDGE - _HEAD - _FOOT)
    for number, shots in enumerate(pages, 1):
        _head(page, timeline, number, len(pages))
        for at, shot in enumerate(shots):
            y = _EDGE + _HEAD + at * _BLOCK
            _block(page, timeline, shot, row(timeline, shot, columns), y, thumbs)
        if number == len(pages):
            _sums(page, timeline, _EDGE + _HEAD + len(shots) * _BLOCK)
        page.turn()
    return page.finished()


def _paged(shots: Sequence[Shot], height: float) -> list[Sequence[Shot]]:
    """Return the shots of each page; where the sums need a page of their own, a shot goes along."""
    room = int(height // _BLOCK)
    pages = [shots[at : at + room] for at in range(0, len(shots), room)]
    if len(pages[-1]) * _BLOCK + _SUMS > height:
        pages[-1:] = [pages[-1][:-1], pages[-1][-1:]]
    return pages


def _head(page: Page, timeline: Timeline, number: int, pages: int) -> None:
    right = page.width - _EDGE
    page.text(_EDGE, _EDGE + 18, one_line(timeline.title), 20, bold=True, width=right - 50 * mm)
    page.text(right, _EDGE + 18, f"shot list, page {number} of {pages}", 9, align="right")
    facts = (
        f"{timeline.rate} frames a second",
        f"run time {run_time(timeline)}",
        counted(timeline.frames, "frame"),
        f"first frame at {timeline.label(0)}",
    )
    page.text(_EDGE, _EDGE + 34, " · ".join(facts), 9)
    page.text(right, _EDGE + 34, f"on {timeline.size[0]}x{timeline.size[1]}", 9, align="right")
    foot = (
        "Film frames count from 0. A shot's out and end frame name the frame after its last.",
        "Poses are those for all frames to shoot: cut, overlaps, and a handle at each end.",
    )
    for at, line in enumerate(foot):
        page.text(_EDGE, page.height - _EDGE - 10 + 10 * at, line, 8)


def _block(
    page: Page, timeline: Timeline, shot: Shot, cells: dict[str, Cell], y: float, thumbs: Thumbs
) -> None:
    words = {key: text(value) for key, value in cells.items()}
    right, x = page.width - _EDGE, _EDGE + _PICTURE + 4 * mm
    page.rule(_EDGE, y, right, 0.8)
    page.picture(_EDGE, y + 2 * mm, _PICTURE, _BLOCK - 3.5 * mm, thumbs.of(shot.panels[0]))
    page.text(x, y + 21, words["shot"], 20, bold=True, width=36 * mm, least=5)
    page.text(x, y + 34, words["size"], 10, width=36 * mm)
    for at, word in enumerate(("in", "out")):
        page.text(x, y + 46 + 10 * at, word, 8)
        page.text(x + 7 * mm, y + 46 + 10 * at, words[word], 8)
    page.text(x, y + 66, f"frames {words['first_frame']} to {words['end_frame']}", 8)
    page.text(x, y + 76, f"{words['seconds']} s, {words['feet']} feet", 8)
    middle = x + 38 * mm
    for at, (key, heading) in enumerate(_NUMBERS):
        page.text(middle, y + 17 + 27 * at, words[key], 15, bold=True)
        page.text(middle, y + 26 + 27 * at, heading, 8)
    parts = [f"cut {words['frames']}"]
    if words["overlap_head"] != "0" or words["overlap_tail"] != "0":
        parts.append(f"overlap {words['overlap_head']} + {words['overlap_tail']}")
    page.text(middle, y + 66, ", ".join(parts), 8, width=34 * mm)
    if (handle := words["handles"]) != "0":
        page.text(middle, y + 76, f"handles {handle} + {handle}", 8, width=34 * mm)
    _rigged(page, words, middle + 36 * mm, y, right)


def _rigged(page: Page, words: dict[str, str], x: float, y: float, right: float) -> None:
    """Letter setup, camera, lights and dialogue, as many lines as the block holds."""
    setup = ", ".join(filter(None, (words["setup"], words["place"])))
    camera = ", ".join(filter(None, (words["camera"], words["lens"])))
    opened = f"open: {words['opened']}" if words["opened"] else ""
    lights = f"lights: {words['lights']}" if words["lights"] else ""
    page.text(x, y + 13, setup, 9, bold=True, width=right - x)
    lines = [
        line
        for part, most in ((camera, 1), (opened, 1), (lights, 2), (words["dialogue"], 3))
        for line in page.wrapped(part, 8, right - x, most)
        if line
    ]
    for at, line in enumerate(lines[:7]):
        page.text(x, y + 23 + 9.2 * at, line, 8)


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
