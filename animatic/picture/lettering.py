"""Lettering over the picture: shot, panel and size at the top, dialogue at the bottom.

It is laid out once a panel, and once more where words end that were carried over the cut, as
stamps that are put on any picture of the canvas's size. It knows nothing of photos and framing.
All of it stays inside title-safe. Light ink lies on a dark box that is solid enough for a
contrast of at least 7:1 (WCAG 2.2, SC 1.4.6) over any photo, white included; 4.5:1 (SC 1.4.3)
is the least that is asked. Sizes, proportions and the number of lines are our own choice.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import groupby
from math import ceil
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from animatic.errors import MediaError
from animatic.fonts import font_file, missing_characters, plain_text
from animatic.leftwards import has_leftwards, in_sight_order, is_leftwards, joined
from animatic.picture.contrast import Colour, least_opacity
from animatic.picture.safe import title_safe
from animatic.timeline.model import Lettering, Line, Panel

__all__ = ["INKS", "OPACITY", "Stamp", "lay_lettering", "stamp"]

_TEXT: Colour = (0xFF, 0xFF, 0xFF)
_QUIET: Colour = (0xD2, 0xD2, 0xD2)
_SPEAKER: Colour = (0xFF, 0xD9, 0x9A)
INKS = (_TEXT, _QUIET, _SPEAKER)
OPACITY = max(least_opacity(ink, 7.0) for ink in INKS)
"""Of the box, 0 to 255."""

_DIALOGUE = 0.042
_LABEL = 0.036
"""Height of the letters' em, in parts of the picture's shorter side."""
_SHRINK = (1.0, 0.9, 0.8, 0.7)
"""Sizes that dialogue is tried in, before it is cut short."""
_SMALLEST = 8
"""Pixels of em below which no letter can be read."""
_MEASURE = 34
"""The widest line, in ems of the full size: about 60 characters."""
_DEEPEST = 0.3
"""The most of the picture's height that dialogue may cover."""
_LEADING = 1.28
_UNREADABLE = "[?]"
"""Stands for a run of characters that the font lacks; a finding names them."""


@dataclass(frozen=True, slots=True)
class Stamp:
    """Lettering to be put on a picture, with its top left corner at x, y.

    A pixel p becomes p * keep / 255 + add. Shapes: `keep` (height, width, 1), `add`
    (height, width, 3); both uint8.
    """

    x: int
    y: int
    keep: NDArray[np.uint8]
    add: NDArray[np.uint8]

    @property
    def nbytes(self) -> int:
        """The bytes it holds."""
        return self.keep.nbytes + self.add.nbytes


def stamp(picture: NDArray[np.uint8], one: Stamp) -> None:
    """Put a stamp on a writable picture of shape (height, width, 3)."""
    height, width = one.keep.shape[:2]
    part = picture[one.y : one.y + height, one.x : one.x + width]
    part[...] = (part * one.keep.astype(np.uint16) + 127) // 255 + one.add


@dataclass(frozen=True, slots=True)
class _Word:
    text: str
    ink: Colour
    leftwards: bool = False
    """Whether the line is read from right to left that the word is of."""


_Row = list[_Word]


class _Face:
    """A font at one size: measures and draws words."""

    def __init__(self, file: Path, size: int) -> None:
        self.size = size
        self._font = _font(file, size)
        # Joins and orders nothing: that is done, alike on every machine.
        self._as_it_is = _font(file, size, ImageFont.Layout.BASIC)
        self.ascent, self.descent = self._font.getmetrics()
        self._widths: dict[str, int] = {}
        self.space = self.width(" ")
        self.ellipsis = "..." if missing_characters("…", file) else "…"

    def width(self, text: str) -> int:
        # In whole pixels, so that a word looks the same wherever it stands.
        if text not in self._widths:
            with _FREETYPE:
                self._widths[text] = ceil(self._font_for(text).getlength(text))
        return self._widths[text]

    def row_width(self, row: _Row) -> int:
        return sum(self.width(word.text) for word in row) + self.space * (len(row) - 1)

    def draw(self, layer: ImageDraw.ImageDraw, at: tuple[int, int], text: str) -> None:
        with _FREETYPE:
            layer.text(at, text, fill=255, font=self._font_for(text), anchor="ls")

    def _font_for(self, text: str) -> ImageFont.FreeTypeFont:
        return self._as_it_is if has_leftwards(text) else self._font


# A FreeType face must not be used by two threads at once.
_FREETYPE = threading.Lock()


@lru_cache(maxsize=32)
def _font(file: Path, size: int, layout: ImageFont.Layout | None = None) -> ImageFont.FreeTypeFont:
    try:
        return ImageFont.truetype(str(file), size, layout_engine=layout)
    except OSError as error:
        raise MediaError(
            f"{file}: the font cannot be read ({error}); name another font,"
            " or none for the built-in one"
        ) from error


def lay_lettering(
    panel: Panel,
    panels_in_shot: int,
    canvas: tuple[int, int],
    lettering: Lettering,
    frame: int = 0,
) -> tuple[Stamp, ...]:
    """Return a panel's lettering as stamps for a canvas of (width, height) pixels.

    `frame` counts from the panel's start: words carried over the cut stand as long as they are
    spoken. Empty where nothing is to be written. MediaError for a font that cannot be read.
    """
    label = _label(panel, panels_in_shot, lettering)
    speech = _speech(panel.lettered_lines(frame), lettering)
    if not label and not speech:
        return ()
    file = font_file(lettering.font)
    safe = title_safe(canvas)
    stamps = []
    if label:
        stamps.append(_label_stamp(label, _Face(file, _em(_LABEL, canvas)), safe))
    if speech:
        stamps.append(_speech_stamp(speech, file, canvas, safe))
    return tuple(stamps)


def _em(part: float, canvas: tuple[int, int]) -> int:
    return max(_SMALLEST, int(part * min(canvas)))


def _words(text: str, ink: Colour, font: Path | None, leftwards: bool = False) -> _Row:
    """Return a text's words, with a sign in place of what the font lacks."""
    text = plain_text(text)
    missing = set(missing_characters(text, font))
    sign = "" if missing_characters(_UNREADABLE, font) else _UNREADABLE
    runs = groupby(text, key=missing.__contains__)
    shown = "".join(sign if lost else "".join(run) for lost, run in runs)
    return [_Word(word, ink, leftwards) for word in joined(shown, font).split()]


def _label(panel: Panel, panels_in_shot: int, lettering: Lettering) -> _Row:
    label: _Row = []
    if lettering.shot:
        name = _words(panel.shot, _TEXT, lettering.font)
        label.append(_Word(" ".join(word.text for word in name), _TEXT))
        if panels_in_shot > 1:
            label += _words(f"{panel.number}/{panels_in_shot}", _QUIET, lettering.font)
    if lettering.size and panel.size:
        label += _words(panel.size, _TEXT, lettering.font)
    return label


def _speech(lines: Sequence[Line], lettering: Lettering) -> list[_Row]:
    """Return the words of each spoken line, the speaker's name first."""
    if not lettering.dialogue:
        return []
    rows = []
    for line in lines:
        leftwards, font = is_leftwards(line.text), lettering.font
        who = f"{line.who}:" if plain_text(line.who) else ""
        name = _words(who, _SPEAKER, font, leftwards)
        rows.append(name + _words(line.text, _TEXT, font, leftwards))
    return [row for row in rows if row]


def _label_stamp(label: _Row, face: _Face, safe: tuple[int, int, int, int]) -> Stamp:
    """Return the label in the top left corner; a long shot name gives way."""
    face.space *= 2
    room = safe[2] - safe[0] - 2 * _padding(face)[0]
    others = label[1:]
    left = room - face.row_width(others) - face.space if others else room
    return _block([[_cut(label[0], face, left), *others]], face, safe, top=True)


def _speech_stamp(
    speech: list[_Row], file: Path, canvas: tuple[int, int], safe: tuple[int, int, int, int]
) -> Stamp:
    """Return the dialogue at the bottom: wrapped, then set smaller, then cut short."""
    full = _em(_DIALOGUE, canvas)
    rows: list[_Row] = []
    for part in _SHRINK:
        face = _Face(file, max(_SMALLEST, int(full * part)))
        across, down = _padding(face)
        width = min(safe[2] - safe[0] - 2 * across, _MEASURE * full)
        most = max(1, int((_DEEPEST * canvas[1] - 2 * down) / (_LEADING * face.size)))
        rows = [row for line in speech for row in _wrapped(line, face, width)]
        if len(rows) <= most:
            rows = [row for line in speech for row in _balanced(line, face, width)]
            break
    else:
        rows = [*rows[: most - 1], _ended(rows[most - 1], face, width)]
    return _block(rows, face, safe, top=False)


def _padding(face: _Face) -> tuple[int, int]:
    """Return the box's margin round the letters, across and down."""
    return max(3, int(face.size * 0.45)), max(2, int(face.size * 0.2))


def _wrapped(words: _Row, face: _Face, width: int) -> list[_Row]:
    """Return rows of at most `width` pixels; a word wider than that is broken."""
    rows: list[_Row] = [[]]
    used = 0
    pieces = (piece for word in words for piece in _pieces(word, face, width))
    for word in pieces:
        long = face.width(word.text)
        if rows[-1] and used + face.space + long > width:
            rows.append([])
        used = used + face.space + long if rows[-1] else long
        rows[-1].append(word)
    return rows


def _pieces(word: _Word, face: _Face, width: int) -> list[_Word]:
    pieces, text = [], word.text
    while face.width(text) > width and len(text) > 1:
        fits = next((n for n in range(len(text) - 1, 1, -1) if face.width(text[:n]) <= width), 1)
        pieces.append(replace(word, text=text[:fits]))
        text = text[fits:]
    return [*pieces, replace(word, text=text)]


def _balanced(words: _Row, face: _Face, width: int) -> list[_Row]:
    """Return as few rows as fit the width, broken so that they are about as long."""
    rows = _wrapped(words, face, width)
    low, high = 0, int(width)
    while len(rows) > 1 and high - low > face.size // 2:
        middle = (low + high) // 2
        tried = _wrapped(words, face, middle)
        if len(tried) > len(rows):
            low = middle
        else:
            rows, high = tried, middle
    return rows


def _cut(word: _Word, face: _Face, width: int) -> _Word:
    """Return a word that fits, ended with an ellipsis if it had to be cut."""
    if face.width(word.text) <= width:
        return word
    for end in range(len(word.text) - 1, 0, -1):
        text = word.text[:end].rstrip() + face.ellipsis
        if face.width(text) <= width:
            return replace(word, text=text)
    return replace(word, text=face.ellipsis)


def _ended(row: _Row, face: _Face, width: int) -> _Row:
    """Return a row with an ellipsis behind as much of it as fits."""
    for end in range(len(row), 0, -1):
        last = replace(row[end - 1], text=row[end - 1].text + face.ellipsis)
        if face.row_width([*row[: end - 1], last]) <= width:
            return [*row[: end - 1], last]
    return [_cut(replace(row[0], text=row[0].text + face.ellipsis), face, width)]


def _in_sight_order(row: _Row) -> _Row:
    """Return a row's words in the order in which they stand from left to right."""
    leftwards = row[0].leftwards
    if not leftwards and not any(has_leftwards(word.text) for word in row):
        return row
    runs = [(ink, [word.text for word in run]) for ink, run in groupby(row, key=lambda w: w.ink)]
    if leftwards:
        runs.reverse()
    return [
        _Word(text, ink, leftwards)
        for ink, texts in runs
        for text in in_sight_order(" ".join(texts), leftwards).split(" ")
    ]


def _block(rows: list[_Row], face: _Face, safe: tuple[int, int, int, int], *, top: bool) -> Stamp:
    """Return rows on their box: at the top left, or in the middle of the bottom."""
    across, down = _padding(face)
    leading = int(_LEADING * face.size)
    longest = max(face.row_width(row) for row in rows)
    width = min(longest + 2 * across, safe[2] - safe[0])
    letters = max(face.ascent + face.descent, leading)
    height = letters + leading * (len(rows) - 1) + 2 * down
    layers = {word.ink: Image.new("L", (width, height)) for row in rows for word in row}
    brushes = {ink: ImageDraw.Draw(layer) for ink, layer in layers.items()}
    base = down + (letters - face.ascent - face.descent) // 2 + face.ascent
    for number, row in enumerate(rows):
        row = _in_sight_order(row)
        x = width - across - face.row_width(row) if row[0].leftwards else across
        for word in row:
            face.draw(brushes[word.ink], (x, base + number * leading), word.text)
            x += face.width(word.text) + face.space
    y = safe[1] if top else safe[3] - height
    x_left = safe[0] if top else (safe[0] + safe[2] - width) // 2
    return _inked(x_left, y, layers, radius=max(2, face.size // 5))


def _inked(x: int, y: int, layers: dict[Colour, Image.Image], radius: int) -> Stamp:
    """Return a stamp from the coverage of each ink."""
    covers = {ink: np.asarray(layer).astype(np.float32) / 255 for ink, layer in layers.items()}
    shape = next(iter(covers.values())).shape
    letters = np.zeros(shape, np.float32)
    add = np.zeros((*shape, 3), np.float32)
    for ink, cover in covers.items():
        letters = np.maximum(letters, cover)
        add = np.maximum(add, cover[..., None] * np.asarray(ink, np.float32))
    box = _rounded(shape, radius) * (OPACITY / 255)
    keep = 255 * (1 - letters) * (1 - box)
    # Downwards, so that a box is never thinner than OPACITY and no sum goes over 255.
    return Stamp(x, y, np.floor(keep)[..., None].astype(np.uint8), add.astype(np.uint8))


def _rounded(shape: tuple[int, ...], radius: int) -> NDArray[np.float32]:
    """Return the coverage, 0 to 1, of a box with round corners."""
    height, width = shape
    y, x = np.ogrid[0.5:height, 0.5:width]
    away_x = np.maximum(np.maximum(radius - x, x - (width - radius)), 0)
    away_y = np.maximum(np.maximum(radius - y, y - (height - radius)), 0)
    cover: NDArray[np.float32] = np.clip(radius + 0.5 - np.hypot(away_x, away_y), 0, 1)
    return cover.astype(np.float32)
