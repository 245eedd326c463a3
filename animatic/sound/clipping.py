"""Where a recording went over full scale: its waves are cut flat there, for good.

Three samples in a row at full scale are taken for clipped: a sound that was not cut flat touches
full scale with a sample or two (common practice; meters count an over so).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np

from animatic.audiofile import AudioFile
from animatic.errors import MediaError

__all__ = ["Clipped", "find_clipped"]

_FULL = 1 - 2.0**-15
"""The highest sample of 16 bits, which is also over all that 24 bits hold back from it."""
_ROW = 3
_APART = 10
"""Flat waves nearer to each other than one part in this of a second are one place."""


@dataclass(frozen=True, slots=True)
class Clipped:
    """How many places are clipped, and where the first is, in seconds from the start."""

    places: int
    first: Fraction


def find_clipped(path: Path) -> Clipped | None:
    """Return where a sound file is clipped, by its own samples; None where it is not.

    MediaError for a file that cannot be used.
    """
    try:
        with AudioFile(path) as file:
            rate = file.rate
            full = np.concatenate([np.abs(block) >= _FULL for block in file.blocks()])
    except MediaError as fault:
        raise MediaError(f"{path}: {fault}; export it again") from None
    in_row = full[: len(full) - _ROW + 1].copy()
    for later in range(1, _ROW):
        in_row &= full[later : len(full) - _ROW + 1 + later]
    starts = np.flatnonzero(in_row.any(axis=1))
    if not len(starts):
        return None
    places = 1 + int((np.diff(starts) > rate // _APART).sum())
    return Clipped(places, Fraction(int(starts[0]), rate))
