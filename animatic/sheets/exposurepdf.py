"""Exposure sheets as PDF: a row a frame, to pin beside the set and tick off.

A page holds whole seconds of rows where it can. A rule stands at every pose, a heavy one at
every second of the shot; handles and overlaps lie on grey and say so, so that nothing depends
on colour.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

from animatic.board.keys.schema import SetupEntry
from animatic.frames import ceil_div
from animatic.sheets.exposure import Exposed, Heard, Place, exposures, percent
from animatic.sheets.exposurecolumns import (
    LEAST,
    LEAST_ROW,
    MOST_ROWS,
    MOST_ROWS_ACROSS,
    columns,
    fit_upright,
    rows_a_page,
)
from animatic.sheets.exposurehead import Laid, laid, rigged
from animatic.sheets.exposurepictures import Pictured, pictured
from animatic.sheets.exposurewords import effects, flowed, mouths, short_names, spoken
from animatic.sheets.pdfpage import Page, mm
from animatic.sheets.rows import one_line
from animatic.sheets.thumbset import Thumbs
from animatic.sheets.wrapping import wrapped
from animatic.timeline.model import Shot, Timeline
from animatic.timeline.mouths import Chart
from animatic.words import counted, ones

__all__ = ["write"]

_EDGE, _HEAD, _FOOT, _NAMES = 9 * mm, 31 * mm, 9 * mm, 6 * mm
_MIDDLE, _BEFORE, _RIGGED = 72 * mm, 20 * mm, 38.0
"""Where the head's right part begins, its words behind what they are, and its first line."""
_LEFT, _COUNTED = 66 * mm, 11.0
"""How wide the head's left part is, and from line to line of what the frames are made up of."""
_SMALLER = (LEAST, 8.0, 7.0, 6.0, 5.0)
"""Points in which a title of two lines is tried."""
_CROWDED = 4.0
"""Points down to which words in a cell are made smaller before they are cut."""


def write(
    timeline: Timeline,
    shots: Sequence[Shot],
    setups: Mapping[str, SetupEntry],
    chart: Chart,
    paper: str = "a4",
    thumbs: Thumbs | None = None,
) -> bytes:
    """Return the sheets of some shots as one PDF, each shot on pages of its own.

    `chart` is the film's mouth chart: the words of each line by its number.
    """
    thumbs = thumbs or Thumbs(timeline.size)
    thumbs.make(panel for shot in shots for panel in shot.panels)
    page = Page(paper, f"{timeline.title}: exposure sheets", font=timeline.lettering.font)
    heard = Heard(timeline, chart)
    for shot in shots:
        setup = setups.get(shot.setup, SetupEntry())
        _Sheet(page, timeline, shot, setup, thumbs, heard).draw()
    return page.finished()


class _Sheet:
    """One shot's sheet being drawn."""

    def __init__(
        self,
        page: Page,
        timeline: Timeline,
        shot: Shot,
        setup: SetupEntry,
        thumbs: Thumbs,
        heard: Heard,
    ) -> None:
        self.page, self.timeline, self.shot, self.setup = page, timeline, shot, setup
        self.thumbs = thumbs
        self.rows = exposures(timeline, shot, heard)
        page.lay(across=False)
        ways = (False, True) if fit_upright(self.rows, page.width - 2 * _EDGE) else (True,)
        sizes = {}
        for across in ways:
            self._lay(across)
            sizes[across] = self._smallest()
            if sizes[across] >= LEAST:
                return
        if sizes[ways[0]] >= sizes[ways[-1]]:
            self._lay(ways[0])

    def _lay(self, across: bool) -> None:
        """Lay the page upright or across, and all that has to be said into it."""
        page = self.page
        page.lay(across=across)
        most = MOST_ROWS_ACROSS if across else MOST_ROWS
        width_of = partial(page.width_of, size=LEAST)
        self.columns = columns(self.rows, _EDGE, page.width - 2 * _EDGE, width_of)
        self.count = rows_a_page(self.timeline.rate.nominal, most)
        self.right = page.width - _EDGE
        self.counted = page.wrapped(self._counted(), LEAST, self.right - _EDGE - _MIDDLE, 3)
        self.first = _RIGGED + _COUNTED * (len(self.counted) - 1)
        self.words = self._laid()
        self.rigged = self._rigged()
        head = max(_HEAD, self.first + self.rigged.height + 9)
        self.top = _EDGE + head + _NAMES
        self.step = (page.height - _EDGE - _FOOT - self.top) / self.count
        self.size = min(10.5, 0.76 * self.step)

    def _smallest(self) -> float:
        """Return the size of the smallest letters of what is rigged and heard, in points."""
        sizes = [self.rigged.size]
        for key, cells in self.words.items():
            room = self._width(key) - 4
            sizes += [LEAST * room / max(room, self._wide(words)) for words in cells.values()]
        return min(sizes)

    def _wide(self, words: str) -> float:
        return self.page.width_of(words, LEAST)

    def _rigged(self) -> Laid:
        """Return what is rigged in lines, as high as the rows leave room for."""
        page = self.page
        width = page.width - 2 * _EDGE - _MIDDLE - _BEFORE
        rows = self.count * LEAST_ROW
        room = page.height - 2 * _EDGE - _NAMES - _FOOT - rows - self.first - 9
        return laid(
            rigged(self.shot, self.setup),
            lambda words, size: page.wrapped(words, size, width),
            room,
        )

    def _laid(self) -> dict[str, dict[int, str]]:
        """Return what is heard, by column and by row, as it fits."""
        rows, names = self.rows, short_names(line.who for line in self.timeline.lines)

        def fits(words: str, key: str = "said") -> bool:
            return self._wide(words) <= self._width(key) - 4

        cells = {"mouth": mouths(rows), "effects": effects(rows)}
        if "said" in self.columns:
            cells["said"] = spoken(rows, self.count, names, fits)

        def later(at: int, words: str) -> str:
            return f"{rows[at].frame}: {words}"

        def one_cell(words: str) -> list[str]:
            return [words]

        # A word stays beside its frames, where the mouth is; an effect may stand further on.
        return {
            key: flowed(
                words,
                len(rows),
                one_cell if key == "mouth" else partial(wrapped, fits=partial(fits, key=key)),
                later if key == "effects" else None,
            )
            for key, words in cells.items()
            if key in self.columns
        }

    def draw(self) -> None:
        """Draw all pages of the shot."""
        pages = ceil_div(len(self.rows), self.count)
        for number in range(pages):
            part = self.rows[number * self.count : (number + 1) * self.count]
            self._head(number + 1, pages)
            self._shade(part)
            pictures = self._pictured(part)
            self._pictures(pictures)
            for index, row in enumerate(part):
                y = self.top + index * self.step
                self._row(row, y)
                if row.place and (row.step or index == 0 or part[index - 1].place != row.place):
                    self._camera(row.place, row.step, y + 0.76 * self.step)
                self._heard(row, y)
            self._poses(part)
            self._rules(part, pictures)
            self._foot(number + 1 == pages)
            self.page.turn()

    def _x(self, key: str) -> float:
        return self.columns[key].x

    def _width(self, key: str) -> float:
        return self.columns[key].width

    def _head(self, number: int, pages: int) -> None:
        page, shot, timeline = self.page, self.shot, self.timeline
        middle, left = _EDGE + _MIDDLE, _LEFT
        self._small(_EDGE + 9, one_line(timeline.title), 10)
        page.name(_EDGE, _EDGE + 39, one_line(shot.name), 32, left)
        place = f"shot {shot.index + 1} of {len(timeline.shots)}"
        facts = [place, shot.size, f"page {number} of {pages}"]
        self._small(_EDGE + 61, " · ".join(filter(None, facts)), 11)
        span = f"in {timeline.label(shot.start)}  out {timeline.label(shot.end)}"
        page.text(_EDGE, _EDGE + 75, span, 9.5, width=left)
        page.text(middle, _EDGE + 11, counted(shot.poses, "pose"), 14, bold=True)
        frames = f"{counted(shot.frames_to_shoot, 'frame')} to shoot"
        page.text(self.right, _EDGE + 11, frames, 14, bold=True, align="right")
        for index, line in enumerate(self.counted):
            page.text(middle, _EDGE + 24 + _COUNTED * index, line, LEAST)
        for index, (word, words) in enumerate(self.rigged.lines):
            line = _EDGE + self.first + self.rigged.leading * index
            page.text(middle, line, word, self.rigged.size)
            page.text(middle + _BEFORE, line, words, self.rigged.size)
        low = self.top - _NAMES
        page.rule(_EDGE, low - 4, self.right, 1.2)
        for column in self.columns.values():
            page.text(column.x + 2, low + 9, column.heading, LEAST)

    def _small(self, baseline: float, words: str, size: float) -> None:
        """Letter words at the head's left in a line, or in two smaller ones, the last at y."""
        page, room = self.page, _LEFT
        size = min(size, 0.999 * size * room / (page.width_of(words, size) or 1.0))
        lines = [words]
        if size < LEAST:
            whole = (s for s in _SMALLER if len(page.wrapped(words, s, room)) <= 2)
            size = next(whole, _SMALLER[-1])
            lines = page.wrapped(words, size, room, 2)
        for index, line in enumerate(lines):
            page.text(_EDGE, baseline - 10.5 * (len(lines) - 1 - index), line, size)

    def _counted(self) -> str:
        """Return how the frames to shoot come about."""
        shot = self.shot
        parts = [f"cut {shot.frames}"]
        if shot.overlap_head or shot.overlap_tail:
            parts.append(f"overlaps {shot.overlap_head} + {shot.overlap_tail}")
        if shot.handles:
            parts.append(f"handles {shot.handles} + {shot.handles}")
        paces = " then ".join(ones(on) for _, on in shot.exposures)
        return f"{', '.join(parts)} · on {paces}"

    def _shade(self, rows: Sequence[Exposed]) -> None:
        """Lay grey under what the cut does not show."""
        for index, row in enumerate(rows):
            if row.part != "shot":
                y = self.top + index * self.step
                grey = 0.86 if row.part == "handle" else 0.93
                x, end = self._x("frame"), self._x("pose")
                self.page.box(x, y, end - x, self.step, fill=grey, weight=0)

    def _pictured(self, rows: Sequence[Exposed]) -> list[Pictured]:
        """Return where the panels' pictures stand on a page."""
        across, down = self.timeline.size
        bold = partial(self.page.width_of, size=LEAST, bold=True)
        return pictured(rows, self._width("panel"), self.step, across / down, bold)

    def _pictures(self, pictures: Sequence[Pictured]) -> None:
        """Draw a panel's picture where it starts, and the current one at the page's top."""
        x, width = self._x("panel"), self._width("panel")
        for each in pictures:
            low = self.top + (each.at + 0.76) * self.step
            self.page.text(
                x + 2, low, each.words, LEAST, bold=True, width=width - 3, least=_CROWDED
            )
            jpeg = self.thumbs.of(each.row.panel)
            self.page.picture(x + each.x, self.top + each.y, each.width, each.height, jpeg)

    def _row(self, row: Exposed, y: float) -> None:
        page, low = self.page, y + 0.76 * self.step
        right = self._x("frame") + self._width("frame") - 4
        page.text(right, low, str(row.frame), self.size, bold=True, align="right")
        if row.film is not None:
            right = self._x("film") + self._width("film") - 3
            page.text(right, low, str(row.film), LEAST, align="right")
        self._mark(row, low)

    def _mark(self, row: Exposed, low: float) -> None:
        """Say what the cut does not show, and where a second of the shot begins."""
        at = self._second(row)
        words = f"{at} s" if at is not None else row.part if row.part != "shot" else ""
        x, width = self._x("part") + 2, self._width("part") - 3
        self.page.text(x, low, words, LEAST, bold=at is not None, width=width)

    def _second(self, row: Exposed) -> int | None:
        """Return which second of the shot begins at a frame, if one does."""
        if row.part != "shot" or row.film is None:
            return None
        second, rest = divmod(row.film - self.shot.start, self.timeline.rate.nominal)
        return second if rest == 0 else None

    def _heard(self, row: Exposed, y: float) -> None:
        """Letter what begins in a frame; a stroke stands where something goes on."""
        size, at = max(LEAST, 0.9 * self.size), row.frame - 1
        for key, cells in self.words.items():
            x, room = self._x(key) + 2, self._width(key) - 4
            if words := cells.get(at):
                low = y + 0.76 * self.step
                self.page.text(x, low, words, size, width=room, least=_CROWDED)
            elif (row.said and key == "said") or (
                key == "mouth" and any(s.mouth for s in row.said)
            ):
                self.page.lines([(x + 4, y + 1, x + 4, y + self.step - 1)], 0.9)

    def _camera(self, place: Place, step: Place | None, low: float) -> None:
        for index, (key, at) in enumerate(zip(("left", "top", "width"), place, strict=True)):
            x, width = self._x(key), self._width(key)
            page, words = self.page, percent(step[index], signed=True) if step else ""
            page.text(x + 2, low, words, LEAST, bold=True)
            room = width - 5 - page.width_of(words, LEAST, bold=True)
            stands, right = percent(at), x + width - 2
            page.text(right, low, stands, LEAST, width=room, least=_CROWDED, align="right")

    def _poses(self, rows: Sequence[Exposed]) -> None:
        """Letter each pose's number as large as its frames on this page allow, and a tick box."""
        page, x, width = self.page, self._x("pose"), self._width("pose")
        room = width - 6 - page.width_of("held", LEAST)
        for at, end in _runs(rows):
            row, height = rows[at], (end - at) * self.step
            number, size = str(row.pose), min(20.0, 0.8 * height)
            size = min(size, size * room / page.width_of(number, size, bold=True))
            middle = self.top + at * self.step + height / 2
            page.text(x + width - 3, middle + 0.36 * size, number, size, bold=True, align="right")
            for index in range(at, end):
                low, is_new = self.top + (index + 0.76) * self.step, rows[index].is_new
                page.text(x + 2, low, rows[index].exposure, LEAST, bold=is_new)
            side = min(4.2 * mm, 0.72 * height)
            left = self._x("tick") + (self._width("tick") - side) / 2
            if row.is_new:
                page.box(left, middle - side / 2, side, side, fill=1, weight=0.7)

    def _rules(self, rows: Sequence[Exposed], pictures: Sequence[Pictured]) -> None:
        """Rule frames thinly, poses plainly, and seconds of the shot heavily.

        No rule strikes a pose's number, its tick box, or a picture: there it is left out.
        """
        page, left = self.page, self._x("frame")
        panel = self._x("panel")
        after = panel + self._width("panel")
        # Over the words beside a pose's number, and no further.
        within = self._x("pose") + page.width_of("held", LEAST) + 3
        end = self.top + len(rows) * self.step
        thin, plain, heavy = [], [], []
        for index, row in enumerate(rows):
            y = self.top + index * self.step
            if self._second(row) is not None:
                heavy += [(left, y, panel if row.is_new else within, y), (after, y, self.right, y)]
            elif row.is_new:
                plain += [(left, y, panel, y), (after, y, self.right, y)]
            else:
                thin += [(left, y, self._x("pose"), y), (after, y, self.right, y)]
            if row.starts_panel:
                covers = [p.x for p in pictures if p.y < index * self.step < p.low]
                plain.append((panel, y, panel + min(covers) - 1 if covers else after, y))
        edges = [*(column.x for column in self.columns.values()), self.right]
        plain += [(x, self.top - _NAMES + 2, x, end) for x in edges]
        heavy += [(left, self.top, self.right, self.top), (left, end, self.right, end)]
        if thin:
            page.lines(thin, 0.12)
        page.lines(plain, 0.5)
        page.lines(heavy, 1.5)

    def _seen(self) -> str:
        """Return what the camera's percents are of."""
        kinds = {row.panel.mirror for row in self.rows if row.step}
        if len(kinds) > 1:
            return "photo as seen"
        return "mirrored photo" if True in kinds else "photo"

    def _foot(self, is_last: bool) -> None:
        """Say how to read the sheet."""
        lines = [
            "Frames count from 1 with the handles, film frames from 0. Heavy rules: seconds of"
            " the shot.",
        ]
        if any(row.step for row in self.rows):
            lines.append(
                f"Camera, in % of the {self._seen()}: in bold the step to a frame, then its"
                " place; empty: it stays."
            )
        page, rate = self.page, f"{self.timeline.rate} frames a second"
        room = self.right - _EDGE - page.width_of(rate, LEAST) - 6
        low = page.height - _EDGE - _FOOT + 12
        for index, line in enumerate(lines):
            page.text(_EDGE, low + 11 * index, line, LEAST, width=room)
        mark = "end of the shot" if is_last else "goes on"
        page.text(self.right, low, mark, LEAST, bold=True, align="right")
        page.text(self.right, low + 11, rate, LEAST, align="right")


def _runs(rows: Sequence[Exposed]) -> list[tuple[int, int]]:
    """Return the stretches of one pose, [first, end)."""
    starts = [i for i, row in enumerate(rows) if i == 0 or row.pose != rows[i - 1].pose]
    return list(zip(starts, [*starts[1:], len(rows)], strict=True))
