"""Cards to print, cut out and move about on a wall, with a contact sheet of the film's run.

A card's number is its panel's number over the film, counted from 1: `arrange` takes the order
read off the wall by these numbers. Everything is black on white, so that any printer will do.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from io import BytesIO
from math import ceil
from typing import Any

from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from animatic.frames import milliseconds_from_frames
from animatic.sheets.paper import Face, face_for
from animatic.sheets.rows import count_of_shots, run_time, spoken
from animatic.sheets.thumbset import Thumbs
from animatic.sheets.wrapping import wrapped
from animatic.timeline.model import Panel, Shot, Timeline
from animatic.words import counted

__all__ = ["MOST_PER_PAGE", "PAPERS", "Paper", "crowded", "crowded_contacts", "write"]

Paper = tuple[float, float]
"""Width and height of a sheet in points."""
PAPERS: dict[str, Paper] = {"a4": A4, "letter": LETTER}
MOST_PER_PAGE = 24
_MARGIN = 10 * mm
"""No usual printer needs more."""
_MARK = 4 * mm
"""Length of a cut mark."""
_DOTS_PER_POINT = 200 / 72
_CONTACT_COLUMNS = 5
_CONTACT_GAP = 2 * mm
_CONTACT_SIZES = ((6.5, 1), (6.0, 1), (5.5, 1), (6.5, 2), (5.5, 2), (4.5, 2), (4.5, 4))
"""Points and lines of a shot's name on the contact sheet, as tried one after the other."""
_CONTACT_LENGTHS = (6.5, 6.0, 5.5, 5.0, 4.5)
"""Points of a panel's length on the contact sheet, tried likewise."""
_WORDS, _LINES = 0.32, 5
"""The least part of a card's height that is for words, and how many lines go into it."""
_SMALLER = (1.0, 0.9, 0.8, 0.7, 0.6, 0.5)
"""Parts of the usual lettering that are tried until all words have room."""
_LEAST, _LEADING, _CAPS = 6.0, 1.25, 0.73
"""The smallest lettering in points; from line to line, and how tall capitals are, in its parts."""


@dataclass(frozen=True, slots=True)
class _Grid:
    """How a page is parted; lengths in points, from the lower left corner."""

    page: tuple[float, float]
    columns: int
    rows: int

    @property
    def card(self) -> tuple[float, float]:
        return (
            (self.page[0] - 2 * _MARGIN) / self.columns,
            (self.page[1] - 2 * _MARGIN) / self.rows,
        )

    def corner(self, place: int) -> tuple[float, float]:
        """Return the upper left corner of a card, counted along the rows."""
        width, height = self.card
        row, column = divmod(place, self.columns)
        return _MARGIN + column * width, self.page[1] - _MARGIN - row * height


def write(timeline: Timeline, per_page: int = 6, paper: Paper = A4) -> bytes:
    """Return the cards, and behind them the contact sheet, as a PDF.

    `per_page` is 1 to MOST_PER_PAGE. The same timeline gives the same bytes.
    """
    grid = _best_grid(timeline, per_page, paper)
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=grid.page, pageCompression=1, invariant=1)
    canvas.setTitle(f"{timeline.title}: cards")
    face = face_for(timeline.lettering.font)
    cards = [(shot, panel) for shot in timeline.shots for panel in shot.panels]
    for first in range(0, len(cards), per_page):
        here = cards[first : first + per_page]
        _Card(canvas, face, grid, timeline).draw_all(here)
        _cut_marks(canvas, grid, len(here))
        _foot(canvas, face, grid, timeline, first // per_page + 1, ceil(len(cards) / per_page))
        canvas.showPage()
    _contact_sheet(canvas, face, paper, timeline)
    canvas.save()
    return buffer.getvalue()


def crowded(timeline: Timeline, per_page: int = 6, paper: Paper = A4) -> list[int]:
    """Return the numbers of the cards that have no room for all that they should say."""
    grid, face = _best_grid(timeline, per_page, paper), face_for(timeline.lettering.font)
    card = _Card(Canvas(BytesIO()), face, grid, timeline)
    return [panel.index + 1 for panel in timeline.panels if card.is_crowded(panel)]


def crowded_contacts(timeline: Timeline, paper: Paper = A4) -> list[int]:
    """Return the numbers of the cards that have no room for all words on the contact sheet."""
    face, width = face_for(timeline.lettering.font), _contact_width(paper)
    return [
        panel.index + 1
        for panel in timeline.panels
        if _contact_lines(face, width - _number_width(face, panel), timeline, panel)[1]
    ]


def _best_grid(timeline: Timeline, per_page: int, paper: Paper) -> _Grid:
    """Return the parting of the page that makes the pictures largest."""
    shape = timeline.size[0] / timeline.size[1]

    def picture_width(grid: _Grid) -> float:
        width, height = grid.card
        # Words take about a third of a card.
        return min(width, height * 0.66 * shape)

    pages = (paper, (paper[1], paper[0]))
    grids = (
        _Grid(page, columns, ceil(per_page / columns))
        for page in pages
        for columns in range(1, per_page + 1)
    )
    return max(grids, key=picture_width)


class _Card:
    """Draws the cards of one page."""

    def __init__(self, canvas: Canvas, face: Face, grid: _Grid, timeline: Timeline) -> None:
        self.canvas, self.face, self.grid, self.timeline = canvas, face, grid, timeline
        self.width, self.height = grid.card
        self.pad = min(self.width, self.height) * 0.05
        shape = timeline.size[1] / timeline.size[0]
        inner = self.height - 2 * self.pad
        self.across = min(self.width - 2 * self.pad, inner * (1 - _WORDS) / shape)
        self.down = self.across * shape
        self.room = inner - self.down
        # What the picture leaves is for the words: as large as so many lines of them may be.
        self.small = max(
            _LEAST, min((inner - self.down) / (_LINES + 1) / _LEADING, self.width / 18)
        )
        self.pictures = Thumbs(timeline.size, int(self.across * _DOTS_PER_POINT))

    def draw_all(self, cards: Sequence[tuple[Shot, Panel]]) -> None:
        self.pictures.make(panel for _, panel in cards)
        for place, (shot, panel) in enumerate(cards):
            self.draw(place, shot, panel)

    def draw(self, place: int, shot: Shot, panel: Panel) -> None:
        left, top = self.grid.corner(place)
        across, down = self.across, self.down
        picture = self.pictures.of(panel)
        x, y = left + (self.width - across) / 2, top - self.pad - down
        self.canvas.drawImage(ImageReader(BytesIO(picture)), x, y, across, down)
        self.canvas.setLineWidth(0.5)
        self.canvas.rect(x, y, across, down)
        self._words(left + self.pad, y, top - self.height + self.pad, panel)

    def _words(self, left: float, top: float, bottom: float, panel: Panel) -> None:
        """Put the number, and beside it what the card says, midway under the picture."""
        big, taken = self._number(panel)
        small, lines, most = self._fitted(panel)
        lines = self.face.cut(lines, most, small, self.width - 2 * self.pad - taken)
        tall = (len(lines) - 1) * small * _LEADING + small * _CAPS
        middle = (top + bottom) / 2 - self.pad / 4
        self.face.draw(self.canvas, left, middle - big * _CAPS / 2, str(panel.index + 1), big)
        for index, text in enumerate(lines):
            base = middle + tall / 2 - small * (_CAPS + _LEADING * index)
            self.face.draw(self.canvas, left + taken, base, text, small)

    def _number(self, panel: Panel) -> tuple[float, float]:
        """Return the size of the card's number, and the width it takes."""
        number, big = str(panel.index + 1), min(self.room * 0.9, self.small * 3.6)
        return big, max(self.face.width(number, big), self.face.width("00", big)) + self.small

    def _fitted(self, panel: Panel) -> tuple[float, list[str], int]:
        """Return lettering as much smaller as shows all words, the lines, and how many fit."""
        texts = [*self._facts(panel), *map(spoken, panel.lines)]
        width = self.width - 2 * self.pad - self._number(panel)[1]
        for part in _SMALLER:
            size = max(_LEAST, self.small * part)
            lines = [line for text in texts for line in self.face.wrap(text, size, width)]
            # Half a letter stays free over the words and under them.
            most = int((self.room / size - 1 - _CAPS) / _LEADING + 1)
            if len(lines) <= most:
                break
        return size, lines, most

    def is_crowded(self, panel: Panel) -> bool:
        """Return whether there is no room for all that the card says."""
        _, lines, most = self._fitted(panel)
        return len(lines) > most

    def _facts(self, panel: Panel) -> Iterator[str]:
        shot = self.timeline.shot(panel.shot)
        name = f"shot {panel.shot}"
        if len(shot.panels) > 1:
            name += f", {panel.number} of {len(shot.panels)}"
        yield f"{name} · {panel.size}" if panel.size else name
        yield _length(self.timeline, panel.frames)
        if shot.setup:
            yield f"setup {shot.setup}"


def _length(timeline: Timeline, frames: int) -> str:
    seconds, milliseconds = divmod(milliseconds_from_frames(frames, timeline.rate), 1000)
    return f"{counted(frames, 'frame')} · {seconds}.{milliseconds:03} s"


def _cut_marks(canvas: Canvas, grid: _Grid, cards: int) -> None:
    """Draw marks where the cuts go: in the margin, and a small cross at each inner corner."""
    width, height = grid.card
    used = ceil(cards / grid.columns)
    canvas.setLineWidth(0.4)
    xs = [_MARGIN + width * n for n in range(min(cards, grid.columns) + 1)]
    ys = [grid.page[1] - _MARGIN - height * n for n in range(used + 1)]
    out = 2 * mm
    for x in xs:
        canvas.line(x, ys[0] + out, x, ys[0] + out + _MARK)
        canvas.line(x, ys[-1] - out, x, ys[-1] - out - _MARK)
    for y in ys:
        canvas.line(xs[0] - out, y, xs[0] - out - _MARK, y)
        canvas.line(xs[-1] + out, y, xs[-1] + out + _MARK, y)
    arm = 1.5 * mm
    for x in xs[1:-1]:
        for y in ys[1:-1]:
            canvas.line(x - arm, y, x + arm, y)
            canvas.line(x, y - arm, x, y + arm)


def _foot(
    canvas: Canvas, face: Face, grid: _Grid, timeline: Timeline, page: int, pages: int
) -> None:
    # Between marks, where nothing is cut: the first two, or where that is narrow the next as well.
    left, room, words = _MARGIN + 2 * mm, grid.card[0] - 4 * mm, f"cards, page {page} of {pages}"
    whole = f"{face.plain(timeline.title)}, {words}"
    if face.width(whole, 6) <= room:
        face.draw(canvas, left, 3 * mm, whole, 6)
        return
    if grid.columns > 1:
        face.draw(canvas, left, 3 * mm, face.fitted(timeline.title, 6, room), 6)
        face.draw(canvas, left + grid.card[0], 3 * mm, words, 6)
        return
    title = face.fitted(timeline.title, 6, room - face.width(f", {words}", 6))
    face.draw(canvas, left, 3 * mm, f"{title}, {words}", 6)


def _contact_sheet(
    canvas: Canvas, face: Face, page: tuple[float, float], timeline: Timeline
) -> None:
    """Draw the whole run in small: every panel in order, with its number, shot and length."""
    picture = _contact_width(page)
    width = picture + _CONTACT_GAP
    down = picture * timeline.size[1] / timeline.size[0]
    step = down + 11 * mm
    top = page[1] - _MARGIN - 12 * mm
    rows = max(1, int((top - _MARGIN) / step))
    shown = _CONTACT_COLUMNS * rows
    for first in range(0, len(timeline.panels), shown):
        canvas.setPageSize(page)
        _heading(canvas, face, page, timeline)
        here = timeline.panels[first : first + shown]
        pictures = Thumbs(timeline.size, int(picture * _DOTS_PER_POINT))
        pictures.make(here)
        for place, panel in enumerate(here):
            row, column = divmod(place, _CONTACT_COLUMNS)
            x, y = _MARGIN + column * width, top - row * step - down
            canvas.drawImage(ImageReader(BytesIO(pictures.of(panel))), x, y, picture, down)
            canvas.setLineWidth(1.6 if panel.number == 1 else 0.4)
            canvas.rect(x, y, picture, down)
            _contact_words(canvas, face, (x, y, picture), timeline, panel)
        canvas.showPage()


def _contact_width(page: Paper) -> float:
    """Return how wide a picture is on the contact sheet."""
    return float((page[0] - 2 * _MARGIN) / _CONTACT_COLUMNS - _CONTACT_GAP)


def _heading(canvas: Any, face: Face, page: tuple[float, float], timeline: Timeline) -> None:
    top = page[1] - _MARGIN
    room = page[0] - 2 * _MARGIN
    size = max(6.0, min(12.0, 12 * room / max(1.0, face.width(face.plain(timeline.title), 12))))
    face.draw(canvas, _MARGIN, top - 10, face.fitted(timeline.title, size, room), size)
    words = (
        f"{count_of_shots(timeline)}, {counted(timeline.frames, 'frame')} at {timeline.rate},"
        f" {run_time(timeline)}; a heavy frame begins a shot"
    )
    face.draw(canvas, _MARGIN, top - 22, words, 7)


def _fits(face: Face, size: float, width: float, words: str) -> bool:
    return face.width(words, size) <= width


def _contact_words(
    canvas: Any,
    face: Face,
    place: tuple[float, float, float],
    timeline: Timeline,
    panel: Panel,
) -> None:
    x, y, width = place
    face.draw(canvas, x, y - 10, str(panel.index + 1), 10)
    left = _number_width(face, panel)
    lines, _ = _contact_lines(face, width - left, timeline, panel)
    # Four lines of a name and the length below them go in where else two and the length do.
    step = 8.0 if len(lines) <= 3 else 5.5
    for index, (line, size) in enumerate(lines):
        face.draw(canvas, x + left, y - 7.5 - step * index, line, size)


def _number_width(face: Face, panel: Panel) -> float:
    """Return how far to the right of a panel's number its words stand."""
    return face.width(str(panel.index + 1), 10) + 5


def _contact_lines(
    face: Face, width: float, timeline: Timeline, panel: Panel
) -> tuple[list[tuple[str, float]], bool]:
    """Return what stands beside a panel's number, line by line, and whether it had to be cut."""
    words = f"shot {panel.shot}" + (f"  {panel.size}" if panel.size else "")
    for size, most in _CONTACT_SIZES:
        lines = wrapped(face.plain(words), partial(_fits, face, size, width))
        if len(lines) <= most:
            break
    length = _length(timeline, panel.frames)
    shown = [(line, size) for line in face.cut(lines, most, size, width)]
    # Below many lines it stands close, and must be small as well.
    sizes = _CONTACT_LENGTHS if len(shown) <= 2 else _CONTACT_LENGTHS[-1:]
    small = next((one for one in sizes if _fits(face, one, width, length)), sizes[-1])
    is_cut = len(lines) > most or not _fits(face, small, width, length)
    return [*shown, (face.fitted(length, small, width), small)], is_cut
