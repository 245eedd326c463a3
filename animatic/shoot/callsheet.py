"""Call sheets as PDF: a page (or more) a day, with what is rigged, shot, and when to rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from animatic.board.keys.schema import SetupEntry
from animatic.sheets.pdfpage import ELSEWHERE, Page, mm
from animatic.sheets.rows import one_line, spoken
from animatic.sheets.thumbset import Thumbs
from animatic.shoot.estimate import Day, Plan, Stint
from animatic.shoot.hours import Dated, breaks, minutes, said
from animatic.shoot.planrows import CAUTION, work
from animatic.shoot.setups import Rigged, work_seconds
from animatic.timeline.model import Shot, Timeline
from animatic.words import counted

__all__ = ["aims", "changes", "reached", "write"]

_EDGE = 12 * mm
_HEAD = 34 * mm
_CAUTION = 17 * mm
_ROW, _LOW_ROW = 27 * mm, 9 * mm
_PICTURE = 42 * mm
_TIMES, _TICK = 32 * mm, 9 * mm
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
    """What a shot's row says: notes and dialogue, and the poses aimed at, in lines."""

    lines: Sequence[str]
    marks: Sequence[str]

    @property
    def least(self) -> float:
        return _FIRST + _LINE * (len(self.lines) - 1) + 10 * len(self.marks) + 8

    @property
    def height(self) -> float:
        """Of the row, in points."""
        height: float = max(_ROW, self.least)
        return height


class _Sheet:
    """One day's sheet being drawn, from the top of a page down."""

    def __init__(
        self, page: Page, plan: Plan, dated: Dated, timeline: Timeline, thumbs: Thumbs
    ) -> None:
        self.page, self.plan, self.dated, self.timeline = page, plan, dated, timeline
        self.thumbs, self.day = thumbs, dated.day
        self.right = page.width - _EDGE
        self.low = page.height - _EDGE - _CAUTION
        self.y = 0.0
        self.setups = {setup.name: setup for setup in plan.setups}

    def draw(self) -> None:
        """Draw the day."""
        self._head()
        shown: str | None = None
        for stint in self.day.stints:
            if stint.setup != shown:
                self._setup(self.setups[stint.setup])
                shown = stint.setup
            self._stint(stint)
        self.page.rule(_EDGE, self.y, self.right, 1.2)
        self._notes()
        self._foot()
        self.page.turn()

    def _room(self, height: float) -> None:
        """Go on to another page where the height does not fit on this one."""
        if self.y + height > self.low:
            self._foot()
            self.page.turn()
            self._head(" goes on")

    def _head(self, more: str = "") -> None:
        page, day = self.page, self.day
        page.text(_EDGE, _EDGE + 9, f"{one_line(self.timeline.title)}: call sheet{more}", 10)
        page.text(_EDGE, _EDGE + 36, f"Day {day.number} of {len(self.plan.days)}", 26, bold=True)
        page.text(_EDGE, _EDGE + 54, self.dated.name, 13)
        first = said(minutes(day, day.stints[0].start))
        end = said(minutes(day, day.work, is_end=True))
        page.text(self.right, _EDGE + 36, f"{first} to {end}", 26, bold=True, align="right")
        page.text(self.right, _EDGE + 54, counted(day.poses, "pose"), 13, align="right")
        pauses = ", ".join(f"{said(a)} to {said(b)}" for a, b in breaks(day))
        words = f"breaks: {pauses}" if pauses else "breaks: as the local rules say"
        page.text(_EDGE, _EDGE + 74, words, 10, bold=True, width=self.right - _EDGE)
        page.rule(_EDGE, _EDGE + _HEAD - 12, self.right, 1.6)
        self.y = _EDGE + _HEAD - 12

    def _setup(self, setup: Rigged) -> None:
        """Letter what the setup is, and what has to be changed for it."""
        lines = self._setup_lines(setup)
        name = ": ".join(filter(None, (setup.name or "without a setup", setup.entry.place)))
        titles = self.page.wrapped(one_line(name), 13, self.right - _EDGE - 8, bold=True)
        top = 15 * len(titles)
        height = top + 9 + 11 * len(lines)
        self._room(height + _ROW)
        self.page.box(_EDGE, self.y, self.right - _EDGE, height, fill=0.92, weight=0)
        for index, line in enumerate(titles):
            self.page.text(_EDGE + 4, self.y + 15 + 15 * index, line, 13, bold=True)
        for index, line in enumerate(lines):
            self.page.text(_EDGE + 4, self.y + top + 13 + 11 * index, line, 9)
        self.y += height

    def _setup_lines(self, setup: Rigged) -> list[str]:
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
        return [line for part in parts if part for line in self.page.wrapped(part, 9, width)]

    def _stint(self, stint: Stint) -> None:
        shot = stint.shot if stint.kind == "shoot" else None
        words = self._words(stint, shot) if shot is not None else None
        height = words.height if words is not None else _LOW_ROW
        self._room(height)
        page, y, day = self.page, self.y, self.day
        page.rule(_EDGE, y, self.right, 0.6)
        first = said(minutes(day, stint.start))
        end = said(minutes(day, stint.start + stint.length, is_end=True))
        page.text(_EDGE + 4, y + 15, f"{first} to {end}", 10.5, bold=True)
        if shot is None or words is None:
            x = _EDGE + _TIMES + 4 * mm
            room = self.right - x - _TICK
            page.text(x, y + 15, one_line(work(stint)), 10.5, width=room, least=5)
        else:
            self._shot(stint, shot, y, words)
        side = 5 * mm
        page.box(self.right - side - 3, y + (height - side) / 2, side, side, weight=0.8)
        self.y += height

    def _words(self, stint: Stint, shot: Shot) -> _Words:
        """Return what a shot's row says in lines: all of it, as far as a page holds it."""
        x, numbers = self._columns()
        marks = self.page.wrapped(aims(self.day, stint), 8.5, self.right - x - _TICK)
        notes = [panel.note for panel in shot.panels if panel.note]
        words = " / ".join([*notes, *map(spoken, shot.lines)])
        lines = self.page.wrapped(words, 8, numbers - x - 6)
        room = self.low - _EDGE - _HEAD + 12
        if _Words(lines, marks).height > room:
            most = int((room - _Words((), marks).least) / _LINE)
            lines = [*lines[: most - 1], ELSEWHERE]
        return _Words(lines, marks)

    def _columns(self) -> tuple[float, float]:
        """Return where a shot's words and its numbers begin."""
        x = _EDGE + _TIMES + 4 * mm + _PICTURE + 3 * mm
        return x, self.right - _TICK - 36 * mm

    def _shot(self, stint: Stint, shot: Shot, y: float, words: _Words) -> None:
        page = self.page
        picture = _EDGE + _TIMES + 4 * mm
        page.picture(picture, y + 3, _PICTURE, _ROW - 6, self.thumbs.of(shot.panels[0]))
        x, numbers = self._columns()
        room = numbers - x - 34
        page.name(x, y + 18, one_line(shot.name), 17, room)
        page.text(numbers - 6, y + 18, shot.size, 10, align="right")
        for index, line in enumerate(words.marks):
            low = y + words.height - 5 - 10 * (len(words.marks) - 1 - index)
            page.text(x, low, line, 8.5)
        for index, line in enumerate(words.lines):
            page.text(x, y + _FIRST + _LINE * index, line, 8)
        page.text(numbers, y + 18, counted(stint.poses, "pose"), 13, bold=True)
        lines = [f"{counted(shot.frames_to_shoot, 'frame')} to shoot"]
        if stint.is_part:
            lines.insert(0, f"pose {stint.first_pose + 1} to {stint.end_pose} of {shot.poses}")
        dissolves = shot.overlap_head + shot.overlap_tail
        if dissolves:
            lines.append(f"with {dissolves} of overlap")
        # Names in letters that no font has are told apart by this.
        lines.append(f"shot {shot.index + 1} of {len(self.timeline.shots)}")
        for index, line in enumerate(lines):
            page.text(numbers, y + _FIRST + _LINE * index, line, 8)

    def _notes(self) -> None:
        """Rule what is left of the page for notes."""
        if self.low - self.y < 3 * _NOTE:
            return
        self.page.text(_EDGE, self.y + 16, "notes", 9)
        y = self.y + 2 * _NOTE
        while y <= self.low:
            self.page.rule(_EDGE, y, self.right, 0.3)
            y += _NOTE

    def _foot(self) -> None:
        page, y = self.page, self.low + 4 * mm
        height = _CAUTION - 4 * mm
        page.box(_EDGE, y, self.right - _EDGE, height, weight=1.2)
        for index, line in enumerate(page.wrapped(CAUTION, 8.5, self.right - _EDGE - 12, 3)):
            page.text(_EDGE + 6, y + 12 + 10.5 * index, line, 8.5)
