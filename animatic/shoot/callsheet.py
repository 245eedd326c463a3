"""Call sheets as PDF: a page (or more) a day, with what is rigged, shot, and when to rest."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from animatic.board.keys.schema import SetupEntry
from animatic.sheets.pdfpage import ELSEWHERE, Page, mm
from animatic.sheets.rows import notes, one_line, spoken
from animatic.sheets.thumbset import Thumbs
from animatic.shoot.estimate import Day, Plan, Stint
from animatic.shoot.hours import Dated, breaks, minutes, said
from animatic.shoot.planrows import CAUTION, work
from animatic.shoot.setups import Rigged, work_seconds
from animatic.timeline.model import Shot, Timeline
from animatic.words import counted

__all__ = ["aims", "changes", "reached", "write"]

_EDGE = 12 * mm
_HEAD = 34 * mm - 12
"""From the edge to the rule under the head, where title and breaks are a line each."""
_TITLE_LINES = 6
_CAUTION = 17 * mm
_ROW, _LOW_ROW = 27 * mm, 9 * mm
_PICTURE = 42 * mm
_TIMES, _TICK = 32 * mm, 9 * mm
_NUMBERS = 36 * mm
_FIRST, _LINE = 29.0, 9.5
"""From a row's top to its first small line, and from line to line, in points."""
_NOTE = 9 * mm
"""Between two lines to write on."""


def changes(before: SetupEntry | None, after: SetupEntry) -> list[str]:
    """Return in words what is rigged differently from the setup before.

    >>> quay = SetupEntry(place="Quay", opened=["sea wall"], lights=["sun"])
    >>> changes(quay, SetupEntry(place="Quay", opened=["shed front"], lights=["sun", "lamp"]))
    ['take off: shed front', 'put back: sea wall', 'put up: lamp']
    """
    if before is None:
        return []
    lists = (
        ("take off", after.opened, before.opened),
        ("put back", before.opened, after.opened),
        ("put up", after.lights, before.lights),
        ("take down", before.lights, after.lights),
    )
    found = []
    for word, these, those in lists:
        if only := [one for one in these if one not in those]:
            found.append(f"{word}: {', '.join(only)}")
    return found


def write(
    plan: Plan,
    days: Sequence[Dated],
    timeline: Timeline,
    paper: str = "a4",
    thumbs: Thumbs | None = None,
) -> bytes:
    """Return all days' sheets as one PDF, each day beginning a page."""
    thumbs = thumbs or Thumbs(timeline.size)
    thumbs.make(shot.panels[0] for setup in plan.setups for shot in setup.shots)
    page = Page(paper, f"{timeline.title}: call sheets", font=timeline.lettering.font)
    for dated in days:
        _Sheet(page, plan, dated, timeline, thumbs).draw()
    return page.finished()


def reached(day: Day, stint: Stint) -> list[tuple[int, int]]:
    """Return how far a shot should be when each break in it begins: minute from midnight, pose."""
    found = []
    for number, (first, _) in enumerate(breaks(day), 1):
        seconds = number * work_seconds(day.entry.break_every) - stint.start
        if 0 < seconds < stint.length:
            found.append((first, stint.reached(seconds)))
    return found


def aims(day: Day, stint: Stint) -> str:
    """Return in words which pose is to be done when each break begins; empty without a break."""
    marks = [(said(at), pose) for at, pose in reached(day, stint) if pose > stint.first_pose]
    if not marks:
        return ""
    first, *more = marks
    words = f"pose {first[1]} done when the break begins at {first[0]}"
    return ", ".join([words, *(f"{pose} at {at}" for at, pose in more)])


@dataclass(frozen=True, slots=True)
class _Words:
    """What a shot's row says: notes and dialogue, its numbers, and the poses aimed at, in lines."""

    lines: Sequence[str]
    facts: Sequence[str]
    marks: Sequence[str]

    @property
    def least(self) -> float:
        lines = max(len(self.lines), len(self.facts), 1)
        return _FIRST + _LINE * (lines - 1) + 10 * len(self.marks) + 8

    @property
    def height(self) -> float:
        """Of the row, in points."""
        height: float = max(_ROW, self.least)
        return height


@dataclass(frozen=True, slots=True)
class _Head:
    """What a setup is, in lines: its name, then what is rigged and what has to be changed."""

    titles: Sequence[str]
    lines: Sequence[str]

    @property
    def top(self) -> float:
        """From its top to where the lines begin, in points."""
        return 15.0 * len(self.titles)

    @property
    def height(self) -> float:
        """In points."""
        return self.top + 9 + 11 * len(self.lines)


@dataclass(frozen=True, slots=True)
class _Row:
    """A stint on the sheet; the first of a setup stands under the setup's head."""

    stint: Stint
    head: _Head
    words: _Words | None
    is_first: bool

    @property
    def height(self) -> float:
        """Of the row alone, in points."""
        return self.words.height if self.words is not None else _LOW_ROW


class _Sheet:
    """One day's sheet being drawn, page by page."""

    def __init__(
        self, page: Page, plan: Plan, dated: Dated, timeline: Timeline, thumbs: Thumbs
    ) -> None:
        self.page, self.plan, self.dated, self.timeline = page, plan, dated, timeline
        self.thumbs, self.day = thumbs, dated.day
        self.right = page.width - _EDGE
        self.low = page.height - _EDGE - _CAUTION
        self.title, self.more_title = (self._title(more) for more in ("", " goes on"))
        self.breaks = self._breaks()
        lines = max(len(self.title), len(self.more_title)) - 1
        self.down = 12 * lines
        self.top = _EDGE + _HEAD + self.down + 13 * (len(self.breaks) - 1)
        self.setups = {setup.name: setup for setup in plan.setups}

    def draw(self) -> None:
        """Draw the day."""
        pages = self._paged()
        for number, rows in enumerate(pages, 1):
            self._head(number, len(pages))
            y = self.top
            for at, row in enumerate(rows):
                if row.is_first or at == 0:
                    y = self._setup(row, y)
                y = self._stint(row, y)
            if number == len(pages):
                self.page.rule(_EDGE, y, self.right, 1.2)
                self._notes(y)
            self._foot()
            self.page.turn()

    def _paged(self) -> list[list[_Row]]:
        """Return the rows of each page; on every page the setup's head comes first."""
        pages: list[list[_Row]] = [[]]
        y = self.top
        for row in self._rows():
            height = row.height + (row.head.height if row.is_first else 0.0)
            if pages[-1] and y + height > self.low:
                pages.append([])
                y, height = self.top, row.height + row.head.height
            pages[-1].append(row)
            y += height
        return pages

    def _rows(self) -> Iterator[_Row]:
        shown, head = None, _Head((), ())
        for stint in self.day.stints:
            is_first = stint.setup != shown
            if is_first:
                shown, head = stint.setup, self._setup_lines(self.setups[stint.setup])
            shot = stint.shot if stint.kind == "shoot" else None
            words = self._words(stint, shot, head) if shot is not None else None
            yield _Row(stint, head, words, is_first)

    def _title(self, more: str) -> list[str]:
        words = f"{one_line(self.timeline.title)}: call sheet{more}"
        return self.page.wrapped(words, 10, self.right - _EDGE - 30 * mm, _TITLE_LINES)

    def _breaks(self) -> list[str]:
        """Return the breaks in lines, none of them in two."""
        every = [f"{said(a)} to {said(b)}" for a, b in breaks(self.day)]
        lines = ["breaks:"]
        for words in [*(f"{each}," for each in every[:-1]), *every[-1:]]:
            longer = f"{lines[-1]} {words}"
            if self.page.width_of(longer, 10, bold=True) <= self.right - _EDGE:
                lines[-1] = longer
            else:
                lines.append(words)
        return lines if every else ["breaks: as the local rules say"]

    def _head(self, number: int, pages: int) -> None:
        page, day, big = self.page, self.day, _EDGE + 36 + self.down
        for at, line in enumerate(self.title if number == 1 else self.more_title):
            page.text(_EDGE, _EDGE + 9 + 12 * at, line, 10)
        page.text(self.right, _EDGE + 9, f"page {number} of {pages}", 10, align="right")
        first = said(minutes(day, day.stints[0].start))
        end = said(minutes(day, day.work, is_end=True))
        page.text(self.right, big, f"{first} to {end}", 26, bold=True, align="right")
        name = f"Day {day.number} of {len(self.plan.days)}"
        room = self.right - _EDGE - page.width_of(f"{first} to {end}", 26, bold=True) - 12
        page.text(_EDGE, big, name, 26, bold=True, width=room, least=13)
        page.text(_EDGE, big + 18, self.dated.name, 13)
        page.text(self.right, big + 18, counted(day.poses, "pose"), 13, align="right")
        for at, line in enumerate(self.breaks):
            page.text(_EDGE, big + 38 + 13 * at, line, 10, bold=True)
        page.rule(_EDGE, self.top, self.right, 1.6)

    def _setup(self, row: _Row, y: float) -> float:
        """Letter what the setup is, and what has to be changed for it; return where it ends."""
        page, head = self.page, row.head
        page.box(_EDGE, y, self.right - _EDGE, head.height, fill=0.92, weight=0)
        for index, line in enumerate(head.titles):
            page.text(_EDGE + 4, y + 15 + 15 * index, line, 13, bold=True)
        if not row.is_first:
            page.text(self.right - 4, y + 15, "goes on", 10, align="right")
        for index, line in enumerate(head.lines):
            page.text(_EDGE + 4, y + head.top + 13 + 11 * index, line, 9)
        return y + head.height

    def _setup_lines(self, setup: Rigged) -> _Head:
        """Return a setup's head in lines, half a page of them at most."""
        entry, at = setup.entry, self.plan.setups.index(setup)
        before = self.plan.setups[at - 1].entry if at else None
        is_rigged_today = any(
            stint.kind == "rig" and stint.setup == setup.name for stint in self.day.stints
        )
        camera = ", ".join(filter(None, (entry.camera, entry.lens)))
        parts = [
            f"camera: {camera}" if camera else "",
            f"lights: {', '.join(entry.lights)}" if entry.lights else "",
            f"walls opened: {', '.join(entry.opened)}" if entry.opened else "",
            f"note: {entry.note}" if entry.note else "",
        ]
        if is_rigged_today and (differs := changes(before, entry)):
            parts.append(f"coming from {self.plan.setups[at - 1].name}: {'; '.join(differs)}")
        width = self.right - _EDGE - 8
        name = ": ".join(filter(None, (setup.name or "without a setup", entry.place)))
        # The first line keeps clear of the words at its end where it goes on.
        titles = self.page.wrapped(one_line(name), 13, width - 45, bold=True)
        lines = [line for part in parts if part for line in self.page.wrapped(part, 9, width)]
        room = (self.low - self.top) / 2
        if _Head(titles, lines).height > room:
            most = max(1, int((room - _Head(titles, ()).height) / 11))
            lines = [*lines[: most - 1], ELSEWHERE]
        return _Head(titles, lines)

    def _stint(self, row: _Row, y: float) -> float:
        """Letter a stint from y on; return where its row ends."""
        page, day, stint, height = self.page, self.day, row.stint, row.height
        page.rule(_EDGE, y, self.right, 0.6)
        first = said(minutes(day, stint.start))
        end = said(minutes(day, stint.start + stint.length, is_end=True))
        page.text(_EDGE + 4, y + 15, f"{first} to {end}", 10.5, bold=True)
        if stint.shot is None or row.words is None:
            x = _EDGE + _TIMES + 4 * mm
            room = self.right - x - _TICK
            page.text(x, y + 15, one_line(work(stint)), 10.5, width=room, least=5)
        else:
            self._shot(stint, stint.shot, y, row.words)
        side = 5 * mm
        page.box(self.right - side - 3, y + (height - side) / 2, side, side, weight=0.8)
        return y + height

    def _words(self, stint: Stint, shot: Shot, head: _Head) -> _Words:
        """Return what a shot's row says in lines: all of it, as far as a page holds it."""
        x, numbers = self._columns()
        marks = self.page.wrapped(aims(self.day, stint), 8.5, self.right - x - _TICK)
        facts = self._facts(stint, shot)
        words = " / ".join(filter(None, (notes(shot), *map(spoken, shot.lines))))
        lines = self.page.wrapped(words, 8, numbers - x - 6)
        room = self.low - self.top - head.height
        if _Words(lines, facts, marks).height > room:
            most = int((room - _Words((), (), marks).least) / _LINE)
            lines = [*lines[: most - 1], ELSEWHERE]
        return _Words(lines, facts, marks)

    def _facts(self, stint: Stint, shot: Shot) -> list[str]:
        """Return a shot's numbers beside its poses, in lines."""
        frames = stint.left.frames if stint.left is not None else shot.frames_to_shoot
        facts = [f"{counted(frames, 'frame')} to shoot"]
        if stint.is_part:
            facts.insert(0, f"pose {stint.first_pose + 1} to {stint.end_pose} of {shot.poses}")
        if dissolves := shot.overlap_head + shot.overlap_tail:
            facts.append(f"with {dissolves} of overlap")
        # Names in letters that no font has are told apart by this.
        facts.append(f"shot {shot.index + 1} of {len(self.timeline.shots)}")
        return [line for fact in facts for line in self.page.wrapped(fact, 8, _NUMBERS - 4)]

    def _columns(self) -> tuple[float, float]:
        """Return where a shot's words and its numbers begin."""
        x = _EDGE + _TIMES + 4 * mm + _PICTURE + 3 * mm
        return x, self.right - _TICK - _NUMBERS

    def _shot(self, stint: Stint, shot: Shot, y: float, words: _Words) -> None:
        page = self.page
        picture = _EDGE + _TIMES + 4 * mm
        page.picture(picture, y + 3, _PICTURE, _ROW - 6, self.thumbs.of(shot.panels[0]))
        x, numbers = self._columns()
        size = min(page.width_of(shot.size, 10), 0.4 * (numbers - x))
        page.name(x, y + 18, one_line(shot.name), 17, numbers - x - 14 - size)
        page.text(numbers - 6, y + 18, shot.size, 10, width=size + 1, least=5, align="right")
        for index, line in enumerate(words.marks):
            low = y + words.height - 5 - 10 * (len(words.marks) - 1 - index)
            page.text(x, low, line, 8.5)
        for index, line in enumerate(words.lines):
            page.text(x, y + _FIRST + _LINE * index, line, 8)
        page.text(numbers, y + 18, counted(stint.poses, "pose"), 13, bold=True)
        for index, line in enumerate(words.facts):
            page.text(numbers, y + _FIRST + _LINE * index, line, 8)

    def _notes(self, y: float) -> None:
        """Rule what is left of the page, from y on, for notes."""
        if self.low - y < 3 * _NOTE:
            return
        self.page.text(_EDGE, y + 16, "notes", 9)
        y += 2 * _NOTE
        while y <= self.low:
            self.page.rule(_EDGE, y, self.right, 0.3)
            y += _NOTE

    def _foot(self) -> None:
        page, y = self.page, self.low + 4 * mm
        height = _CAUTION - 4 * mm
        page.box(_EDGE, y, self.right - _EDGE, height, weight=1.2)
        for index, line in enumerate(page.wrapped(CAUTION, 8.5, self.right - _EDGE - 12, 3)):
            page.text(_EDGE + 6, y + 12 + 10.5 * index, line, 8.5)
