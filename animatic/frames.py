"""Frames, seconds and samples: the rates, every change of unit, and all rounding.

Positions are rounded, half up, once, from exact values; a length is a difference of two
positions. Nothing outside this module rounds a time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, pairwise

__all__ = [
    "RATES",
    "SAMPLE_RATE",
    "Rate",
    "apportion",
    "beat_frame",
    "ceil_div",
    "ceil_frames_from_seconds",
    "ceil_to",
    "decimal",
    "frames_from_samples",
    "frames_from_seconds",
    "lengths_from_seconds",
    "milliseconds_from_frames",
    "on_grid",
    "poses_from_frames",
    "round_half_up",
    "samples_from_frames",
    "samples_from_seconds",
    "seconds_from_frames",
    "share_in_steps",
    "whole_lengths",
]

SAMPLE_RATE = 48_000
"""Samples a second of every mix (Hz)."""

_NTSC = {
    "23.976": Fraction(24_000, 1001),
    "29.97": Fraction(30_000, 1001),
    "59.94": Fraction(60_000, 1001),
}
RATES: tuple[str, ...] = ("12", "15", "24", "25", "30", *_NTSC)
"""The frame rates a board may name."""


@dataclass(frozen=True, slots=True)
class Rate:
    """A frame rate in frames a second, exact.

    >>> Rate.named("23.976").fps
    Fraction(24000, 1001)
    >>> Rate.named("24").nominal
    24
    """

    fps: Fraction

    def __post_init__(self) -> None:
        if not isinstance(self.fps, Fraction) or self.fps not in set(map(_fps, RATES)):
            raise ValueError(f"{self.fps} frames a second; allowed: {', '.join(RATES)}")

    @classmethod
    def named(cls, name: str) -> Rate:
        """Return the rate that `name` stands for; ValueError lists the allowed ones."""
        if name not in RATES:
            raise ValueError(f"{name} frames a second; allowed: {', '.join(RATES)}")
        return cls(_fps(name))

    @property
    def name(self) -> str:
        """The name in `RATES`: '24', '29.97'."""
        return next(name for name in RATES if _fps(name) == self.fps)

    @property
    def nominal(self) -> int:
        """Frames in a second of timecode: 24 for 23.976, 30 for 29.97."""
        return round_half_up(self.fps)

    @property
    def has_drop_frame(self) -> bool:
        """Whether SMPTE ST 12-1 has a drop-frame count for this rate (29.97 and 59.94)."""
        return self.fps in (_NTSC["29.97"], _NTSC["59.94"])

    def __str__(self) -> str:
        return self.name


def _fps(name: str) -> Fraction:
    return _NTSC[name] if name in _NTSC else Fraction(int(name))


def round_half_up(value: Fraction) -> int:
    """Return the nearest integer, halves upwards (Python's own round takes halves to even).

    >>> round_half_up(Fraction(65, 2)), round_half_up(Fraction(-1, 2))
    (33, 0)
    """
    return (2 * value.numerator + value.denominator) // (2 * value.denominator)


def decimal(value: Fraction, places: int, *, down: bool = False) -> str:
    """Return a value as people read it: with so many places, halves upwards, or rounded down.

    Down is for limits: what is allowed up to a number has to be allowed at the number shown.

    >>> decimal(Fraction(33, 8), 2), decimal(Fraction(1, 3), 0), decimal(Fraction(-1, 2), 1)
    ('4.13', '0', '-0.5')
    >>> decimal(Fraction(33, 8), 2, down=True)
    '4.12'
    """
    scaled = value * 10**places
    whole = scaled.numerator // scaled.denominator if down else round_half_up(scaled)
    digits = f"{abs(whole):0{places + 1}}"
    sign = "-" if whole < 0 else ""
    return f"{sign}{digits[:-places]}.{digits[-places:]}" if places else f"{sign}{digits}"


def ceil_div(value: int, by: int) -> int:
    """Return value / by rounded up.

    >>> ceil_div(25, 2)
    13
    """
    return -(-value // by)


def ceil_to(value: int, step: int) -> int:
    """Return the least multiple of `step` that is not below `value`.

    >>> ceil_to(25, 2), ceil_to(24, 2)
    (26, 24)
    """
    return ceil_div(value, step) * step


def ceil_frames_from_seconds(length: Fraction, rate: Rate) -> int:
    """Return the least whole number of frames that lasts `length` seconds.

    >>> ceil_frames_from_seconds(Fraction("1.3"), Rate.named("24"))
    32
    """
    frames = length * rate.fps
    return ceil_div(frames.numerator, frames.denominator)


def frames_from_seconds(position: Fraction, rate: Rate) -> int:
    """Return the frame nearest to a position in seconds.

    >>> frames_from_seconds(Fraction("1.3"), Rate.named("24"))
    31
    """
    return round_half_up(position * rate.fps)


def seconds_from_frames(frames: int, rate: Rate) -> Fraction:
    """Return the exact seconds at which a frame begins.

    >>> seconds_from_frames(1440, Rate.named("23.976"))
    Fraction(3003, 50)
    """
    return frames / rate.fps


def samples_from_seconds(position: Fraction, sample_rate: int = SAMPLE_RATE) -> int:
    """Return the sample nearest to a position in seconds.

    >>> samples_from_seconds(Fraction(1, 3))
    16000
    """
    return round_half_up(position * sample_rate)


def samples_from_frames(frames: int, rate: Rate, sample_rate: int = SAMPLE_RATE) -> int:
    """Return the sample at which a frame begins.

    >>> [samples_from_frames(n, Rate.named("29.97")) for n in (1, 5)]
    [1602, 8008]
    """
    return samples_from_seconds(seconds_from_frames(frames, rate), sample_rate)


def frames_from_samples(samples: int, rate: Rate, sample_rate: int = SAMPLE_RATE) -> int:
    """Return the frame nearest to a sample position.

    >>> frames_from_samples(3000, Rate.named("24"))
    2
    """
    return frames_from_seconds(Fraction(samples, sample_rate), rate)


def milliseconds_from_frames(frames: int, rate: Rate) -> int:
    """Return the nearest millisecond at which a frame begins; reading it back gives the frame.

    >>> [milliseconds_from_frames(n, Rate.named("24")) for n in (7, 11, 100, 1439)]
    [292, 458, 4167, 59958]
    """
    return round_half_up(seconds_from_frames(frames, rate) * 1000)


def on_grid(position: Fraction, origin: int, step: int) -> int:
    """Return the frame nearest to `position` (in frames) on the grid origin + k * step, k >= 1.

    The grid is a run of poses of `step` frames: the result lies at most half a step away,
    unless that would leave no pose at all.

    >>> on_grid(Fraction(33), 0, 2), on_grid(Fraction(1, 10), 0, 2), on_grid(Fraction(31), 1, 3)
    (34, 2, 31)
    """
    return origin + step * max(1, round_half_up((position - origin) / step))


def poses_from_frames(frames: int, shoot_on: int) -> int:
    """Return the poses needed to expose `frames` frames at `shoot_on` frames a pose.

    >>> poses_from_frames(25, 2)
    13
    """
    return ceil_div(frames, shoot_on)


def lengths_from_seconds(lengths: Sequence[Fraction], rate: Rate) -> list[int]:
    """Return whole frames for lengths in seconds: the ends are rounded, never the lengths.

    >>> lengths_from_seconds([Fraction(s) for s in ("1.3", "2.1", ".7")], Rate.named("24"))
    [31, 51, 16]
    """
    return whole_lengths([length * rate.fps for length in lengths])


def whole_lengths(lengths: Sequence[Fraction]) -> list[int]:
    """Return whole lengths in any unit: the ends are rounded, so that they sum to their end.

    >>> whole_lengths([Fraction(8, 3)] * 3)
    [3, 2, 3]
    """
    ends = [0, *(round_half_up(end) for end in accumulate(lengths))]
    return [after - before for before, after in pairwise(ends)]


def beat_frame(beat: int, bpm: Fraction, rate: Rate, first: Fraction = Fraction(0)) -> int:
    """Return the frame of beat number `beat` (from 0) of music at `bpm` beats a minute.

    `first` is the position of beat 0 in seconds. Each beat is rounded from its own exact
    position, so that no error adds up.

    >>> [beat_frame(n, Fraction(100), Rate.named("24")) for n in range(4)]
    [0, 14, 29, 43]
    """
    return frames_from_seconds(first + beat * 60 / bpm, rate)


def apportion(weights: Sequence[Fraction | int], total: int) -> list[int]:
    """Share `total` whole units in proportion to `weights`, by largest remainder.

    Ties go to the lowest index. ValueError when no weight is positive, one is negative, or
    `total` is.

    >>> apportion([50, 30, 20], 7)
    [4, 2, 1]
    """
    whole = sum(weights, Fraction(0))
    if total < 0:
        raise ValueError(f"{total} units cannot be shared")
    if whole <= 0 or any(weight < 0 for weight in weights):
        raise ValueError("weights must be zero or more, with at least one above zero")
    shares = [Fraction(weight) * total / whole for weight in weights]
    given = [share.numerator // share.denominator for share in shares]
    by_remainder = sorted(range(len(shares)), key=lambda i: (given[i] - shares[i], i))
    for index in by_remainder[: total - sum(given)]:
        given[index] += 1
    return given


def share_in_steps(
    weights: Sequence[int], least: Sequence[int], steps: Sequence[int], total: int
) -> list[int]:
    """Share `total` frames in proportion to `weights`, in whole `steps`, none below its `least`.

    Largest remainder, ties to the lowest index. Frames too few for a whole step are the last
    share's. The sum is exactly `total`, which must not be below the sum of `least`.

    >>> share_in_steps([50, 30, 20], [0, 0, 0], [1, 1, 1], 7)
    [4, 2, 1]
    >>> share_in_steps([48, 48, 24], [0, 36, 0], [2, 2, 2], 61)
    [16, 36, 9]
    """
    if not weights or min(weights) < 0 or not any(weights):
        raise ValueError("weights must be zero or more, with at least one above zero")
    if total < sum(least):
        raise ValueError(f"{total} frames to share; the least shares need {sum(least)}")
    free, ideal = list(range(len(weights))), [Fraction(value) for value in least]
    while free:
        left = total - sum(least[i] for i in range(len(least)) if i not in set(free))
        whole = sum(weights[i] for i in free)
        if not whole:
            free = []
            break
        below = {i for i in free if Fraction(weights[i] * left, whole) < least[i]}
        if not below:
            break
        free = [i for i in free if i not in below]
    for i in free:
        ideal[i] = Fraction(weights[i] * left, whole)
    given = [
        max(low, int(share // step) * step)
        for share, low, step in zip(ideal, least, steps, strict=True)
    ]
    rest = total - sum(given)
    for i in sorted(free, key=lambda i: (given[i] - ideal[i], i)):
        if steps[i] <= rest and given[i] < ideal[i]:
            given[i] += steps[i]
            rest -= steps[i]
    given[-1] += rest
    return given
