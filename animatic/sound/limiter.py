"""The limiter: holds back only what would pass the ceiling, and looks ahead to do it softly.

How far the waveform is over the ceiling is counted in whole millionths of a dB. From there to
the smoothed curve everything is whole numbers, so that the gain of a sample depends on the
sound around it alone, never on the blocks in which it came.

The curve is down when a peak comes: it goes there over the `AHEAD` samples before it. It comes
back at `RELEASE` dB a second, slowly enough to leave the shape of a low tone alone (common
practice, no source). Both channels have one gain, so that nothing moves sideways.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from animatic.frames import SAMPLE_RATE
from animatic.sound.levels import Gains, gain_from_db
from animatic.sound.truepeak import DELAY, Heights

__all__ = ["AHEAD", "CEILING", "MEMORY", "RELEASE", "WORKING", "Limiter"]

CEILING = -1.0
"""The highest true peak of a film, in dBTP (EBU R 128)."""
WORKING = CEILING - 0.3
"""Where the limiter begins: true-peak meters differ by up to 0.2 dB on one sound."""
AHEAD = SAMPLE_RATE // 200
"""Samples (5 ms) over which the gain goes down before a peak."""
RELEASE = 24
"""dB a second in which it comes back."""
MEMORY = 4 * SAMPLE_RATE
"""Samples after which nothing is left of a peak of 96 dB over the ceiling."""

_UNIT = 1_000_000
"""Parts of a dB."""
_STEP = RELEASE * _UNIT // SAMPLE_RATE
# Two running means one after the other: a curve without corners over AHEAD samples.
_MEANS = (AHEAD // 2, AHEAD - AHEAD // 2 + 1)

Whole = NDArray[np.int64]


class Limiter:
    """Gains for sound that comes in blocks; each is given as soon as what follows is known.

    >>> limiter = Limiter()
    >>> loud = np.full((48_000, 2), 2.0)
    >>> gains = np.concatenate([limiter.push(loud), limiter.finish()])
    >>> len(gains), round(float(gains[24_000] * 2.0), 3) == round(gain_from_db(WORKING), 3)
    (48000, True)
    """

    def __init__(self, channels: int = 2) -> None:
        self._channels = channels
        self._ceiling = gain_from_db(WORKING)
        self._heights = Heights(channels)
        # Silence before the first sample; the first heights belong to DELAY samples before it.
        self._over: Whole = np.zeros(AHEAD - 1 - DELAY, np.int64)
        self._last = 0
        self._came = self._went = 0
        self.most = 0.0
        """How far the gain has gone down at most, in dB."""

    def push(self, block: NDArray[np.float64]) -> Gains:
        """Take the next block, (samples, channels); return the gains (samples,) now known."""
        self._came += len(block)
        return self._gains(block)

    def finish(self) -> Gains:
        """Return the gains of the last samples, as if silence followed."""
        silence = np.zeros((self._came - self._went + AHEAD + DELAY, self._channels))
        return self._gains(silence)

    def _gains(self, block: NDArray[np.float64]) -> Gains:
        over = self._released(self._heights.push(block, self._ceiling))
        known = np.concatenate([self._over, over])
        # Each gain needs AHEAD - 1 samples before it and as many after it.
        count = max(0, len(known) - 2 * (AHEAD - 1))
        self._over = known[count:]
        count = min(count, self._came - self._went)
        self._went += count
        if not count or not known.any():
            return np.ones(count)
        curve = _highest_ahead(known, AHEAD)
        for length in _MEANS:
            total = np.concatenate([[0], np.cumsum(curve)])
            curve = total[length:] - total[:-length]
        down = curve[:count] / (_MEANS[0] * _MEANS[1] * _UNIT)
        self.most = max(self.most, float(down.max()))
        gains: Gains = 10.0 ** (down / -20.0)
        return gains

    def _released(self, heights: NDArray[np.float64]) -> Whole:
        """Return how far over the ceiling it is, coming back slowly, in millionths of a dB."""
        ratio = np.maximum(heights / self._ceiling, 1.0)
        over = np.ceil(20.0 * _UNIT * np.log10(ratio)).astype(np.int64)
        if not len(over) or not (self._last or over.any()):
            return over
        slope = _STEP * np.arange(1, len(over) + 1)
        risen = np.maximum.accumulate(np.concatenate([[self._last], over + slope]))[1:]
        came_back: Whole = np.maximum(risen - slope, 0)
        self._last = int(came_back[-1])
        return came_back


def _highest_ahead(values: Whole, length: int) -> Whole:
    """Return the highest of each `length` neighbours, for every place that has so many.

    >>> _highest_ahead(np.array([1, 5, 2, 0, 0, 3]), 3).tolist()
    [5, 5, 2, 3]
    """
    found, span = values, 1
    while span < length:
        step = min(span, length - span)
        found = np.maximum(found[:-step], found[step:])
        span += step
    return found
