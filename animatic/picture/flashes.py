"""Flashes that can bring on a seizure, measured as WCAG 2.2 (W3C, 2023) defines them in 2.3.1.

A general flash is a pair of opposing changes of relative luminance by a tenth of the most there
can be, where the darker state is under 0.80; a red flash is a pair of changes to or from a
saturated red. More than three in any one second fail, where they cover together more than a
quarter of any 341 x 256 pixels of a picture that is 1024 wide.

The picture is looked at in cells of 21 x 21 such pixels, so a pattern finer than that counts by
its mean. This is no test by an approved instrument: those measure the screen as well.
"""

from __future__ import annotations

from collections import deque
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from animatic.srgb import WEIGHTS, as_light

__all__ = ["FlashMeter"]

_ACROSS = 48
"""Cells that a picture is wide, so that 341 of 1024 pixels are 16 of them, and 256 are 12."""
_BLOCK = (12, 16)
_MOST_CELLS = _BLOCK[0] * _BLOCK[1] // 4
_CHANGE, _BRIGHT = 0.1, 0.8
_RED_SHARE, _RED_CHANGE = 0.8, 0.2
_LIGHT = np.array([as_light(code) for code in range(256)])
_LUMINANCE = np.array(WEIGHTS)
_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
"""IEC 61966-2-1: linear sRGB to CIE XYZ."""
_WHITE = (0.1978, 0.4683)
"""u', v' of D65, in whose place black stands: it has no colour."""

Cells = NDArray[np.float64]
Marks = NDArray[np.bool_]


class FlashMeter:
    """Counts flashes while pictures go by.

    Pictures are sRGB, uint8, of shape (height, width, 3), all of one size; `fps` is the film's
    frames a second, and up to `most` changes within a second are borne (two make a flash). A
    picture that stands needs to be pushed once only.

    >>> meter = FlashMeter(Fraction(24), 6)
    >>> black, white = np.zeros((90, 160, 3), np.uint8), np.full((90, 160, 3), 255, np.uint8)
    >>> [meter.push(3 * n, (black, white)[n % 2]) for n in range(9)]
    [0, 1, 2, 3, 4, 5, 6, 7, 8]
    >>> meter.fails
    True
    """

    def __init__(self, fps: Fraction, most: int) -> None:
        self._fps, self._most = fps, most
        self._general: _Swings | None = None
        self._red: _Reddening | None = None
        self._recent: deque[tuple[int, Marks, Marks]] = deque()
        self.failing = False
        """Whether there are too many changes in the last second, over a large enough part."""
        self.fails = False
        """Whether that was so at any time."""

    def push(self, frame: int, picture: NDArray[np.uint8]) -> int:
        """Take in the picture that shows from a film frame on.

        Returns the changes within the last second of the part that changes most often.
        """
        light = _cells(picture)
        if self._general is None or self._red is None:
            self._general, self._red = _Swings(light), _Reddening(light)
            return 0
        self._recent.append((frame, self._general.push(light), self._red.push(light)))
        # The second is half-open: what is a whole second ago is out of it.
        while Fraction(frame - self._recent[0][0]) >= self._fps:
            self._recent.popleft()
        _, general, red = zip(*self._recent, strict=True)
        counts = [np.stack(marks).sum(axis=0) for marks in (general, red)]
        self.failing = any(_is_large(count > self._most) for count in counts)
        self.fails = self.fails or self.failing
        return int(max(count.max() for count in counts))


def _cells(picture: NDArray[np.uint8]) -> Cells:
    """Return the linear light of each cell: (rows, columns, 3)."""
    height, width = picture.shape[:2]
    columns = min(_ACROSS, width)
    rows = max(1, min(height, (2 * columns * height + width) // (2 * width)))
    down = np.arange(rows) * height // rows
    across = np.arange(columns) * width // columns
    light = _LIGHT[picture]
    total: Cells = np.add.reduceat(np.add.reduceat(light, down, axis=0), across, axis=1)
    counts = np.outer(np.diff([*down, height]), np.diff([*across, width]))
    total /= counts[:, :, np.newaxis]
    return total


class _Swings:
    """Changes of luminance, up and down in turn, cell by cell."""

    def __init__(self, light: Cells) -> None:
        self._low = self._high = light @ _LUMINANCE
        # Before the first change a cell may go either way.
        self._may_rise = self._may_fall = np.ones(self._low.shape, bool)

    def push(self, light: Cells) -> Marks:
        """Return which cells change."""
        now = light @ _LUMINANCE
        rises = self._may_rise & (now - self._low >= _CHANGE) & (self._low < _BRIGHT)
        falls = self._may_fall & (self._high - now >= _CHANGE) & (now < _BRIGHT) & ~rises
        changed: Marks = rises | falls
        # From a change on, the light's own extremes count, up to the opposing change.
        self._low = np.where(changed, now, np.minimum(self._low, now))
        self._high = np.where(changed, now, np.maximum(self._high, now))
        self._may_rise = np.where(changed, falls, self._may_rise)
        self._may_fall = np.where(changed, rises, self._may_fall)
        return changed


class _Reddening:
    """Changes to or from a saturated red, cell by cell."""

    def __init__(self, light: Cells) -> None:
        self._colour, self._is_red = _colour(light), _is_red(light)

    def push(self, light: Cells) -> Marks:
        """Return which cells change."""
        colour, red = _colour(light), _is_red(light)
        apart = np.hypot(*np.moveaxis(colour - self._colour, 2, 0))
        changed: Marks = (apart > _RED_CHANGE) & (red | self._is_red)
        kept = changed[:, :, np.newaxis]
        self._colour = np.where(kept, colour, self._colour)
        self._is_red = np.where(changed, red, self._is_red)
        return changed


def _is_red(light: Cells) -> Marks:
    total = light.sum(axis=2)
    red: Marks = (total > 0) & (light[:, :, 0] >= _RED_SHARE * total)
    return red


def _colour(light: Cells) -> Cells:
    """Return u', v' (CIE 1976) of each cell."""
    x, y, z = np.moveaxis(light @ _XYZ.T, 2, 0)
    below = x + 15 * y + 3 * z
    dark = below <= 0
    safe = np.where(dark, 1.0, below)
    u, v = np.where(dark, _WHITE[0], 4 * x / safe), np.where(dark, _WHITE[1], 9 * y / safe)
    return np.stack([u, v], axis=2)


def _is_large(marks: Marks) -> bool:
    """Whether marked cells cover more than a quarter of any block."""
    high, wide = (min(size, block) for size, block in zip(marks.shape, _BLOCK, strict=True))
    sums = np.pad(marks.astype(np.int64).cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0)))
    covered = sums[high:, wide:] - sums[:-high, wide:] - sums[high:, :-wide] + sums[:-high, :-wide]
    return int(covered.max()) > _MOST_CELLS
