"""Lines over the picture at the edges of another aspect, for films that are shown in two."""

from __future__ import annotations

from fractions import Fraction

import numpy as np

from animatic.frames import round_half_up
from animatic.picture.lettering import Stamp

__all__ = ["guide_box", "guide_stamps"]

_THICKNESS = 0.002
"""Of each line, in parts of the picture's shorter side."""


def guide_box(canvas: tuple[int, int], aspect: float) -> tuple[int, int, int, int]:
    """Return left, top, right, bottom of the largest rectangle of an aspect in the canvas.

    >>> guide_box((1920, 1080), 2.39)
    (0, 138, 1920, 942)
    >>> guide_box((1920, 1080), 1.0)
    (420, 0, 1500, 1080)
    """
    width, height = canvas
    if aspect * height >= width:
        top = round_half_up(Fraction(height - width / aspect) / 2)
        return 0, top, width, height - top
    left = round_half_up(Fraction(width - height * aspect) / 2)
    return left, 0, width - left, height


def guide_stamps(canvas: tuple[int, int], aspect: float) -> tuple[Stamp, ...]:
    """Return the lines of a guide as stamps, outside its box; none where it is the canvas.

    Each line is black and white side by side, so that it shows on any photo.
    """
    if not aspect:
        return ()
    left, top, right, bottom = guide_box(canvas, aspect)
    thick = max(1, int(min(canvas) * _THICKNESS))
    stamps = []
    for edge in (top, bottom):
        if 2 * thick <= edge <= canvas[1] - 2 * thick:
            first, ink = (edge - 2 * thick, (0, 255)) if edge == top else (edge, (255, 0))
            stamps.append(_line(0, first, (2 * thick, canvas[0]), ink, 0))
    for edge in (left, right):
        if 2 * thick <= edge <= canvas[0] - 2 * thick:
            first, ink = (edge - 2 * thick, (0, 255)) if edge == left else (edge, (255, 0))
            stamps.append(_line(first, 0, (canvas[1], 2 * thick), ink, 1))
    return tuple(stamps)


def _line(x: int, y: int, shape: tuple[int, int], inks: tuple[int, int], axis: int) -> Stamp:
    add = np.zeros((*shape, 3), np.uint8)
    for half, ink in zip(np.split(add, 2, axis=axis), inks, strict=True):
        half[...] = ink
    return Stamp(x, y, np.zeros((*shape, 1), np.uint8), add)
