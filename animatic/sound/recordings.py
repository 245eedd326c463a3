"""A recording as it came back, made ready for the film: trimmed at both ends, evened in level.

pydub finds the silence. The original is only read. What comes out is mono at 48 kHz.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from statistics import median
from typing import Any

import numpy as np
from numpy.typing import NDArray

from animatic.errors import MediaError
from animatic.frames import SAMPLE_RATE, ceil_div, round_half_up, samples_from_seconds
from animatic.sound.decode import decode
from animatic.sound.levels import fade_gains, gain_from_db
from animatic.sound.loudness import measure_loudness

__all__ = ["LOUDNESS", "PAD", "PEAK", "THRESHOLD", "Recording", "ready_recording", "usual_loudness"]

Samples = NDArray[np.float64]

LOUDNESS = -23.0
"""LUFS to which lines are brought where there are none yet (EBU R 128's target level)."""
PEAK = -1.0
"""dBTP that no line may pass (EBU R 128)."""
THRESHOLD = 40.0
"""Sound this many dB under the line's loudest tenth of a second is silence (common practice)."""
PAD = Fraction(8, 100)
"""Seconds of room kept before and after the line, for soft beginnings and ends."""

_WINDOW = 100
"""Milliseconds over which the level is taken to find silence."""
_STEP = 5
_SPECK = 60
"""A sound shorter than this (ms), and far from all others, is a knock or a mouse, not a word."""
_FAR = 300
_EDGE = SAMPLE_RATE // 200
_SHORT = SAMPLE_RATE
_QUIETEST = -70.0
"""dB of full scale under which nothing is taken for a voice."""


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


def ready_recording(
    path: Path,
    *,
    loudness: float = LOUDNESS,
    threshold: float = THRESHOLD,
    pad: Fraction = PAD,
) -> Recording:
    """Return a recording trimmed and evened; MediaError where there is no voice in it."""
    sound = decode(path).mean(axis=1, dtype=np.float64)
    start, end = _voice(path, sound, threshold, samples_from_seconds(pad))
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
    return Recording(line, start, len(sound) - end, gain, now + gain, held_back)


def usual_loudness(files: Iterable[Path]) -> float | None:
    """Return the loudness (whole LUFS, the median) of lines; None where none can be measured.

    Whole numbers, so that lines brought to it have it in turn. MediaError for a file that
    cannot be used.
    """
    heard = [_loudness(decode(file).mean(axis=1, dtype=np.float64))[0] for file in files]
    known = [loudness for loudness in heard if loudness is not None]
    return float(round_half_up(Fraction(median(known)))) if known else None


_NO_VOICE = "there is no voice in it, or too soft a one; record it again"


def _voice(path: Path, sound: Samples, threshold: float, pad: int) -> tuple[int, int]:
    """Return the range of samples from the first word to the last, with the pads."""
    spans = _spans(sound, threshold)
    while len(spans) > 1 and _is_speck(spans[0]) and spans[1][0] - spans[0][1] > _FAR:
        spans.pop(0)
    while len(spans) > 1 and _is_speck(spans[-1]) and spans[-1][0] - spans[-2][1] > _FAR:
        spans.pop()
    if not spans or all(map(_is_speck, spans)):
        raise MediaError(f"{path}: {_NO_VOICE}")
    first, last = (_samples(spans[0][0]), _samples(spans[-1][1]))
    return max(0, first - pad), min(len(sound), last + pad)


def _samples(milliseconds: int) -> int:
    return milliseconds * SAMPLE_RATE // 1000


def _is_speck(span: tuple[int, int]) -> bool:
    return span[1] - span[0] < _SPECK


def _spans(sound: Samples, threshold: float) -> list[tuple[int, int]]:
    """Return the stretches with sound in them, in milliseconds."""
    segment, silence = _segment(sound)
    loudest = max((segment[at : at + _WINDOW].dBFS for at in range(0, len(segment), _WINDOW)),
                  default=-float("inf"))  # fmt: skip
    if loudest < _QUIETEST:
        return []
    floor = max(loudest - threshold, _QUIETEST)
    found = silence.detect_nonsilent(segment, _WINDOW, floor, _STEP)
    return [(int(start), int(end)) for start, end in found]


def _segment(sound: Samples) -> tuple[Any, Any]:
    """Return the sound as a pydub segment of 32 bits, and pydub's module of silence."""
    with warnings.catch_warnings():
        # It warns of programs that it would need for other formats, and of its own imports.
        warnings.simplefilter("ignore")
        from pydub import AudioSegment, silence
    whole = np.clip(np.rint(sound * 2.0**31), -(2**31), 2**31 - 1).astype("<i4")
    segment = AudioSegment(data=whole.tobytes(), sample_width=4, frame_rate=SAMPLE_RATE, channels=1)
    return segment, silence


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
