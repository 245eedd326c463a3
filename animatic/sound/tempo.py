"""The beats of a piece of music with a steady tempo, found by listening.

Spectral flux gives a curve of onsets: how much louder each band gets from one short window to
the next, summed over what rises. Its autocorrelation shows the period of the beats, a comb of
that period their place. Both are common practice in the analysis of music (Bello et al., "A
Tutorial on Onset Detection in Music Signals", IEEE Transactions on Speech and Audio
Processing 13-5, 2005; from memory).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from animatic.errors import MediaError
from animatic.frames import SAMPLE_RATE, round_half_up
from animatic.sound.decode import open_sound

__all__ = ["Tempo", "find_tempo"]

Curve = NDArray[np.float64]

_HOP = 240
"""Samples from one window to the next: 5 ms."""
_WINDOW = 1024
_PER_SECOND = SAMPLE_RATE // _HOP
_SLOWEST, _FASTEST = 50, 200
"""Beats a minute that are looked for."""
_ALMOST = 0.8
"""Of several periods that fit about as well the shortest is taken: a beat, not a bar."""
_STEADY = 0.2
"""Less than this of the curve's energy comes back after a period: then nothing beats."""
_LOUD = 1000.0
"""How far quiet sounds are brought up before they are compared."""


@dataclass(frozen=True, slots=True)
class Tempo:
    """A steady tempo: beats a minute, and the first beat in seconds from the file's start."""

    bpm: Fraction
    first_beat: Fraction
    steadiness: float
    """0 to 1: how much of the onsets comes back after a beat."""

    def beats(self, seconds: Fraction) -> Iterator[Fraction]:
        """Yield the times of the beats of a file, each from its own exact position.

        >>> [str(beat) for beat in Tempo(Fraction(120), Fraction(1, 10), 1.0).beats(Fraction(1))]
        ['1/10', '3/5']
        """
        number = 0
        while (beat := self.first_beat + number * 60 / self.bpm) < seconds:
            yield beat
            number += 1


def find_tempo(path: Path) -> Tempo:
    """Return the tempo of a sound file, 50 to 200 beats a minute.

    The tempo is rounded to a hundredth of a beat a minute, the first beat to a millisecond.
    MediaError where the file cannot be read, or nothing in it beats steadily.
    """
    curve = _onsets(path)
    if len(curve) < 4 * _PER_SECOND or not curve.any():
        raise MediaError(f"{path}: there is too little sound in it to find a beat")
    again = _autocorrelation(curve)
    lag = _period(again)
    steadiness = min(1.0, float(again[lag])) if lag else 0.0
    if not lag or steadiness < _STEADY:
        raise MediaError(
            f"{path}: no steady beat was found; write `bpm` and `first_beat` by ear, or list the"
            " beats' times in a file"
        )
    period, first = _comb(curve, _sharpened(again, lag))
    # Rounded to what the board file says them in.
    bpm = Fraction(round_half_up(Fraction(6000 * _PER_SECOND) / Fraction(period)), 100)
    # Measured on clicks: flux is greatest when an onset is a third of a window before its end.
    seconds = (Fraction(first + 1) * _HOP - Fraction(_WINDOW, 3)) / SAMPLE_RATE
    return Tempo(bpm, Fraction(round_half_up(max(Fraction(0), seconds) * 1000), 1000), steadiness)


def _onsets(path: Path) -> Curve:
    """Return the curve of onsets, 200 values a second; it begins with the file."""
    shape = np.hanning(_WINDOW)
    held = np.zeros(_WINDOW)
    before: Curve | None = None
    parts: list[Curve] = []
    with open_sound(path) as sound:
        while len(block := sound.read(SAMPLE_RATE)):
            rest = -len(block) % _HOP
            mono = np.pad(block.mean(axis=1, dtype=np.float64), (0, rest))
            samples = np.concatenate([held, mono])
            held = samples[-_WINDOW:]
            windows = np.lib.stride_tricks.sliding_window_view(samples, _WINDOW)[_HOP::_HOP]
            loud = np.log1p(_LOUD / shape.sum() * np.abs(np.fft.rfft(windows * shape)))
            first = loud[:1] if before is None else before
            parts.append(np.maximum(np.diff(loud, axis=0, prepend=first), 0).sum(axis=1))
            before = loud[-1:]
    curve = np.concatenate([np.zeros(0), *parts])
    # What is louder than its surroundings is an onset; the rest is the sound going on.
    around = np.convolve(curve, np.full(_PER_SECOND // 2, 2 / _PER_SECOND), mode="same")
    found: Curve = np.maximum(curve - around, 0)
    return found


def _autocorrelation(curve: Curve) -> Curve:
    """Return how well the curve fits itself after each lag: 1 at none."""
    size = 2 * len(curve)
    # Without its mean, so that what goes on evenly fits nowhere.
    power = np.abs(np.fft.rfft(curve - curve.mean(), size)) ** 2
    again = np.fft.irfft(power, size)[: len(curve)]
    # Neighbouring values count too: a beat need not fall on a whole lag.
    again = np.convolve(again, [0.5, 1, 0.5], mode="same")
    # A long lag has fewer pairs; it is as good where they fit as well.
    pairs = np.arange(len(curve), 0, -1) / len(curve)
    found: Curve = again / pairs / again[0]
    return found


def _period(again: Curve) -> int:
    """Return the lag of the beat; 0 where none is in sight."""
    first = 60 * _PER_SECOND // _FASTEST
    last = min(60 * _PER_SECOND // _SLOWEST, len(again) // 2)
    lags = np.arange(first, last + 1)
    peaks = [lag for lag in lags if again[lag] == again[lag - 3 : lag + 4].max()]
    best = max((again[lag] for lag in peaks), default=0.0)
    return next((int(lag) for lag in peaks if best and again[lag] >= _ALMOST * best), 0)


def _sharpened(again: Curve, lag: int) -> float:
    """Return a lag from ever more beats at once: a fraction of a value, not a whole one."""
    period, beats = float(lag), 1
    while 2 * beats * period + 4 < len(again) // 2 and beats < 64:
        beats *= 2
        middle = round(beats * period)
        peak = middle - 3 + int(np.argmax(again[middle - 3 : middle + 4]))
        below, here, above = again[peak - 1 : peak + 2]
        bend = below - 2 * here + above
        period = (peak + (0.5 * (below - above) / bend if bend else 0.0)) / beats
    return period


def _comb(curve: Curve, period: float) -> tuple[float, float]:
    """Return the period and the place of the first beat, in values of the curve.

    The comb whose teeth catch most is laid, and a line is drawn through the onsets by it.
    """
    count = int((len(curve) - 1) / period)
    teeth = period * np.arange(count)
    places = np.arange(0, period, 0.25)
    caught = [np.interp(teeth + at, np.arange(len(curve)), curve).sum() for at in places]
    start = places[int(np.argmax(caught))]
    numbers, found, weights = [], [], []
    for number in range(count):
        middle = round(start + number * period)
        near = slice(max(0, middle - 4), middle + 5)
        part = curve[near]
        if part.size and part.max() > 0:
            numbers.append(number)
            found.append(near.start + float(np.average(np.arange(part.size), weights=part)))
            weights.append(float(part.max()))
    slope, first = np.polyfit(numbers, found, 1, w=np.sqrt(weights))
    strong = 0.2 * float(np.median(weights))
    at = next(n for n, weight in zip(numbers, weights, strict=True) if weight >= strong)
    return float(slope), float(first + at * slope)
