"""Panels and film frames as pixels."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import replace
from fractions import Fraction
from math import lcm

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from animatic.errors import MediaError
from animatic.picture.guide import guide_stamps
from animatic.picture.lettering import Stamp, lay_lettering, stamp
from animatic.picture.photo import Photo, open_photo
from animatic.picture.recent import Recent
from animatic.picture.takes import Videos
from animatic.srgb import raised
from animatic.timeline.framing import Rect, framing_at, is_moving, scale
from animatic.timeline.model import Box, Panel, Timeline
from animatic.timeline.spans import Layer, spans
from animatic.timeline.take import Take, Taken

__all__ = ["Picture", "PictureMaker", "mix"]

Picture = NDArray[np.uint8]
"""A picture of shape (height, width, 3): sRGB, 8 bits, C-contiguous."""

_MEGABYTE = 1_000_000
# Above this ratio a still photo is first averaged over whole pixels, which no eye can tell.
_REDUCING_GAP = 3.0


_KEPT = 6
"""So many pictures are kept: two of a dissolve, for each of a few threads."""


class PictureMaker:
    """Makes the pictures of one timeline, each when it is asked for.

    All pictures are read-only arrays of shape (height, width, 3), uint8, C-contiguous, sRGB;
    copy one to draw on it. Errors are those of `load_photo`. The same timeline gives the same
    pictures, in any order and from any number of threads. Memory is bounded: a few
    finished pictures, 200 MB of photos that a move needs whole, and what is being made.

    >>> import tempfile
    >>> from pathlib import Path
    >>> from animatic.frames import Rate
    >>> from animatic.timeline.model import Shot
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     photo = Path(folder, "quay.png")
    ...     Image.new("RGB", (640, 480), (90, 120, 60)).save(photo)
    ...     panel = Panel(0, 1, "10", 0, 24, 2, photo, (640, 480))
    ...     shot = Shot(0, "10", "quay-day", (panel,), handles=8)
    ...     film = Timeline("Low Water", Rate.named("24"), (320, 180), (shot,))
    ...     picture = PictureMaker(film).frame(23)
    >>> picture.shape, picture[90, 160].tolist()
    ((180, 320, 3), [90, 120, 60])
    """

    def __init__(self, timeline: Timeline) -> None:
        self._timeline = timeline
        self._spans = spans(timeline)
        self._starts = [span.start for span in self._spans]
        self._panel_starts = [panel.start for panel in timeline.panels]
        self._counts = {p.index: len(shot.panels) for shot in timeline.shots for p in shot.panels}
        self._pictures = Recent[Picture](
            _KEPT * timeline.size[0] * timeline.size[1] * 3, lambda p: p.nbytes
        )
        self._photos = Recent[Photo](200 * _MEGABYTE, _bytes_of_photo)
        self._videos = Videos()
        self._stamps = Recent[tuple[Stamp, ...]](
            20 * _MEGABYTE, lambda stamps: sum(one.nbytes for one in stamps)
        )

    def panel(self, panel: Panel, frame: int = 0) -> Picture:
        """Return a panel as framed at one of its frames, without lettering.

        `frame` counts from the panel's start; before and after a move the framing rests. What
        was shot is shown whole, as the panel's `fit` lays it: it is framed already.
        """
        if panel.take is not None and (taken := panel.take.at(frame)) is not None:
            return self._shot(panel, panel.take, taken)
        if is_moving(panel, frame):
            return self._framed(panel, frame)
        framing = framing_at(panel, self._timeline.size, frame)
        key = ("plain", panel.photo, framing, panel.move is not None, panel.mirror, panel.gains)
        return self._pictures.get(key, lambda: self._framed(panel, frame))

    def lettered(self, panel: Panel, frame: int = 0) -> Picture:
        """Return a panel as framed at one of its frames, with its lettering."""
        stamps = self._lettering(panel, frame)
        if not stamps:
            return self.panel(panel, frame)
        is_taken = panel.take is not None and panel.take.at(frame) is not None
        if is_taken or is_moving(panel, frame):
            return _stamped(self.panel(panel, frame), stamps)
        # At rest there are two framings at most: before the move and after it.
        rests_after = panel.move is not None and frame >= panel.move.last
        return self._pictures.get(
            ("lettered", panel.index, rests_after, len(panel.lettered_lines(frame))),
            lambda: _stamped(self.panel(panel, frame), stamps),
        )

    def frame(self, number: int) -> Picture:
        """Return a film frame, counted from 0; IndexError outside the film.

        Dissolves and fades mix the coded values (gamma light) by the span's exact weights,
        rounded once. So does video practice, and two reasons hold here: the eye sees a mix of
        coded values move evenly, while in linear light bright parts burst in and linger; and
        such a mix may as well be made of the film's Y, Cb and Cr. An optical printer mixes
        light, and looks different. Lettering does not dissolve: it belongs to the cut, and
        changes there at once, so it can be read, and names the right shot, in every frame.
        """
        if not 0 <= number < self._timeline.frames:
            last = self._timeline.frames - 1
            raise IndexError(f"frame {number}; the film has frames 0 to {last}")
        span = self._spans[bisect_right(self._starts, number) - 1]
        layers = span.layers(number)
        if span.ramp is None:
            return self.lettered(layers[0].panel, layers[0].frame)
        shown = self._timeline.panels[bisect_right(self._panel_starts, number) - 1]
        return _stamped(self._mixed(layers), self._lettering(shown, number - shown.start))

    @property
    def kept_bytes(self) -> int:
        """The bytes of finished pictures, photos and lettering that are kept just now."""
        return self._pictures.weight + self._photos.weight + self._stamps.weight

    def _mixed(self, layers: tuple[Layer, ...]) -> Picture:
        pictures = [self.panel(layer.panel, layer.frame) for layer in layers]
        return mix(pictures, [layer.weight for layer in layers])

    def _lettering(self, panel: Panel, frame: int) -> tuple[Stamp, ...]:
        timeline, in_shot = self._timeline, self._counts[panel.index]
        return self._stamps.get(
            # Of a panel's lines only fewer and fewer stand: their number says which.
            (panel.index, len(panel.lettered_lines(frame))),
            lambda: (
                *guide_stamps(timeline.size, timeline.lettering.guide),
                *lay_lettering(panel, in_shot, timeline.size, timeline.lettering, frame),
            ),
        )

    def _shot(self, panel: Panel, take: Take, taken: Taken) -> Picture:
        """Return a picture of a take."""
        plain = replace(
            panel,
            photo=taken.file,
            photo_size=take.size,
            crop=Box(),
            move=None,
            mirror=False,
            take=None,
            gains=(0, 0, 0),
        )

        def make() -> Picture:
            if taken.number is None:
                return self._framed(plain, 0)
            return self._laid(plain, 0, self._videos.picture(taken.file, taken.number))

        return self._pictures.get(("taken", taken, take.size, panel.fit), make)

    def _framed(self, panel: Panel, frame: int) -> Picture:
        """Return a panel's picture, made anew from its photo."""
        return self._laid(panel, frame, self._photo(panel))

    def _laid(self, panel: Panel, frame: int, photo: Photo) -> Picture:
        """Return a photo laid over the canvas as a panel is framed at a frame."""
        canvas = self._timeline.size
        framing = framing_at(panel, canvas, frame)
        left, top, right, bottom = framing.target
        box = _on_photo(photo, framing.source)
        # A move keeps to one filter: a first step over whole pixels would tremble.
        gap = None if panel.move is not None else _REDUCING_GAP
        size = (right - left, bottom - top)
        part = photo.image.resize(size, Image.Resampling.LANCZOS, box=box, reducing_gap=gap)
        shown = photo.srgb(part)
        pixels = np.asarray(shown.point(raised(panel.gains)) if any(panel.gains) else shown)
        if size != canvas:
            whole = np.zeros((canvas[1], canvas[0], 3), np.uint8)
            whole[top:bottom, left:right] = pixels
            pixels = whole
        if panel.mirror:
            pixels = pixels[:, ::-1]
        return _sealed(np.ascontiguousarray(pixels))

    def _photo(self, panel: Panel) -> Photo:
        if panel.move is None:
            return self._opened(panel)
        return self._photos.get(
            (panel.photo, panel.photo_size, self._enough(panel)),
            lambda: _in_srgb(self._opened(panel)),
        )

    def _enough(self, panel: Panel) -> tuple[int, int]:
        """Return the pixels that a panel's tightest framing needs of its whole photo."""
        needed = min(1.0, scale(panel, self._timeline.size))
        return int(panel.photo_size[0] * needed), int(panel.photo_size[1] * needed)

    def _opened(self, panel: Panel) -> Photo:
        photo = open_photo(panel.photo, self._enough(panel))
        if photo.size != panel.photo_size:
            was, now = (f"{w}x{h}" for w, h in (panel.photo_size, photo.size))
            raise MediaError(
                f"{panel.photo}: the photo is {now} now and was {was} when the board was read;"
                " run the command again"
            )
        return photo


def mix(pictures: list[Picture], weights: list[Fraction]) -> Picture:
    """Return the weighted sum of one or two pictures, rounded half up; the rest is black.

    Shapes are alike, weights 0 to 1 with a sum of at most 1.

    >>> grey = np.full((1, 1, 3), 100, np.uint8)
    >>> int(mix([grey, grey * 2], [Fraction(3, 4), Fraction(1, 4)])[0, 0, 0])
    125
    """
    below = lcm(*(weight.denominator for weight in weights))
    parts = [int(weight * below) for weight in weights]
    # 16 bits hold 255 * below + below // 2 up to a ramp of 128 frames, and are twice as fast.
    kind = np.uint16 if below <= 256 else np.uint32
    mixed = np.empty_like(pictures[0])
    rows = max(1, 200_000 // mixed[0].size)  # Stripes that stay in the processor's cache.
    for first in range(0, mixed.shape[0], rows):
        stripe = slice(first, first + rows)
        total = np.full(mixed[stripe].shape, below // 2, kind)
        for picture, part in zip(pictures, parts, strict=True):
            total += np.multiply(picture[stripe], kind(part), dtype=kind)
        np.floor_divide(total, kind(below), out=total)
        mixed[stripe] = total
    return mixed


def _stamped(picture: Picture, stamps: tuple[Stamp, ...]) -> Picture:
    lettered = picture.copy() if stamps or not picture.flags.writeable else picture
    for one in stamps:
        stamp(lettered, one)
    return _sealed(lettered)


def _sealed(picture: Picture) -> Picture:
    picture.flags.writeable = False
    return picture


def _on_photo(photo: Photo, source: Rect) -> Rect:
    """Return a rectangle of the file's picture on the decoded, maybe smaller one."""
    width, height = photo.image.size
    left, top, right, bottom = (side / photo.reduction for side in source)
    return left, top, min(right, float(width)), min(bottom, float(height))


def _in_srgb(photo: Photo) -> Photo:
    return Photo(photo.srgb(), photo.size, photo.reduction, None)


def _bytes_of_photo(photo: Photo) -> int:
    return photo.image.width * photo.image.height * 4  # Pillow pads RGB to four bytes.
