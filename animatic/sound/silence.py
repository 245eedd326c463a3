"""Where in a recording the voice begins and ends. pydub finds the silence.

Silence is what stays under a level, and that follows from the recording itself: from its loudest
part, and from the room that is heard where nobody speaks. A home recording made softly has its
room within 40 dB of the voice, where a fixed distance would take the room for voice.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from animatic.frames import SAMPLE_RATE

__all__ = ["Voiced", "find_voice"]

Samples = NDArray[np.float64]

_THRESHOLD = 40.0
"""Sound this many dB under the line's loudest tenth of a second is silence (common practice)."""
_SURE = 24.0
"""So far under it and further, soft beginnings and ends are found.

Measured on spoken lines in rooms of noise and of hum: nothing of a word is lost beyond a pad of
80 ms. Nearer, up to 51 ms of a soft end were.
"""
_NEAREST = 20.0
"""Nearer to it than this nothing is silence."""
_GUARD = 60
"""Milliseconds kept besides at both ends where silence begins nearer than is sure."""
_OVER_ROOM = 6.0
"""dB above the room from which a sound counts: a room is not steady."""
_LEAST_OVER_ROOM = 3.0
"""Where there are fewer, room and voice cannot be told apart."""
_ROOM = 30
"""Hops of 10 ms over which the room is heard: longer than the closure of a consonant."""
_HOP = SAMPLE_RATE // 100
_NOTHING = 1e-9
"""The power (-90 dB) under which no room is heard, or a program put silence in its place."""
_RUMBLE = 100.0
"""Hz below which a level is not a voice's: hum of the mains, traffic, steps."""
_RUMBLES = 1.0
"""dB by which a room is softer without rumble, where that is a part of it. Elsewhere levels are
taken of the sound as it is: without its lows a knock rings, and lasts as long as a word."""

_WINDOW = 100
"""Milliseconds over which the level is taken to find silence."""
_STEP = 5
_SPECK = 60
"""A sound shorter than this (ms), and far from all others, is a knock or a mouse, not a word."""
_FAR = 300
_QUIETEST = -70.0
"""dB of full scale under which nothing is taken for a voice."""


@dataclass(frozen=True, slots=True)
class Voiced:
    """The samples [start, end) from the first word to the last."""

    start: int
    end: int
    is_told: bool
    """Whether the voice stands far enough above the room to tell where it begins and ends."""


def find_voice(sound: Samples, threshold: float | None = None) -> Voiced | None:
    """Return where the voice is in a sound, (samples,) at 48 kHz; None where there is none.

    With `threshold` silence begins so many dB under the loudest part, whatever the room.
    """
    room = None if threshold is not None else _room(sound, sound)
    heard = sound
    if room is not None:
        calm = _without_rumble(sound)
        below = _room(sound, calm)
        if below is not None and room - below >= _RUMBLES:
            heard, room = calm, below
    segment, silence = _segment(heard)
    loudest = max((segment[at : at + _WINDOW].dBFS for at in range(0, len(segment), _WINDOW)),
                  default=-float("inf"))  # fmt: skip
    if loudest < _QUIETEST:
        return None
    floor, is_told = loudest - (threshold or _THRESHOLD), True
    if room is not None:
        followed = min(room + _OVER_ROOM, loudest - _NEAREST)
        is_above = followed >= room + _LEAST_OVER_ROOM
        floor = max(floor, followed) if is_above else floor
        is_told = is_above or _has_nothing(sound)
    found = silence.detect_nonsilent(segment, _WINDOW, max(floor, _QUIETEST), _STEP)
    spans = _words([(int(start), int(end)) for start, end in found])
    if not spans:
        return None
    guard = _GUARD if threshold is None and loudest - floor < _SURE else 0
    start, end = _samples(spans[0][0] - guard), _samples(spans[-1][1] + guard)
    return Voiced(max(0, start), min(len(sound), end), is_told)


def _words(spans: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return the stretches with sound, in milliseconds, without specks at the ends."""
    while len(spans) > 1 and _is_speck(spans[0]) and spans[1][0] - spans[0][1] > _FAR:
        spans.pop(0)
    while len(spans) > 1 and _is_speck(spans[-1]) and spans[-1][0] - spans[-2][1] > _FAR:
        spans.pop()
    return [] if all(map(_is_speck, spans)) else spans


def _is_speck(span: tuple[int, int]) -> bool:
    return span[1] - span[0] < _SPECK


def _samples(milliseconds: int) -> int:
    return milliseconds * SAMPLE_RATE // 1000


def _room(sound: Samples, heard: Samples) -> float | None:
    """Return the level (dB) of the quietest stretch of the room; None where none is heard."""
    powers = _stretched(_powers(heard))
    is_heard = _stretched(_powers(sound) > _NOTHING) > 1 - 0.5 / _ROOM
    if not is_heard.any():
        return None
    return float(10 * np.log10(max(powers[is_heard].min(), 1e-12)))


def _has_nothing(sound: Samples) -> bool:
    """Whether there is a stretch in which not even a room is heard."""
    return bool((_stretched(_powers(sound) > _NOTHING) < 0.5 / _ROOM).any())


def _powers(sound: Samples) -> Samples:
    hops = len(sound) // _HOP
    powers = np.square(sound[: hops * _HOP]).reshape(hops, _HOP).mean(axis=1)
    return np.asarray(powers, dtype=np.float64)


def _stretched(values: NDArray[Any]) -> Samples:
    """Return the mean of each stretch of hops; none where there are too few for one."""
    if len(values) < _ROOM:
        return np.zeros(0)
    return np.convolve(values, np.full(_ROOM, 1 / _ROOM), "valid")


def _without_rumble(sound: Samples) -> Samples:
    """Return a sound without what lies under a voice, in place in time.

    A Butterworth curve of second order, in magnitude alone.
    """
    if not len(sound):
        return sound
    spectrum = np.fft.rfft(sound)
    hertz = np.fft.rfftfreq(len(sound), 1 / SAMPLE_RATE)
    with np.errstate(divide="ignore"):
        spectrum /= np.sqrt(1 + (_RUMBLE / hertz) ** 4)
    return np.asarray(np.fft.irfft(spectrum, len(sound)), dtype=np.float64)


def _segment(sound: Samples) -> tuple[Any, Any]:
    """Return the sound as a pydub segment of 32 bits, and pydub's module of silence."""
    with warnings.catch_warnings():
        # It warns of programs that it would need for other formats, and of its own imports.
        warnings.simplefilter("ignore")
        from pydub import AudioSegment, silence
    whole = np.clip(np.rint(sound * 2.0**31), -(2**31), 2**31 - 1).astype("<i4")
    segment = AudioSegment(data=whole.tobytes(), sample_width=4, frame_rate=SAMPLE_RATE, channels=1)
    return segment, silence
