"""Exposure sheets as PDF: a row a frame, to pin beside the set and tick off.

A page holds whole seconds of rows where it can. A rule stands at every pose, a heavy one at
every second of the shot; handles and overlaps lie on grey and say so, so that nothing depends
on colour.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from animatic.board.schema import SetupEntry
from animatic.frames import ceil_div
from animatic.sheets.exposure import Exposed, Heard, Place, Said, exposures, percent
from animatic.sheets.pdfpage import Page, mm
from animatic.sheets.rows import one_line
from animatic.sheets.thumbset import Thumbs
from animatic.timeline.model import Shot, Timeline

__all__ = ["rows_a_page", "write"]

MOST_ROWS = 50
"""Rows of about 4.8 mm on A4: letters 3 mm high are read at arm's length."""
_EDGE, _HEAD, _FOOT, _NAMES = 9 * mm, 31 * mm, 8 * mm, 6 * mm


def rows_a_page(nominal: int) -> int:
    """Return the rows of a page: whole seconds where they fit, else whole quarters.

    >>> [rows_a_page(rate) for rate in (12, 24, 25, 30, 60)]
    [48, 48, 50, 45, 45]
    """
    step = nominal if nominal <= MOST_ROWS // 2 else 15
    return MOST_ROWS // step * step


@dataclass(frozen=True, slots=True)
class _Column:
    key: str
    heading: str
    width: float


def _columns(width: float, moves: bool) -> dict[str, tuple[float, _Column]]:
    """Return the columns and where they begin; a camera that stands still needs no columns."""
    columns = [
        _Column("frame", "frame", 12 * mm),
        _Column("part", "", 13 * mm),
        _Column("film", "film", 13 * mm),
        _Column("pose", "pose", 17 * mm),
        _Column("tick", "done", 8 * mm),
        _Column("panel", "panel", (26 if moves else 30) * mm),
        _Column("said", "dialogue", (24 if moves else 28) * mm),
        _Column("effects", "effects", (14 if moves else 19) * mm),
    ]
    if moves:
        columns += [_Column(key, f"{key} %", 17 * mm) for key in ("left", "top", "width")]
    taken = sum(column.width for column in columns)
    columns.append(_Column("notes", "notes", width - taken))
    found, at = {}, _EDGE
    for column in columns:
        found[column.key] = (at, column)
        at += column.width
    return found


def write(
    timeline: Timeline,
    shots: Sequence[Shot],
    setups: Mapping[str, SetupEntry],
    paper: str = "a4",
    thumbs: Thumbs | None = None,
) -> bytes:
    """Return the sheets of some shots as one PDF, each shot on pages of its own."""
    thumbs = thumbs or Thumbs(timeline.size)
    thumbs.make(panel for shot in shots for panel in shot.panels)
    page = Page(paper, f"{timeline.title}: exposure sheets", font=timeline.lettering.font)
    heard = Heard(timeline)
    for shot in shots:
        _Sheet(page, timeline, shot, setups.get(shot.setup, SetupEntry()), thumbs).draw(heard)
    return page.finished()


class _Sheet:
    """One shot's sheet being drawn."""

    def __init__(
        self, page: Page, timeline: Timeline, shot: Shot, setup: SetupEntry, thumbs: Thumbs
    ) -> None:
        self.page, self.timeline, self.shot, self.setup = page, timeline, shot, setup
        self.thumbs = thumbs
        self.columns = _columns(page.width - 2 * _EDGE, any(p.move for p in shot.panels))
        self.count = rows_a_page(timeline.rate.nominal)
        self.top = _EDGE + _HEAD + _NAMES
        self.step = (page.height - _EDGE - _FOOT - self.top) / self.count
        self.size = min(10.5, 0.76 * self.step)
        self.right = page.width - _EDGE

    def draw(self, heard: Heard) -> None:
        """Draw all pages of the shot."""
        rows = exposures(self.timeline, self.shot, heard)
        pages = ceil_div(len(rows), self.count)
        for number in range(pages):
            part = rows[number * self.count : (number + 1) * self.count]
            self._head(number + 1, pages)
            self._shade(part)
            self._pictures(part)
            for index, row in enumerate(part):
                self._row(row, self.top + index * self.step)
            self._poses(part)
            self._rules(part)
            self._foot(number + 1 == pages)
            self.page.turn()

    def _x(self, key: str) -> float:
        return self.columns[key][0]

    def _width(self, key: str) -> float:
        return self.columns[key][1].width

    def _head(self, number: int, pages: int) -> None:
        page, shot, timeline = self.page, self.shot, self.timeline
        middle = _EDGE + 72 * mm
        page.text(_EDGE, _EDGE + 9, one_line(timeline.title), 10, width=66 * mm)
        page.text(_EDGE, _EDGE + 39, one_line(shot.name), 32, bold=True, width=68 * mm)
        facts = [shot.size, f"page {number} of {pages}"]
        page.text(_EDGE, _EDGE + 56, " · ".join(filter(None, facts)), 11, width=66 * mm)
        page.text(
            _EDGE,
            _EDGE + 72,
            f"{timeline.label(shot.start)} to {timeline.label(shot.end)}"
            f" · {timeline.rate} frames a second",
            7.5,
            width=70 * mm,
        )
        page.text(middle, _EDGE + 11, f"{shot.poses} poses", 14, bold=True)
        page.text(
            self.right,
            _EDGE + 11,
            f"{shot.frames_to_shoot} frames to shoot",
            14,
            bold=True,
            align="right",
        )
        page.text(middle, _EDGE + 24, self._counted(), 8, width=self.right - middle)
        for index, (word, words) in enumerate(self._rigged()):
            line = _EDGE + 38 + 12 * index
            page.text(middle, line, word, 7.5)
            page.text(middle + 17 * mm, line, words, 8.5, width=self.right - middle - 17 * mm)
        page.rule(_EDGE, _EDGE + _HEAD - 4, self.right, 1.2)
        for x, column in self.columns.values():
            page.text(x + 3, _EDGE + _HEAD + 9, column.heading, 7)

    def _counted(self) -> str:
        """Return how the frames to shoot come about."""
        shot = self.shot
        parts = [f"cut {shot.frames}"]
        if shot.overlap_head or shot.overlap_tail:
            parts.append(f"overlaps {shot.overlap_head} + {shot.overlap_tail}")
        if shot.handles:
            parts.append(f"handles {shot.handles} + {shot.handles}")
        paces = " then ".join(_pace(on) for _, on in shot.exposures)
        return f"{', '.join(parts)} frames · shot on {paces}"

    def _rigged(self) -> list[tuple[str, str]]:
        setup, shot = self.setup, self.shot
        place = ", ".join(filter(None, (shot.setup, setup.place)))
        camera = ", ".join(filter(None, (setup.camera, setup.lens)))
        notes = " / ".join(panel.note for panel in shot.panels if panel.note)
        pairs = [
            ("setup", place),
            ("camera", camera),
            ("lights", ", ".join(setup.lights)),
            ("notes", notes),
        ]
        return [(word, one_line(words)) for word, words in pairs if words]

    def _shade(self, rows: Sequence[Exposed]) -> None:
        """Lay grey under what the cut does not show."""
        for index, row in enumerate(rows):
            if row.part != "shot":
                y = self.top + index * self.step
                grey = 0.86 if row.part == "handle" else 0.93
                x, end = self._x("frame"), self._x("pose")
                self.page.box(x, y, end - x, self.step, fill=grey, weight=0)

    def _pictures(self, rows: Sequence[Exposed]) -> None:
        """Draw a panel's picture where it starts, and the current one at the page's top."""
        starts = [i for i, row in enumerate(rows) if i == 0 or row.starts_panel]
        # In the head the first panel has not begun; where it does, its picture comes soon.
        if len(starts) > 1 and rows[0].panel is rows[starts[1]].panel:
            starts = starts[1:]
        for at, end in zip(starts, [*starts[1:], len(rows)], strict=True):
            self._picture(rows[at], at, end - at)

    def _picture(self, row: Exposed, at: int, room: int) -> None:
        x, y, width = self._x("panel"), self.top + at * self.step, self._width("panel")
        words = ("" if row.starts_panel else "still ") + f"panel {row.panel.number}"
        self.page.text(x + 3, y + 0.72 * self.step, words, 7.5, bold=True, width=width - 6)
        height = min((room - 1) * self.step - 4, 1.2 * width)
        if height >= self.step:
            jpeg = self.thumbs.of(row.panel)
            self.page.picture(x + 3, y + self.step, width - 6, height, jpeg)

    def _row(self, row: Exposed, y: float) -> None:
        page, low = self.page, y + 0.76 * self.step
        right = self._x("frame") + self._width("frame") - 4
        page.text(right, low, str(row.frame), self.size, bold=True, align="right")
        if row.film is not None:
            right = self._x("film") + self._width("film") - 4
            page.text(right, low, str(row.film), 0.72 * self.size, align="right")
        self._mark(row, low)
        if row.said:
            self._say(row.said, y, low)
        if row.effects:
            words, room = ", ".join(map(one_line, row.effects)), self._width("effects") - 4
            page.text(self._x("effects") + 3, low, words, 0.8 * self.size, width=room)
        if row.place and row.step:
            self._camera(row.place, row.step, low)

    def _mark(self, row: Exposed, low: float) -> None:
        """Say what the cut does not show, and where a second of the shot begins."""
        at = self._second(row)
        words = f"{at} s" if at is not None else row.part if row.part != "shot" else ""
        x, width = self._x("part") + 2, self._width("part") - 3
        self.page.text(x, low, words, 7.5, bold=at is not None, width=width)

    def _second(self, row: Exposed) -> int | None:
        """Return which second of the shot begins at a frame, if one does."""
        if row.part != "shot" or row.film is None:
            return None
        second, rest = divmod(row.film - self.shot.start, self.timeline.rate.nominal)
        return second if rest == 0 else None

    def _say(self, said: Sequence[Said], y: float, low: float) -> None:
        x, room = self._x("said") + 3, self._width("said") - 6
        words = " / ".join(
            f"{one_line(s.who)}: {one_line(s.word)}" if s.who else one_line(s.word)
            for s in said
            if not s.goes_on
        )
        if words:
            self.page.text(x, low, words, 0.86 * self.size, width=room)
        else:
            self.page.lines([(x + 4, y + 1, x + 4, y + self.step - 1)], 0.9)

    def _camera(self, place: Place, step: Place, low: float) -> None:
        for key, at, moved in zip(("left", "top", "width"), place, step, strict=True):
            x, width = self._x(key), self._width(key)
            words = percent(moved, signed=True)
            self.page.text(x + 2, low, words, 0.68 * self.size, bold=True)
            self.page.text(x + width - 2, low, percent(at), 5.5, align="right")

    def _poses(self, rows: Sequence[Exposed]) -> None:
        """Letter each pose's number as large as its frames on this page allow, and a tick box."""
        x, width = self._x("pose"), self._width("pose")
        for at, end in _runs(rows):
            row, height = rows[at], (end - at) * self.step
            size = min(20.0, 0.8 * height)
            middle = self.top + at * self.step + height / 2
            self.page.text(
                x + width - 5, middle + 0.36 * size, str(row.pose), size, bold=True, align="right"
            )
            for index in range(at, end):
                low = self.top + (index + 0.62) * self.step
                self.page.text(x + 2, low, rows[index].exposure, 5.5)
            side = min(4.2 * mm, 0.72 * height)
            left = self._x("tick") + (self._width("tick") - side) / 2
            if row.is_new:
                self.page.box(left, middle - side / 2, side, side, fill=1, weight=0.7)

    def _rules(self, rows: Sequence[Exposed]) -> None:
        """Rule frames thinly, poses plainly, and seconds of the shot heavily."""
        page, left = self.page, self._x("frame")
        panel, said = self._x("panel"), self._x("said")
        end = self.top + len(rows) * self.step
        thin, plain, heavy = [], [], []
        for index, row in enumerate(rows):
            y = self.top + index * self.step
            if self._second(row) is not None:
                heavy.append((left, y, self.right, y))
            elif row.is_new:
                plain += [(left, y, panel, y), (said, y, self.right, y)]
            else:
                thin += [(left, y, self._x("pose"), y), (said, y, self.right, y)]
            if row.starts_panel:
                plain.append((panel, y, said, y))
        plain += [(x, self.top - _NAMES + 2, x, end) for x, _ in self.columns.values()]
        plain += [(self.right, self.top - _NAMES + 2, self.right, end)]
        heavy += [(left, self.top, self.right, self.top), (left, end, self.right, end)]
        if thin:
            page.lines(thin, 0.12)
        page.lines(plain, 0.5)
        page.lines(heavy, 1.5)

    def _foot(self, is_last: bool) -> None:
        words = (
            "Frames count from 1 over the frames to shoot, film frames from 0."
            " A rule stands at every pose, a heavy one at every second of the shot."
        )
        if any(panel.move for panel in self.shot.panels):
            words = (
                "Camera: in bold the step since the frame before, then where the framing stands,"
                " in percent of the photo's width and height."
            )
        page = self.page
        page.text(_EDGE, page.height - _EDGE + 2, words, 6, width=self.right - _EDGE - 30 * mm)
        mark = "end of the shot" if is_last else "goes on"
        page.text(self.right, page.height - _EDGE + 2, mark, 7, bold=True, align="right")


def _runs(rows: Sequence[Exposed]) -> list[tuple[int, int]]:
    """Return the stretches of one pose, [first, end)."""
    starts = [i for i, row in enumerate(rows) if i == 0 or row.pose != rows[i - 1].pose]
    return list(zip(starts, [*starts[1:], len(rows)], strict=True))


def _pace(shoot_on: int) -> str:
    """Return the trade's word for frames a pose.

    >>> _pace(2), _pace(6)
    ('twos', '6 frames a pose')
    """
    names = {1: "ones", 2: "twos", 3: "threes", 4: "fours"}
    return names.get(shoot_on, f"{shoot_on} frames a pose")
