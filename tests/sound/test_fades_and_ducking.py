"""Fades and the music's dip under dialogue, measured on steady tones."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from animatic.sound import mix_to_array
from animatic.sound.levels import Duck, dialogue_stretches, fade_gains
from animatic.timeline.model import Timeline
from tests.sound.films import db, effect, film, line, music, sine, write

ONE = 0.5
"""A steady level: what is heard divided by it is the gain."""


@pytest.fixture
def steady(tmp_path: Path) -> Path:
    return write(tmp_path / "steady.wav", np.full(480_000, ONE, np.float32))


@pytest.fixture
def silent(tmp_path: Path) -> Path:
    """A recording that takes its time and adds nothing to what is measured."""
    return write(tmp_path / "silent.wav", np.zeros(480_000, np.float32))


RAMPS = {"duck_attack": 14_400, "duck_hold": 0, "duck_release": 14_400}


def gains(timeline: Timeline) -> np.ndarray:
    return mix_to_array(timeline)[:, 0] / ONE


def levels(gains: np.ndarray, at: Iterable[int]) -> list[float]:
    return [round(db(gains[place]), 2) for place in at]


def test_music_goes_down_before_the_line_and_comes_back_after(steady: Path, silent: Path) -> None:
    cues = [music(steady, 0, 480_000), line(silent, 100_000, 200_000)]
    heard = gains(film(240, *cues, duck=9, **RAMPS))
    assert levels(heard, [0, 85_599]) == [0, 0]
    assert levels(heard, [100_000, 150_000, 199_999]) == [-9, -9, -9]
    assert levels(heard, [214_400, 300_000]) == [0, 0]
    # Half way down in dB at half the ramp, on both sides.
    assert levels(heard, [92_800, 207_200]) == [-4.5, -4.5]
    assert (np.diff(heard[85_600:100_000]) <= 0).all()
    assert (np.diff(heard[200_000:214_400]) >= 0).all()


@pytest.mark.parametrize("duck", [0.0, 6.0, 9.0, 24.0])
def test_the_dip_is_as_deep_as_asked(steady: Path, silent: Path, duck: float) -> None:
    cues = [music(steady, 0, 480_000), line(silent, 100_000, 200_000)]
    heard = gains(film(240, *cues, duck=duck))
    assert levels(heard, [150_000]) == [-duck]


def test_the_dip_of_a_tone_in_its_steady_part(tmp_path: Path, silent: Path) -> None:
    """The same, as a meter would see it: the effective value of 1 kHz, a second each."""
    tone = write(tmp_path / "tone.wav", sine(10, 1000, -12))
    heard = mix_to_array(film(240, music(tone, 0, 480_000), line(silent, 200_000, 280_000), duck=9))
    before, under = (np.sqrt(np.mean(heard[at : at + 48_000] ** 2)) for at in (100_000, 216_000))
    assert db(under / before) == pytest.approx(-9, abs=0.001)


def test_effects_and_dialogue_are_never_ducked(steady: Path, silent: Path) -> None:
    for make in (effect, line):
        heard = gains(film(240, make(steady, 0, 480_000), line(silent, 100_000, 200_000)))
        assert (heard == 1.0).all()


@pytest.mark.parametrize(("gap", "comes_back"), [(19_199, False), (19_200, True), (60_000, True)])
def test_a_short_gap_keeps_the_music_down(
    steady: Path, silent: Path, gap: int, comes_back: bool
) -> None:
    second = 150_000 + gap
    cues = [line(silent, 100_000, 150_000), line(silent, second, second + 50_000)]
    heard = gains(
        film(
            240,
            music(steady, 0, 480_000),
            *cues,
            duck=9,
            duck_attack=4800,
            duck_hold=9600,
            duck_release=4800,
        )
    )
    # At 19 200 samples it is back for a moment, between release and attack.
    back = levels(heard, [150_000 + max(14_400, gap // 2)])
    assert back == ([0.0] if comes_back else [-9.0])
    assert levels(heard, [100_000, 149_999, second, second + 49_999]) == [-9] * 4


def test_a_line_at_the_very_beginning_finds_the_music_down(steady: Path, silent: Path) -> None:
    heard = gains(film(240, music(steady, 0, 480_000), line(silent, 0, 60_000), duck=9, **RAMPS))
    assert levels(heard, [0, 59_999, 75_000]) == [-9, -9, 0]


def test_attack_hold_and_release_each_take_their_time(steady: Path, silent: Path) -> None:
    times = {"duck_attack": 2400, "duck_hold": 12_000, "duck_release": 36_000}
    cues = [music(steady, 0, 480_000), line(silent, 100_000, 200_000)]
    heard = gains(film(240, *cues, duck=9, **times))
    assert levels(heard, [97_599, 98_800, 100_000]) == [0, -4.5, -9]
    assert levels(heard, [211_999, 230_000, 248_000]) == [-9, -4.5, 0]
    down = np.flatnonzero(heard < 1 - 1e-7)
    # The first and last thousandths of a raised cosine are too small for float32.
    assert 97_600 <= down[0] < 97_650
    assert 247_400 < down[-1] < 248_000


def test_in_a_gap_too_short_to_come_back_the_music_rests(steady: Path, silent: Path) -> None:
    """Coming up half way would be heard; by default it needs 0.4 + 0.6 + 0.3 s."""
    for gap, steps in ((62_399, 0), (62_400, 2)):
        cues = [line(silent, 100_000, 150_000), line(silent, 150_000 + gap, 300_000)]
        heard = gains(film(240, music(steady, 0, 480_000), *cues))[100_000:300_000]
        assert np.abs(np.diff(heard)).max() < 9 / 20 * np.log(10) * np.pi / 2 / 14_400 * 1.01
        turns = np.flatnonzero(np.diff(np.sign(np.diff(heard)[np.diff(heard) != 0])))
        assert len(turns) == steps // 2


def material_step(sound: np.ndarray) -> float:
    return float(np.abs(np.diff(sound[:, 0])).max())


@pytest.mark.parametrize("hertz", [110, 440, 1000])
def test_no_step_above_the_materials_own(tmp_path: Path, silent: Path, hertz: int) -> None:
    """Fades, a cut into the midst of the sound at both ends, a dip and a crossing."""
    tone = write(tmp_path / "tone.wav", sine(10, hertz, -12, phase=90))
    own = float(np.abs(np.diff(sine(1, hertz, -12))).max())
    height = 10 ** (-12 / 20)
    cut = film(240, music(tone, 1000, 100_003, skip=77))
    # At a cut, 2 ms ramp the whole height of the sound: that is a slope of its own.
    assert material_step(mix_to_array(cut)) <= own + height * np.pi / 2 / 96
    soft = [
        film(240, music(tone, 1000, 100_003, skip=77, fade_in=2400, fade_out=4800)),
        film(
            240,
            music(tone, 1000, 400_000, fade_in=2400, fade_out=4800),
            line(silent, 90_000, 150_000),
            line(silent, 180_000, 190_000),
            duck_attack=4800,
            duck_release=4800,
        ),
    ]
    for timeline in soft:
        assert material_step(mix_to_array(timeline)) <= own + height * np.pi / 2 / 2400
    across = film(
        240,
        music(tone, 0, 200_000, fade_in=4800, fade_out=24_000),
        music(tone, 176_000, 400_000, fade_in=24_000, fade_out=4800),
    )
    assert material_step(mix_to_array(across)) <= own * 2**0.5 + height * np.pi / 4800


def test_a_single_fade_is_a_raised_cosine(steady: Path) -> None:
    heard = gains(film(240, music(steady, 4000, 244_000, fade_in=1000, fade_out=2000)))
    assert not heard[:4000].any()
    k = np.arange(1000) + 0.5
    assert np.abs(heard[4000:5000] - np.sin(np.pi * k / 2000) ** 2).max() < 1e-6
    assert (heard[5000:242_000] == 1.0).all()
    k = np.arange(2000) + 0.5
    assert np.abs(heard[242_000:244_000] - np.cos(np.pi * k / 4000) ** 2).max() < 1e-6
    assert not heard[244_000:].any()


def test_fades_that_cross_keep_the_power(tmp_path: Path) -> None:
    """Two sounds without likeness, one on each side, so that their powers can be told apart."""
    one = np.full((480_000, 1), 0.5, np.float32)
    none = np.zeros_like(one)
    left = write(tmp_path / "left.wav", np.hstack([one, none]))
    right = write(tmp_path / "right.wav", np.hstack([none, one]))
    cues = [
        music(left, 0, 200_000, fade_out=48_000),
        music(right, 152_000, 480_000, fade_in=48_000, fade_out=9600),
    ]
    heard = mix_to_array(film(240, *cues)).astype(np.float64)
    power = (heard**2).sum(axis=1)
    assert np.abs(10 * np.log10(power[:470_000] / 0.25)).max() < 0.001
    # The last fade crosses nothing.
    assert heard[475_200, 1] / 0.5 == pytest.approx(0.5, abs=0.001)


def test_fades_on_other_buses_do_not_cross(steady: Path) -> None:
    cues = [
        music(steady, 0, 200_000, fade_out=48_000),
        effect(steady, 152_000, 480_000, fade_in=48_000, level=-300),
    ]
    assert gains(film(240, *cues))[176_000] == pytest.approx(0.5, abs=0.001)


def test_a_fade_longer_than_its_cue_has_no_jump_inside(steady: Path) -> None:
    heard = gains(film(240, music(steady, 0, 3000, fade_in=2500, fade_out=2500)))
    assert np.abs(np.diff(heard)).max() < 0.002
    assert heard[:3000].max() < 1
    assert not heard[3000:].any()


@given(
    length=st.integers(0, 500),
    first=st.integers(-600, 600),
    count=st.integers(1, 700),
    shape=st.sampled_from(["smooth", "equal power"]),
)
def test_a_fade_is_a_function_of_the_sample_alone(
    length: int, first: int, count: int, shape: str
) -> None:
    part = fade_gains(first, count, length, shape)  # type: ignore[arg-type]
    whole = fade_gains(-600, 1900, length, shape)  # type: ignore[arg-type]
    assert np.abs(part - whole[first + 600 : first + 600 + count]).max() < 1e-12
    assert (np.diff(whole) >= 0).all()
    rise, fall = whole[600 : 600 + length], whole[600 : 600 + length][::-1]
    kept = rise + fall if shape == "smooth" else rise**2 + fall**2
    assert np.abs(kept - 1).max(initial=0.0) < 1e-12


@given(
    lines=st.lists(st.tuples(st.integers(0, 5000), st.integers(1, 900)), max_size=12),
    hold=st.integers(0, 800),
    attack=st.integers(0, 700),
    release=st.integers(0, 700),
)
def test_under_every_line_the_music_is_down(
    lines: list[tuple[int, int]], hold: int, attack: int, release: int
) -> None:
    ranges = [(start, start + length) for start, length in lines]
    stretches = dialogue_stretches(ranges, hold)
    assert stretches == dialogue_stretches(reversed(ranges), hold)
    assert all(b[0] - a[1] >= hold for a, b in pairwise(stretches))
    gain = Duck(stretches, 20.0, attack, hold, release).gains(-1000, 9000)
    assert gain.min() >= 0.1 - 1e-12
    assert gain.max() <= 1 + 1e-12
    for start, end in ranges:
        assert np.abs(gain[start + 1000 : end + 1000] - 0.1).max() < 1e-12
    far = np.ones(9000, bool)
    for start, end in stretches:
        far[max(0, start - attack + 1000) : end + hold + release + 1000] = False
    assert (gain[far] == 1.0).all()
