"""Where in a recording there is voice: stretches of energy, from 10 ms to 10 ms."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from animatic.frames import SAMPLE_RATE
from animatic.sound.decode import open_sound
from animatic.timeline.model import Timeline
from animatic.timeline.mouths import Span

__all__ = ["film_spans", "voiced_length", "voiced_spans"]

_HOP = SAMPLE_RATE // 100
_UNDER = 30.0
"""dB under the line's loud parts at which voice ends (common practice)."""
_SILENCE = 10.0 ** (-65 / 20)
_LONGEST_GAP = 12
"""Hops: a gap up to this long is the closure of a consonant (p, t, k), not a pause."""
_SHORTEST = 4
"""Hops: what is shorter is a click."""


def film_spans(timeline: Timeline) -> dict[Path, tuple[Span, ...]]:
    """Return the voiced spans of every line's sound; MediaError for one that cannot be used."""
    files = dict.fromkeys(line.voice for line in timeline.lines if line.voice is not None)
    return {file: voiced_spans(file) for file in files}


def voiced_spans(path: Path) -> tuple[Span, ...]:
    """Return the stretches with voice, in samples at 48 kHz from the file's start, in order."""
    levels = np.fromiter(_levels(path), dtype=np.float64)
    if not len(levels):
        return ()
    loud = float(np.percentile(levels[levels > _SILENCE], 95)) if (levels > _SILENCE).any() else 0.0
    if not loud:
        return ()
    is_voice = levels > max(_SILENCE, loud * 10.0 ** (-_UNDER / 20))
    spans = _joined(_runs(is_voice))
    kept = [(a, b) for a, b in spans if b - a >= _SHORTEST]
    return tuple((a * _HOP, b * _HOP) for a, b in kept)


def voiced_length(path: Path) -> int:
    """Return the samples at 48 kHz from the first voice to the last; 0 where there is none.

    MediaError for a file that cannot be used.
    """
    spans = voiced_spans(path)
    return spans[-1][1] - spans[0][0] if spans else 0


def _levels(path: Path) -> Iterator[float]:
    """Yield the RMS of each hop; the last, shorter one counts as a whole one."""
    with open_sound(path) as sound:
        while len(block := sound.read(_HOP * 100)):
            mono = block.mean(axis=1, dtype=np.float64)
            for at in range(0, len(mono), _HOP):
                yield _rms(mono[at : at + _HOP])


def _rms(samples: NDArray[np.float64]) -> float:
    return float(np.sqrt(np.mean(np.square(samples))))


def _runs(is_voice: NDArray[np.bool_]) -> list[Span]:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], is_voice, [False]]).astype(np.int8)))
    return [(int(a), int(b)) for a, b in edges.reshape(-1, 2)]


def _joined(runs: list[Span]) -> list[Span]:
    joined: list[Span] = []
    for start, end in runs:
        if joined and start - joined[-1][1] <= _LONGEST_GAP:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    return joined
