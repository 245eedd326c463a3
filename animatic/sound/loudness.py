"""A loudness meter: ITU-R BS.1770 loudness and true peak, EBU Tech 3342 loudness range.

Sound is pushed in blocks of any size; what is kept is one number per 100 ms. The two
K-weighting filters run in FFmpeg's biquad filter in float64; gates and ranges
are here, the oversampling in `truepeak`. Levels are in LUFS, LU and dBTP.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import log10

import av
import numpy as np
from av.filter import Graph
from numpy.typing import NDArray

from animatic.frames import SAMPLE_RATE
from animatic.sound.truepeak import Heights

__all__ = ["Loudness", "Meter", "measure_loudness"]

Powers = NDArray[np.float64]

# ITU-R BS.1770-5, annex 1, tables 1 and 2: the filters for 48 kHz (b0 b1 b2 a1 a2).
_SHELF = (1.53512485958697, -2.69169618940638, 1.19839281085285,
          -1.69065929318241, 0.73248077421585)  # fmt: skip
_HIGH_PASS = (1.0, -2.0, 1.0, -1.99004745483398, 0.99007225036621)
_OFFSET = -0.691
_ABSOLUTE_GATE = -70.0
_RELATIVE_GATE = -10.0
_RANGE_GATE = -20.0
_STEP = SAMPLE_RATE // 10
_MOMENTARY = 4
"""Steps of 100 ms in the 400 ms gating block."""
_SHORT_TERM = 30
"""Steps of 100 ms in the 3 s window of the loudness range."""


@dataclass(frozen=True, slots=True)
class Loudness:
    """What the meter read; None where there is nothing to read.

    Silence has no loudness, and a sound under 400 ms (under 3 s for range and short-term)
    cannot be measured.
    """

    integrated: float | None
    """LUFS over the whole, gated."""
    range: float | None
    """LU between the quiet and the loud parts."""
    momentary: float | None
    """The loudest 400 ms, LUFS."""
    short_term: float | None
    """The loudest 3 s, LUFS."""
    true_peak: float | None
    """The highest point between the samples, dBTP."""


class Meter:
    """Measures the blocks that are pushed, in order; they are float, (samples, channels).

    One channel is measured as one loudspeaker: a mono sound that will play on both sides is
    pushed as two equal channels, and then reads 3 dB more.

    >>> meter = Meter(channels=2)
    >>> time = np.arange(480_000) / 48_000
    >>> tone = 10 ** (-23 / 20) * np.sin(2 * np.pi * 1000 * time)
    >>> meter.push(np.stack([tone, tone], 1))
    >>> round(meter.read().integrated, 1)
    -23.0
    """

    def __init__(self, channels: int = 2) -> None:
        if channels not in (1, 2):
            raise ValueError(f"{channels} channels; allowed: 1 or 2")
        self.channels = channels
        self._weighting = _Weighting(channels)
        self._heights = Heights(channels)
        self._highest = 0.0
        self._silence = 0
        self._unfinished = np.zeros((channels, 0))
        self._steps: list[float] = []

    def push(self, block: NDArray[np.floating]) -> None:
        """Measure the next block; ValueError when its channels are not the meter's."""
        if block.ndim != 2 or block.shape[1] != self.channels:
            raise ValueError(f"a block of shape {block.shape}; allowed: (any, {self.channels})")
        if not len(block):
            return
        exact = block.astype(np.float64, copy=False)
        weighted = np.concatenate([self._unfinished, *self._weighted(exact)], axis=1)
        whole = weighted.shape[1] - weighted.shape[1] % _STEP
        steps = weighted[:, :whole].reshape(self.channels, -1, _STEP)
        self._steps += (np.einsum("cns,cns->n", steps, steps) / _STEP).tolist()
        self._unfinished = weighted[:, whole:]

    def _weighted(self, block: Powers) -> Iterable[Powers]:
        """Return a block K-weighted, (channels, samples), and note its highest point."""
        if block.any():
            self._silence = 0
        elif self._silence >= SAMPLE_RATE:
            # A second of silence has taken what the filters remember to under 1e-100.
            return [np.zeros(block.shape[::-1])]
        else:
            self._silence += len(block)
        heights = self._heights.push(block, self._highest)
        self._highest = max(self._highest, float(heights.max()))
        return self._weighting.push(block)

    def read(self, gain: float = 1.0) -> Loudness:
        """Return what has been measured up to now; more may be pushed afterwards.

        `gain` is a factor by which the sound is taken to be louder than what was pushed.
        """
        steps = np.array(self._steps) * gain**2
        rest = self._heights.rest(self._highest)
        highest = gain * max(self._highest, float(rest.max()))
        momentary, short_term = (_windows(steps, n) for n in (_MOMENTARY, _SHORT_TERM))
        return Loudness(
            integrated=_gated(momentary),
            range=_loudness_range(short_term),
            momentary=_loudest(momentary),
            short_term=_loudest(short_term),
            true_peak=20.0 * log10(highest) if highest > 0.0 else None,
        )


def measure_loudness(blocks: Iterable[NDArray[np.floating]], channels: int = 2) -> Loudness:
    """Return the loudness of a sound given in blocks, (samples, channels) at 48 kHz.

    >>> seconds = np.arange(20 * 48_000) / 48_000
    >>> tone = 10 ** (-23 / 20) * np.sin(2 * np.pi * 1000 * seconds)
    >>> f"{measure_loudness([np.stack([tone, tone], axis=1)]).integrated:.1f}"  # EBU Tech 3341, 1
    '-23.0'
    """
    meter = Meter(channels)
    for block in blocks:
        meter.push(block)
    return meter.read()


def _windows(steps: Powers, length: int) -> Powers:
    """Return the mean power of each window of `length` steps, one step apart."""
    if len(steps) < length:
        return np.zeros(0)
    # Not by a running sum: silence after loud sound must come out as silence.
    means: Powers = np.lib.stride_tricks.sliding_window_view(steps, length).mean(axis=1)
    return means


def _lufs(power: float) -> float:
    return _OFFSET + 10.0 * log10(power)


def _power(lufs: float) -> float:
    return float(10.0 ** ((lufs - _OFFSET) / 10.0))


def _above(powers: Powers, relative: float) -> Powers:
    """Return the powers over -70 LUFS and over `relative` LU from the mean of those."""
    heard = powers[powers > _power(_ABSOLUTE_GATE)]
    if not len(heard):
        return heard
    return heard[heard > _power(_lufs(float(heard.mean())) + relative)]


def _gated(powers: Powers) -> float | None:
    kept = _above(powers, _RELATIVE_GATE)
    return _lufs(float(kept.mean())) if len(kept) else None


def _loudest(powers: Powers) -> float | None:
    top = float(powers.max(initial=0.0))
    return _lufs(top) if top > 0.0 else None


def _loudness_range(powers: Powers) -> float | None:
    """EBU Tech 3342: the spread from the 10th to the 95th hundredth of the gated 3 s windows."""
    kept = np.sort(_above(powers, _RANGE_GATE))
    if not len(kept):
        return None
    low, high = (kept[int((len(kept) - 1) * part + 0.5)] for part in (0.10, 0.95))
    return _lufs(float(high)) - _lufs(float(low))


class _Weighting:
    """K-weighting in float64: (samples, channels) in, (channels, samples) out, with a memory."""

    def __init__(self, channels: int) -> None:
        self._layout = {1: "mono", 2: "stereo"}[channels]
        self._pushed = 0
        graph = self._graph = Graph()
        self._in = graph.add(
            "abuffer",
            f"sample_rate={SAMPLE_RATE}:sample_fmt=dblp:channel_layout={self._layout}"
            f":time_base=1/{SAMPLE_RATE}",
        )
        chain = [self._in, *(graph.add("biquad", _options(c)) for c in (_SHELF, _HIGH_PASS))]
        self._out = graph.add("abuffersink")
        for before, after in zip(chain, [*chain[1:], self._out], strict=True):
            before.link_to(after)
        graph.configure()

    def push(self, block: Powers) -> Iterator[Powers]:
        frame = av.AudioFrame.from_ndarray(
            np.ascontiguousarray(block.T), format="dblp", layout=self._layout
        )
        frame.sample_rate = SAMPLE_RATE
        frame.pts = self._pushed
        frame.time_base = Fraction(1, SAMPLE_RATE)
        self._pushed += len(block)
        self._in.push(frame)
        while True:
            try:
                weighted = self._out.pull()
            except (av.error.BlockingIOError, av.error.EOFError):
                return
            assert isinstance(weighted, av.AudioFrame)
            yield weighted.to_ndarray().astype(np.float64, copy=False)


def _options(filter_: tuple[float, ...]) -> str:
    names = ("b0", "b1", "b2", "a1", "a2")
    values = ":".join(f"{name}={value!r}" for name, value in zip(names, filter_, strict=True))
    return f"{values}:a0=1:precision=f64:transform=tdii"
