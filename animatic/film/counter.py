"""The running counter: the shot's name, the frame within the shot and the shot's frames.

People count from 1: a shot of 72 frames shows 1 / 72 on its first frame and 72 / 72 on its
last. It stands at the top right, inside title-safe, in the way of the panel's lettering
(which has the top left and the bottom), and so in a band at the picture's top.
"""

from __future__ import annotations

import threading
from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from animatic.film.coding import Picture
from animatic.film.sources import PictureSource
from animatic.fonts import font_file, missing_characters, plain_text
from animatic.frames import ceil_div
from animatic.picture.lettering import INKS, OPACITY, Stamp, stamp
from animatic.picture.safe import title_safe
from animatic.timeline.model import Shot, Timeline

__all__ = ["Counter", "drawn"]

_EM = 0.036
"""Height of the letters' em, in parts of the picture's shorter side."""
_SMALLEST = 8
_NAME = 12
"""Ems that a shot's name may take."""
_MACROBLOCK = 16
_CLEAR = 16
"""Pixels between the counter and the band's edge: further than its coder looks."""
_Cover = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class _Plate:
    """What stays the same through a shot: cover of letters and of box, where the frame goes."""

    cover: _Cover
    box: _Cover
    frame_x: int
    digits: int


def drawn(timeline: Timeline, pictures: PictureSource, counter: bool) -> Callable[[int], Picture]:
    """Return what gives the picture of a film frame, with the counter on it where it is asked."""
    if not counter:
        return pictures.frame
    counted = Counter(timeline)
    return lambda frame: counted.on(pictures.frame(frame), frame)


class Counter:
    """Draws the counter of one timeline; may be used by several threads."""

    def __init__(self, timeline: Timeline) -> None:
        self._timeline = timeline
        self._starts = [shot.start for shot in timeline.shots]
        self._file = font_file(timeline.lettering.font)
        size = max(_SMALLEST, int(_EM * min(timeline.size)))
        self._font, self._em = ImageFont.truetype(str(self._file), size), size
        # As high as the lettering's label beside it.
        ascent, descent = self._font.getmetrics()
        self._across, down = max(3, int(size * 0.45)), max(2, int(size * 0.2))
        letters = max(ascent + descent, int(1.28 * size))
        self._height = letters + 2 * down
        self._base = down + (letters - ascent - descent) // 2 + ascent
        self._digit = ceil(max(map(self._font.getlength, "0123456789")))
        self._glyphs = {digit: self._drawn(digit, self._digit) for digit in "0123456789"}
        self._plates: dict[int, _Plate] = {}
        self._lock = threading.Lock()
        self._safe = title_safe(timeline.size)

    @property
    def band(self) -> int:
        """The height of the band that it stands in: whole macroblocks, from the top."""
        bottom = self._safe[1] + self._height
        return _MACROBLOCK * ceil_div(bottom + bottom % 2 + _CLEAR, _MACROBLOCK)

    def shot(self, frame: int) -> Shot:
        """Return the shot that a film frame lies in."""
        return self._timeline.shots[bisect_right(self._starts, frame) - 1]

    def on(self, picture: Picture, frame: int) -> Picture:
        """Return a picture with the counter of a film frame on it."""
        x, y, patch = self.patch(picture, frame)
        counted = picture.copy()
        counted[y : y + patch.shape[0], x : x + patch.shape[1]] = patch
        return counted

    def patch(
        self, picture: Picture, frame: int, *, figures: bool = False
    ) -> tuple[int, int, Picture]:
        """Return the part of a picture, or of its band, that the counter of a frame changes.

        With `figures` it is the part alone that is another in the next frame of the shot. It
        lies at x, y from the left and the top; all four measures are even, as chroma asks.
        """
        shot = self.shot(frame)
        plate, cover = self._plate(shot), self._cover(shot, frame)
        width = plate.box.shape[1]
        left, top = max(0, self._safe[2] - width), self._safe[1]
        first, end = 0, width
        if figures:
            first, end = plate.frame_x, min(width, plate.frame_x + plate.digits * self._digit)
        x, y = (at - at % 2 for at in (left + first, top))
        right, bottom = (at + at % 2 for at in (left + end, top + self._height))
        columns = slice(max(0, x - left), min(width, right - left))
        patch = picture[y:bottom, x:right].copy()
        # Downwards, as the lettering does: a box is never thinner than OPACITY.
        keep = (255 - OPACITY * plate.box[:, columns]) * (1 - cover[:, columns])
        add = cover[:, columns, None] * np.asarray(INKS[0], np.float32)
        at = (left + columns.start - x, top - y)
        stamp(patch, Stamp(*at, keep[..., None].astype(np.uint8), add.astype(np.uint8)))
        return x, y, patch

    def _box(self, width: int) -> _Cover:
        """Return the cover of a box, with corners as round as the lettering's."""
        layer = Image.new("L", (width, self._height))
        end = (width - 1, self._height - 1)
        ImageDraw.Draw(layer).rounded_rectangle((0, 0, *end), max(2, self._em // 5), fill=255)
        return np.asarray(layer).astype(np.float32) / np.float32(255)

    def _cover(self, shot: Shot, frame: int) -> _Cover:
        """Return the cover of the letters of one frame."""
        plate = self._plate(shot)
        cover = plate.cover.copy()
        shown = str(frame - shot.start + 1)
        x = plate.frame_x + (plate.digits - len(shown)) * self._digit
        for digit in shown:
            cover[:, x : x + self._digit] = self._glyphs[digit]
            x += self._digit
        return cover

    def _plate(self, shot: Shot) -> _Plate:
        with self._lock:
            if shot.index not in self._plates:
                self._plates[shot.index] = self._made_plate(shot)
            return self._plates[shot.index]

    def _made_plate(self, shot: Shot) -> _Plate:
        total = str(shot.frames)
        frame_width, after = self._digit * len(total), f" / {total}"
        after_width = ceil(self._font.getlength(after))
        room = self._safe[2] - self._safe[0] - frame_width - after_width - 2 * self._across
        name = self._name(shot.name, min(room, _NAME * self._em))
        name_width = ceil(self._font.getlength(name))
        frame_x = self._across + name_width
        parts = [
            np.zeros((self._height, self._across), np.float32),
            self._drawn(name, name_width),
            np.zeros((self._height, frame_width), np.float32),
            self._drawn(after, after_width),
            np.zeros((self._height, self._across), np.float32),
        ]
        cover = np.concatenate(parts, axis=1)
        box = self._box(min(cover.shape[1], self._timeline.size[0]))
        return _Plate(cover, box, frame_x, len(total))

    def _name(self, name: str, width: int) -> str:
        """Return as much of a shot's name as fits, with a space behind it."""
        missing = missing_characters(name, self._timeline.lettering.font)
        name = "".join("?" if one in missing else one for one in plain_text(name))
        for end in range(len(name), 0, -1):
            text = name[:end] + ("   " if end == len(name) else "...   ")
            if self._font.getlength(text) <= width:
                return text
        return ""

    def _drawn(self, text: str, width: int) -> _Cover:
        """Return the cover, 0 to 1, of a text from the left of a plate `width` pixels wide."""
        layer = Image.new("L", (max(1, width), self._height))
        ImageDraw.Draw(layer).text((0, self._base), text, fill=255, font=self._font, anchor="ls")
        return np.asarray(layer)[:, :width].astype(np.float32) / np.float32(255)
