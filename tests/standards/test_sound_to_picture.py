"""Samples a frame at 48 kHz. Arithmetic, computed with two independent libraries."""

from __future__ import annotations

from itertools import pairwise

import pytest

from animatic.frames import SAMPLE_RATE, Rate, frames_from_samples, samples_from_frames

WHOLE = [("12", 4000), ("23.976", 2002), ("24", 2000), ("25", 1920), ("30", 1600)]


def test_the_mix_runs_at_48_khz() -> None:
    assert SAMPLE_RATE == 48_000


@pytest.mark.parametrize(("name", "samples"), WHOLE)
def test_whole_samples_a_frame(name: str, samples: int) -> None:
    rate = Rate.named(name)
    assert [samples_from_frames(n, rate) for n in range(4)] == [n * samples for n in range(4)]
    assert samples_from_frames(100_000, rate) == 100_000 * samples
    assert frames_from_samples(100_000 * samples, rate) == 100_000


def test_29_97_has_8008_samples_in_five_frames() -> None:
    """1601.6 samples a frame: only every fifth frame begins on a sample."""
    rate = Rate.named("29.97")
    assert samples_from_frames(5, rate) == 8008
    assert samples_from_frames(500_000, rate) == 800_800_000
    assert all(samples_from_frames(5 * n, rate) == 8008 * n for n in range(2000))


def test_29_97_falls_into_the_five_frame_sequence() -> None:
    """SMPTE 272M (1994, 2004): 1602 and 1601 in turn over five frames. The numbers are from
    memory; several open video programs were seen to hold the same five.
    """
    rate = Rate.named("29.97")
    starts = [samples_from_frames(n, rate) for n in range(11)]
    sequence = [1602, 1601, 1602, 1601, 1602]
    assert [after - before for before, after in pairwise(starts)] == 2 * sequence


def test_a_frame_begins_at_the_nearest_sample() -> None:
    rate = Rate.named("29.97")
    assert [samples_from_frames(n, rate) for n in range(6)] == [0, 1602, 3203, 4805, 6406, 8008]
    rate = Rate.named("59.94")
    assert [samples_from_frames(n, rate) for n in range(6)] == [0, 801, 1602, 2402, 3203, 4004]
