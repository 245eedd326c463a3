"""The waveform between the samples, by interpolation at four times the rate.

BS.1770-5, annex 2, asks for four times oversampling and leaves the filter open; this one is a
sinc over 24 samples under a Kaiser window. It passes through the samples themselves. The
three filters between two samples are each other's mirror images, so that it does not matter
that a convolution turns them round.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import reduce
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

__all__ = ["DELAY", "Heights"]

Values = NDArray[np.float64]

_OVERSAMPLING = 4
DELAY = 12
"""Samples that the interpolation looks at on either side."""
_PAST = 2 * DELAY - 1
_PART = 64
"""Samples that are looked at, or passed over, together."""


def _filters() -> list[Values]:
    offsets = np.arange(-DELAY + 1, DELAY + 1)
    window = np.kaiser(2 * DELAY * _OVERSAMPLING + 1, 5.0)
    found = []
    for phase in range(1, _OVERSAMPLING):
        distance = offsets - phase / _OVERSAMPLING
        places = np.round(distance * _OVERSAMPLING).astype(int) + DELAY * _OVERSAMPLING
        taps = np.sinc(distance) * window[places]
        found.append(taps / taps.sum())
    return found


_FILTERS = _filters()
_MOST = max(float(np.abs(taps).sum()) for taps in _FILTERS) * (1 + 1e-9)
"""No point between samples is higher than the highest of 24 samples times this."""


class Heights:
    """How high the waveform is from each sample to the next, over all channels.

    Blocks, float64 (samples, channels), are pushed in order. A push of n samples gives n
    heights, of which the first belongs to the sample `DELAY` before the block.

    >>> heights = Heights(channels=1)
    >>> wave = np.sin(np.pi / 2 * (np.arange(400) + 0.5))  # Its samples stop at 0.71.
    >>> round(float(heights.push(wave[:, None], 0.0)[100:].max()), 2)
    1.0
    """

    def __init__(self, channels: int) -> None:
        self._past = np.zeros((_PAST, channels))

    def push(self, block: Values, least: float) -> Values:
        """Return the heights (samples,), full scale 1.0.

        What cannot be over `least` is not interpolated: there the sample's own height stands.
        """
        joined = np.concatenate([self._past, block])
        self._past = joined[-_PAST:]
        return _heights(joined, len(block), least)

    def rest(self, least: float) -> Values:
        """Return the heights up to the last sample and past it, as if silence followed."""
        return _heights(np.concatenate([self._past, np.zeros_like(self._past)]), _PAST, least)


def _heights(joined: Values, count: int, least: float) -> Values:
    # Channel by channel: far quicker than a maximum over an axis of two.
    tops = reduce(np.maximum, np.abs(joined.T))
    found: Values = tops[DELAY - 1 : DELAY - 1 + count].copy()
    for first, end in _loud(tops, count, least):
        for channel in joined[first : end + _PAST].T:
            for taps in _FILTERS:
                between = np.abs(np.convolve(channel, taps, "valid"))
                np.maximum(found[first:end], between, out=found[first:end])
    return found


def _loud(tops: Values, count: int, least: float) -> Iterator[tuple[int, int]]:
    """Yield the ranges in which a point between samples may be over `least`."""
    if not count or float(tops.max()) * _MOST <= least:
        return
    parts = -(-count // _PART)
    padded = np.zeros((parts + 1) * _PART)
    padded[: len(tops)] = tops[: len(padded)]
    highest = padded.reshape(-1, _PART).max(axis=1)
    # The filters of a part's last samples reach into the next one.
    loud = np.maximum(highest[:-1], highest[1:]) * _MOST > least
    changes = np.flatnonzero(np.diff(np.concatenate([[False], loud, [False]]).astype(np.int8)))
    for first, end in pairwise(changes.tolist()):
        if loud[first]:
            yield first * _PART, min(count, end * _PART)
