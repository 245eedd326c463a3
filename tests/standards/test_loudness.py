"""Loudness and true peak against the published cases and two other meters.

ITU-R BS.1770-5; EBU Tech 3341 V4, table 1 (integrated loudness within 0.1 LU, true peak within
+0.2 and -0.4 dB); EBU Tech 3342 for the loudness range. Other meters: pyloudnorm, and the
ebur128 filter of FFmpeg.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pyloudnorm
import pytest

from animatic.sound import mix_blocks, mix_to_array
from animatic.sound.loudness import Loudness, Meter, measure_loudness
from tests.sound.films import effect, film, line, music, sine, write
from tests.sound.programmes import RATE, Programme, ebur128, programme


def stereo(*parts: tuple[float, float], hertz: float = 1000) -> Programme:
    """Return 1 kHz in phase on both sides; each part is (seconds, dBFS)."""
    length = round(sum(seconds for seconds, _ in parts) * RATE)
    level = np.concatenate([np.full(round(seconds * RATE), db) for seconds, db in parts])
    tone = np.sin(2 * np.pi * hertz * np.arange(length) / RATE) * 10 ** (level / 20)
    return np.stack([tone, tone], 1)


def read(programme: Programme) -> Loudness:
    return measure_loudness(
        programme[first : first + 30_000] for first in range(0, len(programme), 30_000)
    )


TECH_3341 = [
    ([(20, -23)], -23.0),
    ([(20, -33)], -33.0),
    ([(10, -36), (60, -23), (10, -36)], -23.0),
    ([(10, -72), (10, -36), (60, -23), (10, -36), (10, -72)], -23.0),
    ([(20, -26), (20.1, -20), (20, -26)], -23.0),
]


@pytest.mark.parametrize(("parts", "lufs"), TECH_3341)
def test_integrated_loudness(parts: list[tuple[float, float]], lufs: float) -> None:
    """EBU Tech 3341 V4, table 1, cases 1 to 5; the third needs the relative gate (without it
    -24.18), the fourth both (with none -25.15).
    """
    assert read(stereo(*parts)).integrated == pytest.approx(lufs, abs=0.1)


def test_the_absolute_gate_comes_before_the_relative_one() -> None:
    """A minute at -80 must not draw the relative gate down to let the -37 in (a case of our
    own, against ebur128).
    """
    sound = stereo((60, -80), (10, -23), (10, -37))
    # Without the gate it would be -25.8; the blocks at the steps draw it down a little.
    assert read(sound).integrated == pytest.approx(-23, abs=0.2)
    assert read(sound).integrated == pytest.approx(ebur128(sound)["I"], abs=0.1)


@pytest.mark.parametrize("channels", [1, 2])
def test_the_calibration_tone_in_one_channel(channels: int) -> None:
    """BS.1770-5: a 997 Hz sine at full scale in one channel reads -3.01 LUFS."""
    tone = np.zeros((20 * RATE, channels))
    tone[:, 0] = np.sin(2 * np.pi * 997 * np.arange(len(tone)) / RATE)
    assert measure_loudness([tone], channels).integrated == pytest.approx(-3.01, abs=0.01)


@pytest.mark.parametrize(
    ("divisor", "height", "phase", "dbtp"),
    [(4, 0.5, 0, -6.0), (4, 0.5, 45, -6.0), (6, 0.5, 60, -6.0), (8, 0.5, 67.5, -6.0),
     (4, 1.41, 45, 3.0)],
)  # fmt: skip
def test_true_peak(divisor: int, height: float, phase: float, dbtp: float) -> None:
    """EBU Tech 3341 V4, table 1, cases 15 to 19: within +0.2 and -0.4 dB."""
    count = np.arange(RATE)
    tone = height * np.sin(2 * np.pi * count / divisor + np.radians(phase))
    # The tone swells and dies: the cases are steady tones, and an abrupt edge overshoots.
    tone *= np.clip(np.minimum(count, RATE - 1 - count) / 2400, 0, 1)
    peak = read(np.stack([tone, tone], 1)).true_peak
    assert peak is not None
    assert -0.4 <= peak - dbtp <= 0.2


@pytest.mark.parametrize(
    ("parts", "lu"),
    [
        ([(20, -20), (20, -30)], 10),
        ([(20, -20), (20, -15)], 5),
        ([(20, -40), (20, -20)], 20),
        ([(20, -50), (20, -35), (20, -20), (20, -35), (20, -50)], 15),
    ],
)
def test_loudness_range(parts: list[tuple[float, float]], lu: float) -> None:
    """EBU Tech 3342, the four synthetic cases, within 1 LU (from memory)."""
    assert read(stereo(*parts)).range == pytest.approx(lu, abs=1)


@pytest.mark.parametrize("seed", range(50))
def test_against_two_other_meters(seed: int) -> None:
    """50 random programmes within 0.1 LU; pyloudnorm's own filter reads about 0.04 low, its
    "DeMan" one has the standard's figures. ebur128's true peak within 0.2 dB.
    """
    sound = programme(seed)
    mine, theirs = read(sound), ebur128(sound)
    assert mine.integrated == pytest.approx(theirs["I"], abs=0.1)
    third = pyloudnorm.Meter(RATE).integrated_loudness(sound)
    assert mine.integrated == pytest.approx(third, abs=0.1)
    exact = pyloudnorm.Meter(RATE, filter_class="DeMan").integrated_loudness(sound)
    assert mine.integrated == pytest.approx(exact, abs=0.001)
    assert mine.true_peak == pytest.approx(20 * np.log10(theirs["true_peak"]), abs=0.2)


@pytest.mark.parametrize("seed", range(3))
def test_the_range_against_another_meter(seed: int) -> None:
    """Noise that swells and falls over a minute: ebur128's range within 0.2 LU.

    On programmes that jump between a few levels, meters differ by more: a hundredth of the
    windows that falls to the other side of a jump moves the result by the whole of it.
    """
    random = np.random.default_rng(seed)
    seconds = int(random.integers(60, 81))
    knots = random.uniform(-45, -15, seconds // 6 + 2)
    level = np.interp(np.arange(seconds * RATE) / RATE, np.arange(len(knots)) * 6.0, knots)
    sound = 0.3 * random.standard_normal((len(level), 2)) * 10 ** (level / 20)[:, np.newaxis]
    mine, theirs = read(sound), ebur128(sound)
    assert mine.range == pytest.approx(theirs["LRA"], abs=0.2)
    assert mine.integrated == pytest.approx(theirs["I"], abs=0.1)


def test_the_size_of_the_blocks_changes_nothing() -> None:
    sound = programme(1)
    for block in (7, 4800, 4801, 100_000):
        part = sound if block > 100 else sound[:24_000]
        pieces = [part[first : first + block] for first in range(0, len(part), block)]
        got, expected = measure_loudness(pieces), measure_loudness([part])
        for name in ("integrated", "range", "momentary", "short_term", "true_peak"):
            assert getattr(got, name) == pytest.approx(getattr(expected, name), abs=1e-9), name


def test_long_pauses_do_not_change_what_is_read() -> None:
    """Sound, silence of many seconds, sound again: as two other meters read it."""
    sound = np.concatenate([programme(3), np.zeros((7 * RATE + 1234, 2)), programme(4)])
    sound = np.concatenate([sound, np.zeros((RATE // 10 - len(sound) % (RATE // 10), 2))])
    theirs = ebur128(sound)
    for block in (RATE, 4800, 777):
        pieces = [sound[first : first + block] for first in range(0, len(sound), block)]
        mine = measure_loudness(pieces)
        assert mine.integrated == pytest.approx(theirs["I"], abs=0.1)
        exact = pyloudnorm.Meter(RATE, filter_class="DeMan").integrated_loudness(sound)
        assert mine.integrated == pytest.approx(exact, abs=0.001)
        assert mine.true_peak == pytest.approx(20 * np.log10(theirs["true_peak"]), abs=0.2)


def test_nothing_to_read() -> None:
    nothing = Loudness(None, None, None, None, None)
    assert measure_loudness([]) == nothing
    assert measure_loudness([np.zeros((5 * RATE, 2))]) == nothing
    short = measure_loudness([stereo((0.39, -20))])
    assert (short.integrated, short.range, short.momentary) == (None, None, None)
    assert short.true_peak == pytest.approx(-20, abs=0.1)
    assert measure_loudness([stereo((0.4, -20))]).integrated == pytest.approx(-20, abs=0.2)


def test_reading_does_not_end_the_measurement() -> None:
    sound = programme(2)
    meter = Meter()
    meter.push(sound[:100_000])
    meter.read()
    meter.push(sound[100_000:])
    assert meter.read() == measure_loudness([sound[:100_000], sound[100_000:]])


def test_a_block_of_other_channels_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^a block of shape \(10, 1\); allowed: \(any, 2\)$"):
        Meter().push(np.zeros((10, 1)))


@pytest.mark.parametrize(("make", "rate"), [(line, 48_000), (effect, 44_100), (music, 48_000)])
def test_a_calibrated_tone_keeps_its_loudness_through_the_mix(
    tmp_path: Path, make, rate: int
) -> None:
    """EBU Tech 3341, case 1, as a mono file: -23.0 LUFS by three meters after the mix."""
    path = write(tmp_path / "tone.wav", sine(20, 1000, -23, rate), rate)
    timeline = film(480, make(path, 0, 960_000))
    heard = mix_to_array(timeline)
    assert measure_loudness(mix_blocks(timeline)).integrated == pytest.approx(-23, abs=0.1)
    assert ebur128(heard)["I"] == pytest.approx(-23, abs=0.1)
    assert pyloudnorm.Meter(RATE).integrated_loudness(heard) == pytest.approx(-23, abs=0.1)
