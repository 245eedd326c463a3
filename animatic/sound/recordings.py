"""A recording as it came back, made ready for the film: trimmed at both ends, evened in level.

The original is only read. What comes out is mono at 48 kHz.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from statistics import median

import numpy as np
from numpy.typing import NDArray

from animatic.errors import MediaError
from animatic.frames import SAMPLE_RATE, ceil_div, round_half_up, samples_from_seconds
from animatic.sound.clipping import Clipped, find_clipped
from animatic.sound.decode import decode
from animatic.sound.levels import fade_gains, gain_from_db
from animatic.sound.loudness import measure_loudness
from animatic.sound.silence import find_voice

__all__ = ["LOUDNESS", "PAD", "PEAK", "Recording", "ready_recording", "usual_loudness"]

Samples = NDArray[np.float64]

LOUDNESS = -23.0
"""LUFS to which lines are brought where there are none yet (EBU R 128's target level)."""
PEAK = -1.0
"""dBTP that no line may pass (EBU R 128)."""
PAD = Fraction(8, 100)
"""Seconds of room kept before and after the line, for soft beginnings and ends."""

_EDGE = SAMPLE_RATE // 200
_SHORT = SAMPLE_RATE


@dataclass(frozen=True, slots=True)
class Recording:
    """A line ready for the film: (samples,) float64 at 48 kHz, full scale 1.0."""

    samples: NDArray[np.float64]
    cut_head: int
    """Samples taken off at the start."""
    cut_tail: int
    gain: float
    """dB by which it was made louder or softer."""
    loudness: float
    """LUFS it has now, as it plays on two loudspeakers."""
    held_back: bool
    """Whether its peaks kept it below the loudness asked for."""
    is_told: bool = True
    """Whether its voice stands far enough above its room to tell where it begins and ends."""
    clipped: Clipped | None = None
    """Where the recording went over full scale as it was made."""


def ready_recording(
    path: Path,
    *,
    loudness: float = LOUDNESS,
    threshold: float | None = None,
    pad: Fraction = PAD,
) -> Recording:
    """Return a recording trimmed and evened; MediaError where there is no voice in it.

    Without `threshold`, in dB under the loudest part, where silence begins follows from the
    recording.
    """
    sound = decode(path).mean(axis=1, dtype=np.float64)
    voiced = find_voice(sound, threshold)
    if voiced is None:
        raise MediaError(f"{path}: {_NO_VOICE}")
    kept = samples_from_seconds(pad)
    start, end = max(0, voiced.start - kept), min(len(sound), voiced.end + kept)
    line = sound[start:end].copy()
    edge = min(_EDGE, len(line) // 2)
    ramp = fade_gains(0, edge, edge)
    # Room tone that begins or ends at once would click.
    if start and edge:
        line[:edge] *= ramp
    if end < len(sound) and edge:
        line[-edge:] *= ramp[::-1]
    now, peak = _loudness(line)
    if now is None or peak is None:
        raise MediaError(f"{path}: {_NO_VOICE}")
    gain = min(loudness - now, PEAK - peak)
    held_back = loudness - now > gain
    line *= gain_from_db(gain)
    return Recording(
        line,
        start,
        len(sound) - end,
        gain,
        now + gain,
        held_back,
        voiced.is_told,
        find_clipped(path),
    )


def usual_loudness(files: Iterable[Path]) -> float | None:
    """Return the loudness (whole LUFS, the median) of lines; None where none can be measured.

    Whole numbers, so that lines brought to it have it in turn. MediaError for a file that
    cannot be used.
    """
    heard = [_loudness(decode(file).mean(axis=1, dtype=np.float64))[0] for file in files]
    known = [loudness for loudness in heard if loudness is not None]
    return float(round_half_up(Fraction(median(known)))) if known else None


_NO_VOICE = "there is no voice in it, or too soft a one; record it again"


def _loudness(line: Samples) -> tuple[float | None, float | None]:
    """Return loudness and true peak of a line as it plays on both sides.

    One shorter than a second is measured as if it went on and on: the gate of 400 ms has
    too little to go by.
    """
    times = ceil_div(4 * _SHORT, max(1, len(line))) if len(line) < _SHORT else 1
    both = np.repeat(np.tile(line, times)[:, np.newaxis], 2, axis=1)
    blocks = (both[at : at + SAMPLE_RATE] for at in range(0, len(both), SAMPLE_RATE))
    measured = measure_loudness(blocks)
    return measured.integrated, measured.true_peak
