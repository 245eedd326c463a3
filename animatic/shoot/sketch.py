"""How far two pictures of a take differ, whatever the light does: by a sketch of each.

A sketch is the mean light of a picture's fields. Lamps waver, and cameras expose a little
differently each time: that changes all fields in proportion, or from one side to the other. What
is left over moved.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from animatic.errors import MediaError
from animatic.photofile import damage, photo_formats

__all__ = ["ROWS", "sketched", "sketches_apart"]

ROWS = 18
_ACROSS = 32
_REDUCED = 8
"""A JPEG is decoded to an eighth: much finer than the fields, and in a fraction of the time."""
_FINE = 64
"""Steps of a level in which fields are kept."""
_DARK = 16.0
"""Levels that are added to each field, so that noise in the dark counts for little."""
_NOISE = 0.01
"""Differences of a field, in parts of its light, that are taken for noise."""
_SETTLED = 0.7
"""Share of the fields that are taken for unmoved, at least, to tell what the light did."""
_SCALE = 10_000


def sketched(path: Path) -> list[int]:
    """Return a picture's sketch, a number for each row of fields; MediaError for a damaged one."""
    from PIL import Image

    try:
        with Image.open(path, formats=photo_formats()) as image:
            image.draft("L", (image.width // _REDUCED, image.height // _REDUCED))
            light = image.convert("L").convert("F").resize((_ACROSS, ROWS), Image.Resampling.BOX)
    except Exception:  # A damaged file may raise anything in a decoder.
        raise MediaError(damage(path, "picture")) from None
    fields = np.rint(np.asarray(light) * _FINE).astype("<u2")
    return [int.from_bytes(row.tobytes(), "little") for row in fields]


def sketches_apart(one: list[int], other: list[int]) -> int:
    """Return how far two sketches differ: 0 where nothing moved.

    >>> still = [sum(6400 + 9 * x << 16 * x for x in range(32))] * 18
    >>> brighter = [sum((6400 + 9 * x) * 11 // 10 << 16 * x for x in range(32))] * 18
    >>> sketches_apart(still, brighter)
    0
    """
    steps = (np.log(_fields(one)) - np.log(_fields(other))).ravel()
    down, across = np.mgrid[0:ROWS, 0:_ACROSS].reshape(2, -1)
    light = np.column_stack([np.ones(steps.size), across / _ACROSS, down / ROWS])
    rest = steps - np.median(steps)
    for _ in range(3):
        unmoved = np.abs(rest) <= np.quantile(np.abs(rest), _SETTLED)
        by_light, *_ = np.linalg.lstsq(light[unmoved], steps[unmoved])
        rest = steps - light @ by_light
    return int(np.sum(np.maximum(0, np.abs(rest) - _NOISE)) * _SCALE)


def _fields(sketch: list[int]) -> NDArray[np.float64]:
    data = b"".join(row.to_bytes(2 * _ACROSS, "little") for row in sketch)
    return np.frombuffer(data, "<u2").reshape(ROWS, _ACROSS) / _FINE + _DARK
