"""Gains over film samples: decibels, fades, places, and the music's dip under dialogue.

Every gain is a function of the sample's number alone, so that the mix does not depend on the
blocks in which it is made. Gains are amplitude factors in float64.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import cos, pi, sin, sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "Duck",
    "Fade",
    "Gains",
    "dialogue_stretches",
    "fade_gains",
    "gain_from_db",
    "pan_gains",
]

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
    begin, end = (min(count, max(0, at - first)) for at in (0, length))
    gains = np.ones(count)
    gains[:begin] = 0.0
    place = (np.arange(first + begin, first + end) + 0.5) / max(1, length)
    if shape == "equal power":
        gains[begin:end] = np.sin(place * (np.pi / 2))
    else:
        gains[begin:end] = 0.5 - 0.5 * np.cos(place * np.pi)
    return gains


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

    Music is `depth` dB down over each stretch of dialogue. It goes down over the `attack`
    samples before a stretch, so that it is down when the line begins, stays down for the
    `hold` samples after it, and comes back over `release` samples; the level in dB follows a
    raised cosine.
    """

    stretches: Sequence[tuple[int, int]]
    depth: float
    attack: int
    hold: int
    release: int

    def gains(self, first: int, count: int) -> Gains:
        """Return the music's gains for film samples [first, first + count).

        >>> duck = Duck([(2, 4)], depth=6.0206, attack=1, hold=1, release=2)
        >>> duck.gains(0, 8).round(3).tolist()
        [1.0, 0.707, 0.5, 0.5, 0.5, 0.553, 0.903, 1.0]
        """
        down = np.zeros(count)
        for start, end in self.stretches:
            begins, comes_back = start - self.attack, end + self.hold
            if begins >= first + count or comes_back + self.release <= first:
                continue
            into = fade_gains(first - begins, count, self.attack)
            out = fade_gains(first - comes_back, count, self.release)
            down = np.maximum(down, into - out)
        if not down.any():
            return np.ones(count)
        gains: Gains = 10.0 ** (down * (-self.depth / 20.0))
        return gains


def pan_gains(pan: float, channels: int) -> tuple[float, float]:
    """Return the gains of left and right for a sound at `pan`, -1 (left) to 1 (right).

    One channel keeps its power wherever it stands (the sine and cosine law); the law is
    raised by 3 dB, so that the middle is as loud as a sound that is not placed, and a side is
    3 dB over it in its one loudspeaker. Two channels are balanced: the side it goes away from
    fades as a cosine, the other stays.

    >>> [tuple(round(gain, 3) for gain in pan_gains(pan, 1)) for pan in (-1.0, 0.0, 0.5)]
    [(1.414, 0.0), (1.0, 1.0), (0.541, 1.307)]
    >>> [tuple(round(gain, 3) for gain in pan_gains(pan, 2)) for pan in (-1.0, 0.0, 0.5)]
    [(1.0, 0.0), (1.0, 1.0), (0.707, 1.0)]
    """
    if not pan:
        return 1.0, 1.0
    if channels == 2:
        far = cos(abs(pan) * pi / 2) if abs(pan) < 1 else 0.0
        return (far, 1.0) if pan > 0 else (1.0, far)
    if abs(pan) == 1:
        return (0.0, sqrt(2.0)) if pan > 0 else (sqrt(2.0), 0.0)
    angle = (pan + 1.0) * pi / 4
    return sqrt(2.0) * cos(angle), sqrt(2.0) * sin(angle)
