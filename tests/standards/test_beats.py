"""Frames of musical beats.

The click-track convention, 1440 / BPM frames a beat at 24 frames a second, was seen in a
handbook of film music editing (title not noted); it is 60 x fps / BPM, arithmetic.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from animatic.frames import Rate, beat_frame, round_half_up

R24 = Rate.named("24")

# BPM and frames a beat at 24 frames a second, as on click tracks.
CLICKS = [(120, "12"), (100, "14.4"), (96, "15"), (90, "16"), (72, "20")]

# Each beat from its own absolute position, halves up: computed with two libraries.
BEATS = [
    (100, [0, 14, 29, 43, 58, 72, 86, 101, 115]),
    (128, [0, 11, 23, 34, 45, 56, 68, 79, 90]),
]


@pytest.mark.parametrize(("bpm", "frames"), CLICKS)
def test_frames_a_beat(bpm: int, frames: str) -> None:
    """Ten beats are ten times the click, and the tenth beat lies on a whole frame."""
    assert beat_frame(10, Fraction(bpm), R24) == 10 * Fraction(frames)
    assert beat_frame(10_000, Fraction(bpm), R24) == 10_000 * Fraction(frames)


@pytest.mark.parametrize(("bpm", "beats"), BEATS)
def test_beats_from_the_absolute_position(bpm: int, beats: list[int]) -> None:
    assert [beat_frame(n, Fraction(bpm), R24) for n in range(9)] == beats


@pytest.mark.parametrize(("bpm", "beats"), BEATS)
def test_rounded_intervals_would_drift(bpm: int, beats: list[int]) -> None:
    """What the rule is for: the first interval eight times over is not the ninth beat."""
    first, ninth = (beat_frame(n, Fraction(bpm), R24) for n in (1, 8))
    assert first == round_half_up(Fraction(1440, bpm))
    assert 8 * first != ninth
    assert ninth == beats[8]


def test_a_late_first_beat() -> None:
    """Beat 0 at 0.4 s is frame 9.6 at 24; 96 BPM puts a beat every 15 frames after it."""
    late = [beat_frame(n, Fraction(96), R24, Fraction("0.4")) for n in range(4)]
    assert late == [10, 25, 40, 55]
