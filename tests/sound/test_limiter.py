"""The limiter: what is over is held back softly, and nothing else is touched."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from animatic.sound import measure_loudness
from animatic.sound.limiter import AHEAD, CEILING, MEMORY, RELEASE, WORKING, Limiter
from tests.sound.films import db, sine
from tests.sound.programmes import RATE, ebur128, programme, true_peak_by_scipy

Sound = NDArray[np.float64]
ONE = 10 ** (WORKING / 20)


def gains(sound: Sound, *blocks: int) -> NDArray[np.float64]:
    """Return the gain of every sample; `blocks` are the lengths of the pieces pushed."""
    limiter, at, found = Limiter(sound.shape[1]), 0, []
    for length in (*blocks, len(sound)):
        found.append(limiter.push(sound[at : at + length]))
        at += length
    return np.concatenate([*found, limiter.finish()])


def steady(*parts: tuple[float, float]) -> Sound:
    """Return a tone of 3 kHz on both sides; each part is (seconds, dB over where it works).

    16 samples a turn, one of them at its top: the level is the sample's own.
    """
    length = round(sum(seconds for seconds, _ in parts) * RATE)
    level = np.concatenate([np.full(round(seconds * RATE), over) for seconds, over in parts])
    tone = ONE * 10 ** (level / 20) * np.cos(2 * np.pi * np.arange(length) / 16)
    return np.stack([tone, tone], 1)


def limited(sound: Sound) -> Sound:
    return sound * gains(sound)[:, np.newaxis]


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("louder", [6.0, 20.0])
def test_no_meter_reads_over_the_ceiling(seed: int, louder: float) -> None:
    """EBU R 128: at most -1 dBTP; by our meter, FFmpeg's ebur128, and scipy's oversampling."""
    sound = programme(seed)
    sound *= 10 ** ((louder + CEILING) / 20) / np.abs(sound).max()
    heard = limited(sound)
    peak = measure_loudness([heard]).true_peak
    assert peak is not None
    assert peak <= CEILING
    # Just under where it works: it holds back no more than it has to.
    assert peak > WORKING - 0.2
    assert 20 * np.log10(ebur128(heard)["true_peak"]) <= CEILING
    assert true_peak_by_scipy(heard) <= CEILING


@pytest.mark.parametrize(("divisor", "phase"), [(4, 45), (6, 60), (8, 67.5)])
def test_a_peak_between_the_samples_is_held_back(divisor: int, phase: float) -> None:
    """EBU Tech 3341's tones, whose samples stop short of their peaks, at full scale."""
    tone = np.sin(2 * np.pi * np.arange(RATE) / divisor + np.radians(phase))
    swell = np.clip(np.minimum(np.arange(RATE), np.arange(RATE)[::-1]) / 2400, 0, 1)
    heard = limited(np.stack([tone, tone], 1) * swell[:, np.newaxis])
    assert true_peak_by_scipy(heard) == pytest.approx(WORKING, abs=0.1)


def test_what_is_not_over_is_not_touched() -> None:
    sound = steady((1, -0.1))
    swell = np.clip(np.arange(RATE) / 4800, 0, 1) * np.clip(np.arange(RATE)[::-1] / 4800, 0, 1)
    assert (gains(sound * swell[:, np.newaxis]) == 1.0).all()
    assert (gains(np.zeros((RATE, 2))) == 1.0).all()


def test_it_looks_ahead_and_comes_back_slowly() -> None:
    found = -20 * np.log10(gains(steady((1, -6), (0.5, 6), (1, -6))))
    begins, ends = RATE, RATE + RATE // 2
    # The tone jumps: what rings before and after it takes a few samples more.
    assert (found[: begins - AHEAD - 40] == 0).all()
    assert found[begins] == pytest.approx(6, abs=0.8)
    assert found[begins - AHEAD // 2] == pytest.approx(3, abs=1.0)
    assert np.abs(found[begins + 2400 : ends - 40] - 6).max() < 0.01
    # 24 dB a second: 6 dB and the overshoot of the jump are gone in under 0.3 s.
    assert (found[ends + 3 * RATE // 10 :] == 0).all()
    assert found[ends + RATE // 8] == pytest.approx(found[ends] - RELEASE / 8, abs=0.1)


def test_the_curve_has_no_step() -> None:
    """No click: over the 5 ms before a peak the gain goes down by a share at a time."""
    sound = np.zeros((RATE, 2))
    sound[RATE // 2] = 10.0
    down = -20 * np.log10(gains(sound))
    deepest = down.max()
    assert deepest == pytest.approx(db(10.0 / ONE), abs=0.01)
    # A triangle of AHEAD samples has its highest weight at its middle: 2 / AHEAD.
    assert np.abs(np.diff(down)).max() <= deepest * 2 / AHEAD * 1.02
    # And no corner in the way down: the slope changes by a share at a time, too.
    assert np.abs(np.diff(down, 2)).max() <= deepest * 4 / AHEAD**2 * 1.1


def test_both_sides_have_one_gain() -> None:
    left = np.hstack([steady((0.5, 6))[:, :1], 0.1 * np.ones((RATE // 2, 1))])
    assert np.array_equal(gains(left), gains(left[:, ::-1]))
    assert gains(left).min() < 0.51


def test_a_low_tone_keeps_its_shape() -> None:
    """50 Hz, 6 dB over: between its peaks the gain must not come back. Under 1 % distortion."""
    tone = ONE * 2 * sine(2, 50).astype(np.float64)
    heard = limited(np.stack([tone, tone], 1))[RATE // 2 : RATE // 2 + RATE, 0]
    spectrum = np.abs(np.fft.rfft(heard))
    others = np.sqrt((spectrum**2).sum() - spectrum[50] ** 2)
    assert others / spectrum[50] < 0.01


@pytest.mark.parametrize("blocks", [(1, 2, 3), (7,) * 500, (4800,) * 7, (RATE,), (100_000,)])
def test_the_blocks_change_nothing(blocks: tuple[int, ...]) -> None:
    random = np.random.default_rng(4)
    sound = (
        random.standard_normal((3 * RATE, 2)) * np.repeat(random.uniform(0, 1, 144), 1000)[:, None]
    )
    whole = gains(sound)
    assert len(np.unique(whole[:3000])) > 1000
    assert np.array_equal(gains(sound, *blocks), whole)


def test_after_a_while_nothing_is_left_of_a_peak() -> None:
    """A part of a film may be limited by itself from a few seconds before it on."""
    sound = 20 * programme(3)
    whole = gains(sound)
    assert whole.min() < 0.1
    first = len(sound) - MEMORY - RATE
    assert np.array_equal(gains(sound[first:])[MEMORY:], whole[first + MEMORY :])


@settings(max_examples=40, deadline=None)
@given(
    length=st.integers(1, 900),
    peaks=st.lists(st.tuples(st.integers(0, 899), st.floats(0.1, 50)), max_size=6),
)
def test_every_length_and_any_peaks(length: int, peaks: list[tuple[int, float]]) -> None:
    sound = np.zeros((length, 1))
    for at, height in peaks:
        sound[at % length] = height
    found = gains(sound)
    assert len(found) == length
    assert found.max() <= 1.0
    assert np.abs(sound[:, 0] * found).max() <= ONE * (1 + 1e-6)
    assert np.array_equal(gains(sound, 1, 11, 250), found)
