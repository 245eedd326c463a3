"""Gains over film samples: decibels, fades, and the music's dip under dialogue.

Every gain is a function of the sample's number alone, so that the mix does not depend on the
blocks in which it is made. Gains are amplitude factors in float64.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

__all__ = ["Duck", "Fade", "Gains", "dialogue_stretches", "fade_gains", "gain_from_db"]

Gains = NDArray[np.float64]
Fade = Literal["smooth", "equal power"]


def gain_from_db(level: float) -> float:
    """Return the amplitude factor of a level in dB.

    >>> round(gain_from_db(-6.0206), 6)
    0.5
    """
    return float(10.0 ** (level / 20.0))


def fade_gains(first: int, count: int, length: int, shape: Fade = "smooth") -> Gains:
    """Return the gains of samples [first, first + count) of a fade-in of `length` samples.

    Before the fade the gain is 0, after it 1; a fade of no length is a step. A fade-out is a
    fade-in read backwards. Sample k stands at t = (k + 1/2) / length, so that a fade and its
    mirror image are symmetric: "smooth" is the raised cosine (1 - cos(pi t)) / 2, without a
    corner at either end; "equal power" is sin(pi t / 2), whose square and its mirror's add up
    to 1.

    >>> fade_gains(-1, 6, 4).round(3).tolist()
    [0.0, 0.038, 0.309, 0.691, 0.962, 1.0]
    """
    samples = np.arange(first, first + count, dtype=np.float64)
    if not length:
        return (samples >= 0).astype(np.float64)
    place = np.clip((samples + 0.5) / length, 0.0, 1.0)
    if shape == "equal power":
        return np.sin(place * (np.pi / 2))
    return 0.5 - 0.5 * np.cos(place * np.pi)


def dialogue_stretches(lines: Iterable[tuple[int, int]], hold: int) -> list[tuple[int, int]]:
    """Return stretches of dialogue in order; a gap shorter than `hold` samples is bridged.

    `lines` are half-open ranges in film samples, in any order.

    >>> dialogue_stretches([(900, 1000), (0, 100), (150, 200)], hold=100)
    [(0, 200), (900, 1000)]
    """
    joined: list[tuple[int, int]] = []
    for start, end in sorted(lines):
        if joined and start - joined[-1][1] < hold:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        else:
            joined.append((start, end))
    return joined


@dataclass(frozen=True)
class Duck:
    """How far music is down, sample by sample.

    Music is `depth` dB down over each stretch of dialogue. It goes down over the `ramp`
    samples before a stretch, so that it is down when the line begins, and comes back over the
    `ramp` samples after it; the level in dB follows a raised cosine.
    """

    stretches: Sequence[tuple[int, int]]
    depth: float
    ramp: int

    def gains(self, first: int, count: int) -> Gains:
        """Return the music's gains for film samples [first, first + count).

        >>> Duck([(2, 4)], depth=6.0206, ramp=1).gains(0, 6).round(3).tolist()
        [1.0, 0.707, 0.5, 0.5, 0.707, 1.0]
        """
        down = np.zeros(count)
        for start, end in self.stretches:
            if start - self.ramp >= first + count or end + self.ramp <= first:
                continue
            into = fade_gains(first - (start - self.ramp), count, self.ramp)
            out = fade_gains(first - end, count, self.ramp)
            down = np.maximum(down, into - out)
        gains: Gains = 10.0 ** (down * (-self.depth / 20.0))
        return gains
