"""The mix: every cue at its sample, at its level, and the film's exact length."""

from __future__ import annotations

import hashlib
import random
from dataclasses import replace
from itertools import pairwise
from math import sqrt
from pathlib import Path

import numpy as np
import pytest

from animatic.errors import MediaError
from animatic.frames import RATES, Rate, samples_from_frames
from animatic.sound import (
    decode,
    find_programme,
    measure_loudness,
    mix_blocks,
    mix_to_array,
    stem_blocks,
)
from animatic.sound.buses import EDGE
from animatic.sound.limiter import CEILING
from animatic.timeline.model import Cue, Timeline
from tests.sound.films import clicks, db, effect, encode, film, line, music, rms, sine, write

FIRST_FRAMES = {
    "12": [0, 4000, 8000, 12_000, 16_000, 20_000],
    "15": [0, 3200, 6400, 9600, 12_800, 16_000],
    "24": [0, 2000, 4000, 6000, 8000, 10_000],
    "25": [0, 1920, 3840, 5760, 7680, 9600],
    "30": [0, 1600, 3200, 4800, 6400, 8000],
    "23.976": [0, 2002, 4004, 6006, 8008, 10_010],
    "29.97": [0, 1602, 3203, 4805, 6406, 8008],
    "59.94": [0, 801, 1602, 2402, 3203, 4004],
}
"""Samples at which frames 0 to 5 begin: 48 000 / rate, rounded half up (arithmetic); the steps
1602 1601 1602 1601 1602 are SMPTE's five-frame sequence for 29.97 (from memory)."""


@pytest.mark.parametrize("name", RATES)
@pytest.mark.parametrize("suffix", [".wav", ".flac"])
def test_an_impulse_lands_on_the_first_sample_of_its_frame(
    tmp_path: Path, name: str, suffix: str
) -> None:
    path = write(tmp_path / f"click{suffix}", clicks(100, [0]))
    starts = [*FIRST_FRAMES[name], samples_from_frames(1001, Rate.named(name))]
    cues = [effect(path, start, start + 100) for start in starts]
    heard = mix_to_array(film(1010, *cues, rate=name))
    assert np.flatnonzero(heard[:, 0]).tolist() == starts
    assert np.array_equal(heard[:, 0], heard[:, 1])
    assert heard[starts].min() == pytest.approx(0.5, abs=2e-5)  # FLAC has 16 bits here.


@pytest.mark.parametrize("suffix", [".mp3", ".m4a", ".opus", ".ogg"])
@pytest.mark.parametrize("name", ["24", "29.97"])
def test_an_impulse_in_a_lossy_file_lands_on_its_sample(
    tmp_path: Path, name: str, suffix: str
) -> None:
    path = tmp_path / f"click{suffix}"
    (write if suffix == ".ogg" else encode)(path, clicks(9600, [4800], 0.9))
    start = samples_from_frames(37, Rate.named(name))
    heard = mix_to_array(film(48, effect(path, start, start + 9600), rate=name))
    assert np.abs(heard[:, 0]).argmax() == start + 4800


@pytest.mark.parametrize("rate", [8000, 44_100, 96_000])
def test_an_impulse_at_another_rate_lands_on_its_sample(tmp_path: Path, rate: int) -> None:
    path = write(tmp_path / "click.wav", clicks(rate, [rate // 2]), rate)
    heard = mix_to_array(film(48, effect(path, 10_001, 60_000)))
    assert np.abs(heard[:, 0]).argmax() == 10_001 + 24_000


@pytest.mark.parametrize("name", RATES)
@pytest.mark.parametrize("frames", [1, 7, 1001])
def test_exactly_the_films_samples(tmp_path: Path, name: str, frames: int) -> None:
    path = write(tmp_path / "tone.wav", sine(0.5, 440))
    timeline = film(frames, effect(path, 5, 24_005), rate=name)
    expected = (2 * frames * 48_000 * Rate.named(name).fps.denominator) // (
        Rate.named(name).fps.numerator
    )
    expected = (expected + 1) // 2
    assert timeline.samples == expected
    for block in (1601, 48_000, 10_000_000):
        blocks = list(mix_blocks(timeline, block))
        assert sum(map(len, blocks)) == expected
        assert {len(part) for part in blocks[:-1]} <= {block}
        assert all(part.dtype == np.float32 and part.shape[1] == 2 for part in blocks)


def test_a_film_without_sound_is_silent_and_of_full_length() -> None:
    heard = mix_to_array(film(240, rate="23.976"))
    assert heard.shape == (480_480, 2)
    assert not heard.any()
    assert find_programme(film(240)).gain == 1.0


def test_levels_of_cue_and_bus_add_up(tmp_path: Path) -> None:
    path = write(tmp_path / "tone.wav", sine(1, 1000, -6))
    cues = [make(path, 0, 48_000, level=-4) for make in (line, effect, music)]
    for cue, bus in zip(cues, ("dialogue", "effects", "music"), strict=True):
        heard = mix_to_array(film(24, cue, **{bus: -3.5}))
        assert db(rms(heard[1000:-1000]) * sqrt(2)) == pytest.approx(-13.5, abs=0.001)


def test_mono_sounds_on_both_sides_without_loss(tmp_path: Path) -> None:
    tone = sine(1, 1000, -12)
    mono = write(tmp_path / "mono.wav", tone)
    stereo = write(tmp_path / "stereo.wav", np.stack([tone, -0.5 * tone], 1))
    assert np.array_equal(mix_to_array(film(24, effect(mono, 0, 48_000))), np.stack([tone] * 2, 1))
    assert np.array_equal(mix_to_array(film(24, effect(stereo, 0, 48_000))), decode(stereo))


def test_the_file_begins_at_skip(tmp_path: Path) -> None:
    ramp = (np.arange(10_000) / 20_000).astype(np.float32)
    path = write(tmp_path / "ramp.wav", ramp)
    heard = mix_to_array(film(24, effect(path, 700, 40_000, skip=3000)))
    assert not heard[:700].any()
    assert np.array_equal(heard[700 + EDGE : 7700, 0], ramp[3000 + EDGE :])
    assert not heard[7700:].any()
    assert not mix_to_array(film(24, effect(path, 700, 40_000, skip=99_999))).any()


def test_a_cue_that_began_before_the_film_is_in_its_midst(tmp_path: Path) -> None:
    ramp = (np.arange(10_000) / 20_000).astype(np.float32)
    path = write(tmp_path / "ramp.wav", ramp)
    heard = mix_to_array(film(24, effect(path, -4000, 6000)))
    assert np.array_equal(heard[:6000, 0], ramp[4000:])


def test_a_cue_ends_where_it_ends(tmp_path: Path) -> None:
    path = write(tmp_path / "one.wav", np.full(48_000, 0.5, np.float32))
    heard = mix_to_array(film(48, effect(path, 100, 20_100)))[:, 0]
    assert (heard[100 : 20_100 - EDGE] == 0.5).all()
    assert (np.diff(heard[20_100 - EDGE : 20_101]) < 0).all()
    assert not heard[20_100:].any()
    # One that is played to its own last sample is not touched.
    whole = mix_to_array(film(48, effect(path, 100, 48_100)))[:, 0]
    assert (whole[100:48_100] == 0.5).all()


def busy(folder: Path) -> Timeline:
    """A film of all kinds of cues, with fades, dips and overlaps."""
    noise = np.random.default_rng(9)
    voice = write(folder / "voice.wav", noise.uniform(-0.2, 0.2, 40_000), 32_000)
    tide = encode(folder / "tide.mp3", sine(6, 220, -12, 44_100), 44_100)
    bell = write(folder / "bell.flac", noise.uniform(-0.5, 0.5, (9000, 2)))
    cues = [
        line(voice, 30_001, 90_001),
        line(voice, 95_000, 155_000, level=3),
        line(voice, 230_000, 290_000),
        *(effect(bell, at, at + 9000, level=-at / 1e5) for at in range(333, 280_000, 17_777)),
        music(tide, 0, 150_000, fade_in=9600, fade_out=30_000, level=-3),
        music(tide, 120_000, 300_000, fade_in=30_000, skip=1234),
        music(tide, 5, 290_000),
    ]
    return film(150, *cues, rate="23.976", music=-2)


def test_the_size_of_the_blocks_changes_nothing(tmp_path: Path) -> None:
    timeline = busy(tmp_path)
    whole = mix_to_array(timeline)
    assert len(whole) == 300_300
    for block in (997, 2002, 4096, 47_999, 48_001, 300_299, 300_301):
        assert np.array_equal(np.concatenate(list(mix_blocks(timeline, block))), whole), block


def test_the_order_of_the_cues_changes_nothing(tmp_path: Path) -> None:
    timeline = busy(tmp_path)
    noise = np.random.default_rng(11)
    crowd = [
        effect(write(tmp_path / f"{n}.wav", noise.uniform(-1, 1, 5000)), 100, 5100, level=-n)
        for n in range(6)
    ]
    timeline = replace(timeline, cues=(*timeline.cues, *crowd))

    def effects(cues: list[Cue]) -> np.ndarray:
        stems = stem_blocks(replace(timeline, cues=tuple(cues)))
        return np.concatenate([part["effects"] for part in stems])

    cues = list(timeline.cues)
    whole, sum_of_effects = mix_to_array(timeline), effects(cues)
    for seed in range(4):
        random.Random(seed).shuffle(cues)
        assert np.array_equal(effects(cues), sum_of_effects)  # To the last bit of float64.
        assert np.array_equal(mix_to_array(replace(timeline, cues=tuple(cues))), whole)


def test_the_same_film_gives_the_same_bytes(tmp_path: Path) -> None:
    timeline = busy(tmp_path)
    first, second = (hashlib.sha256(mix_to_array(timeline).tobytes()).hexdigest() for _ in range(2))
    assert first == second


def test_the_buses_add_up_to_the_mix(tmp_path: Path) -> None:
    timeline = busy(tmp_path)
    total = np.concatenate([sum(stems.values()) for stems in stem_blocks(timeline)])
    mix = mix_to_array(timeline)
    assert db(np.abs(total * find_programme(timeline).gain - mix).max()) < -130


def test_against_a_sum_made_in_one_piece(tmp_path: Path) -> None:
    """The same mix by plain array arithmetic on whole files, without blocks or players."""
    noise = np.random.default_rng(10).uniform(-0.1, 0.1, 30_000).astype(np.float32)
    path = write(tmp_path / "noise.wav", noise)
    places = [(0, -3.0), (17, 0.0), (29_999, 2.0), (47_999, -1.0), (70_000, -20.0)]
    expected = np.zeros(96_000)
    for start, level in places:
        expected[start : start + 30_000] += noise[: 96_000 - start] * 10 ** (level / 20)
    cues = [effect(path, start, start + 30_000, level=level) for start, level in places]
    heard = mix_to_array(film(48, *cues))
    assert np.abs(heard - expected[:, np.newaxis]).max() < 1e-7


@pytest.mark.parametrize("count", [1, 3, 50])
def test_no_sample_above_one_db_under_full_scale(tmp_path: Path, count: int) -> None:
    loud = write(tmp_path / "loud.wav", sine(1, 997, 6))
    quiet = write(tmp_path / "quiet.wav", sine(1, 997, -40))
    cues = [effect(loud, 100 * n, 48_000 + 100 * n) for n in range(count)]
    timeline = film(72, *cues, effect(quiet, 90_000, 138_000))
    heard = mix_to_array(timeline)
    assert np.abs(heard).max() <= 10 ** (CEILING / 20)
    # The highest point lies a little higher than the highest sample.
    assert db(np.abs(heard).max()) == pytest.approx(-1.0, abs=0.02)
    assert measure_loudness([heard]).true_peak == pytest.approx(-1.0, abs=1e-4)
    # One gain for the whole film: the balance of loud and quiet stays as it was.
    gain = find_programme(timeline).gain
    assert gain < 0.5
    assert db(rms(heard[100_000:137_000]) * sqrt(2)) == pytest.approx(-40 + db(gain), abs=0.001)


def test_a_quiet_film_is_never_made_louder(tmp_path: Path) -> None:
    path = write(tmp_path / "quiet.wav", sine(1, 997, -40))
    timeline = film(24, effect(path, 0, 48_000))
    assert find_programme(timeline).gain == 1.0
    assert np.array_equal(mix_to_array(timeline)[:, 0], decode(path)[:, 0])


def test_the_file_is_named_when_it_is_gone(tmp_path: Path) -> None:
    path = tmp_path / "gone.wav"
    with pytest.raises(MediaError) as fault:
        mix_to_array(film(24, effect(path, 0, 48_000)))
    assert str(fault.value) == f"{path}: the file is not there; export it again"


def test_a_block_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^a block of 0 samples; allowed: 1 or more$"):
        mix_blocks(film(24), 0)


def test_files_are_open_only_while_they_sound(tmp_path: Path) -> None:
    path = write(tmp_path / "tone.wav", sine(0.5, 440, -40))
    cues = [effect(path, 24_000 * n, 24_000 * (n + 1)) for n in range(40)]
    fds = Path("/proc/self/fd")
    counts = []
    blocks = stem_blocks(film(24 * 25, *cues))
    for _ in blocks:
        counts.append(sum(entry.resolve() == path.resolve() for entry in fds.iterdir()))
        if len(counts) == 10:
            blocks.close()
    assert max(counts) <= 3
    assert not any(entry.resolve() == path.resolve() for entry in fds.iterdir())


def test_first_frames_are_a_true_table() -> None:
    for name, starts in FIRST_FRAMES.items():
        steps = [after - before for before, after in pairwise(starts)]
        assert max(steps) - min(steps) <= 1
        assert abs(starts[5] - 5 * 48_000 / Rate.named(name).fps) <= 0.5
