"""The shot list as PDF: a block a shot with its picture, big numbers, and what is rigged."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

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
_SMALL = 9.0
"""Points of a title that has no room in one line."""
_FIRST, _LINE = 13.0, 9.2
"""From a block's top to its first line of words, and from line to line, in points."""
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
    room = page.height - 2 * _EDGE - _HEAD - _FOOT
    blocks = [
        block
        for shot in timeline.shots
        for block in _blocks(page, shot, row(timeline, shot, columns), room)
    ]
    pages = _paged(blocks, room)
    for number, here in enumerate(pages, 1):
        _head(page, timeline, number, len(pages))
        y = _EDGE + _HEAD
        for block in here:
            _draw(page, block, y, thumbs, len(timeline.shots))
            y += block.height
        if number == len(pages):
            _sums(page, timeline, y)
        page.turn()
    return page.finished()


@dataclass(frozen=True, slots=True)
class _Block:
    """A shot on the list, or what goes on of it on another page."""

    shot: Shot
    words: Mapping[str, str]
    lines: Sequence[tuple[str, bool]]
    """What is rigged and said, in lines; whether each is in bold."""
    goes_on: bool = False

    @property
    def height(self) -> float:
        words = _FIRST + _LINE * len(self.lines)
        return max(0.0 if self.goes_on else _BLOCK, words)


def _blocks(page: Page, shot: Shot, cells: Mapping[str, Cell], room: float) -> Iterator[_Block]:
    """Yield a shot's block, and others for what is longer than a page."""
    words = {key: text(value) for key, value in cells.items()}
    lines = _lines(page, words)
    most = int((room - _FIRST - _SUMS) / _LINE)
    for at in range(0, max(1, len(lines)), most):
        yield _Block(shot, words, lines[at : at + most], at > 0)


def _paged(blocks: Sequence[_Block], height: float) -> list[list[_Block]]:
    """Return the blocks of each page; where the sums need another page, a block goes along."""
    pages: list[list[_Block]] = [[]]
    used = 0.0
    for block in blocks:
        if used + block.height > height and pages[-1]:
            pages.append([])
            used = 0.0
        pages[-1].append(block)
        used += block.height
    if used + _SUMS > height and len(pages[-1]) > 1:
        pages.append([pages[-1].pop()])
    return pages


def _head(page: Page, timeline: Timeline, number: int, pages: int) -> None:
    right = page.width - _EDGE
    _title(page, one_line(timeline.title), right - _EDGE - 40 * mm)
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


def _title(page: Page, title: str, width: float) -> None:
    """Letter the title in a line, or in three small ones."""
    if page.width_of(title, _SMALL, bold=True) <= width:
        page.text(_EDGE, _EDGE + 18, title, 20, bold=True, width=width, least=_SMALL)
        return
    for at, line in enumerate(page.wrapped(title, _SMALL, width, 3, bold=True)):
        page.text(_EDGE, _EDGE + 1 + 10.5 * at, line, _SMALL, bold=True)


def _draw(page: Page, block: _Block, y: float, thumbs: Thumbs, of: int) -> None:
    page.rule(_EDGE, y, page.width - _EDGE, 0.8)
    if block.goes_on:
        words = f"{block.words['shot']} goes on"
        page.text(_EDGE, y + _FIRST, words, 9, bold=True, width=_words_x() - _EDGE - 6, least=5)
    else:
        _numbers(page, block, y, thumbs, of)
    for at, (line, bold) in enumerate(block.lines):
        page.text(_words_x(), y + _FIRST + _LINE * at, line, 9 if bold else 8, bold=bold)


def _words_x() -> float:
    x: float = _EDGE + _PICTURE + 78 * mm
    return x


def _numbers(page: Page, block: _Block, y: float, thumbs: Thumbs, of: int) -> None:
    words, x = block.words, _EDGE + _PICTURE + 4 * mm
    picture = thumbs.of(block.shot.panels[0])
    page.picture(_EDGE, y + 2 * mm, _PICTURE, _BLOCK - 3.5 * mm, picture)
    page.name(x, y + 21, words["shot"], 20, 36 * mm)
    # Names in letters that no font has are told apart by this.
    # The place on the list comes first: where there is no room, it is the size that is cut.
    facts = " · ".join(filter(None, (f"shot {block.shot.index + 1} of {of}", words["size"])))
    page.text(x, y + 34, facts, 10, width=36 * mm, least=6)
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
    page.text(middle, y + 66, ", ".join(parts), 8, width=34 * mm, least=5)
    if (handle := words["handles"]) != "0":
        page.text(middle, y + 76, f"handles {handle} + {handle}", 8, width=34 * mm)


def _lines(page: Page, words: Mapping[str, str]) -> list[tuple[str, bool]]:
    """Return the setup and its note, what is rigged, dialogue and notes in lines, whole."""
    parts = (
        (", ".join(filter(None, (words["setup"], words["place"]))), True),
        (words["setup_note"] and f"setup note: {words['setup_note']}", False),
        (words["camera"], False),
        (words["lens"] and f"lens: {words['lens']}", False),
        (words["opened"] and f"open: {words['opened']}", False),
        (words["lights"] and f"lights: {words['lights']}", False),
        (words["dialogue"], False),
        (words["notes"] and f"note: {words['notes']}", False),
    )
    room = page.width - _EDGE - _words_x()
    return [
        (line, bold)
        for part, bold in parts
        for line in page.wrapped(part, 9 if bold else 8, room, bold=bold)
        if line
    ]


def _sums(page: Page, timeline: Timeline, y: float) -> None:
    sums = total(timeline)
    page.rule(_EDGE, y, page.width - _EDGE, 1.6)
    parts = (
        count_of_shots(timeline),
        f"{_number_of(sums['frames_to_shoot'], 'frame')} to shoot",
        _number_of(sums["poses"], "pose"),
        f"cut {_number_of(sums['frames'], 'frame')}",
        f"{text(sums['seconds'])} s",
        f"{text(sums['feet'])} feet",
    )
    words, room = " · ".join(parts), page.width - 2 * _EDGE
    # The sums have to be whole: rather smaller than cut.
    size = next((s for s in (11, 10, 9, 8) if page.width_of(words, s, bold=True) <= room), 7)
    page.text(_EDGE, y + 18, words, size, bold=True, width=room)


def _number_of(cell: Cell, word: str) -> str:
    return f"{text(cell)} {word}" + "s" * (cell != 1)
