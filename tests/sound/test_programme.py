"""The film at the loudness asked for, under the ceiling, with its balance kept."""

from __future__ import annotations

from dataclasses import asdict, replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pyloudnorm
import pytest

from animatic.sound import find_programme, measure_loudness, mix_blocks, mix_to_array
from animatic.sound.buses import BUSES
from animatic.sound.limiter import CEILING
from animatic.sound.programme import MOST_GAIN, SILENT
from animatic.sound.stems import STEMS, write_stems
from animatic.timeline.excerpt import excerpt
from animatic.timeline.model import Panel, Shot, Timeline
from tests.sound.films import db, effect, film, line, music, sine, write
from tests.sound.programmes import RATE, ebur128, programme, true_peak_by_scipy


def of(folder: Path, seed: int, loudness: float | None, *cues: Any) -> Timeline:
    """Return a film with a random programme as its effects."""
    sound = programme(seed)
    path = write(folder / f"{seed}.wav", sound)
    frames = len(sound) * 24 // RATE
    return film(frames, effect(path, 0, len(sound)), *cues, loudness=loudness)


def with_bangs(folder: Path, loudness: float | None = -23.0) -> Timeline:
    """Return a film of soft noise with a few short bangs 40 dB over it: the limiter has to work."""
    random = np.random.default_rng(2)
    soft = write(folder / "soft.wav", 0.008 * random.standard_normal((12 * RATE, 2)))
    fall = np.exp(-np.arange(RATE // 4) / 200)[:, np.newaxis]
    bang = write(folder / "bang.wav", 0.5 * fall * random.uniform(-1, 1, (RATE // 4, 2)))
    voice = write(folder / "voice.wav", 0.02 * random.standard_normal(2 * RATE))
    cues = [effect(bang, at, at + RATE // 4) for at in (40_000, 200_001, 201_000, 500_000)]
    talk = [line(voice, at, at + 2 * RATE) for at in (60_000, 300_000)]
    return film(288, music(soft, 0, 12 * RATE), *cues, *talk, loudness=loudness)


def peaks(heard: np.ndarray[Any, Any]) -> list[float]:
    """Return the true peak by three meters, in dBTP."""
    mine = measure_loudness([heard]).true_peak
    assert mine is not None
    return [mine, 20 * np.log10(ebur128(heard)["true_peak"]), true_peak_by_scipy(heard)]


@pytest.mark.parametrize("loudness", [-23.0, -16.0, -31.5])
@pytest.mark.parametrize("seed", [0, 1])
def test_three_meters_read_the_target(tmp_path: Path, seed: int, loudness: float) -> None:
    """Ours, FFmpeg's ebur128 and pyloudnorm, within 0.2 LU (EBU R 128 allows 0.5)."""
    heard = mix_to_array(of(tmp_path, seed, loudness)).astype(np.float64)
    whole = heard[: len(heard) - len(heard) % (RATE // 10)]
    assert measure_loudness([heard]).integrated == pytest.approx(loudness, abs=0.11)
    assert ebur128(heard)["I"] == pytest.approx(loudness, abs=0.2)
    assert pyloudnorm.Meter(RATE).integrated_loudness(whole) == pytest.approx(loudness, abs=0.2)
    assert max(peaks(heard)) <= CEILING


def test_one_gain_where_nothing_is_over(tmp_path: Path) -> None:
    tone = write(tmp_path / "tone.wav", sine(10, 1000, -30))
    timeline = film(240, effect(tone, 0, 480_000), loudness=-23.0)
    found = find_programme(timeline)
    assert (found.limits, found.held) == (False, 0.0)
    assert found.gain_db == pytest.approx(7, abs=0.05)
    plain = mix_to_array(replace(timeline, mix=replace(timeline.mix, loudness=None)))
    ratio = mix_to_array(timeline)[100:-100, 0] / plain[100:-100, 0]
    assert np.abs(ratio[np.abs(plain[100:-100, 0]) > 0.01] - found.gain).max() < 1e-5


def test_a_film_with_bangs_reaches_its_loudness_under_the_ceiling(tmp_path: Path) -> None:
    timeline = with_bangs(tmp_path)
    found = find_programme(timeline)
    assert found.limits
    assert found.held > 3
    heard = mix_to_array(timeline)
    assert measure_loudness([heard]).integrated == pytest.approx(-23, abs=0.11)
    assert max(peaks(heard)) <= CEILING
    # Away from the bangs there is the gain and nothing else.
    plain = mix_to_array(replace(timeline, mix=replace(timeline.mix, loudness=None)), None)
    quiet = slice(430_000, 490_000)
    unity = find_programme(with_bangs(tmp_path, None)).gain
    assert np.abs(heard[quiet] - plain[quiet] / unity * found.gain).max() < 1e-6


def test_what_the_programme_says_is_what_is_heard(tmp_path: Path) -> None:
    for loudness in (None, -23.0, -14.0):
        timeline = with_bangs(tmp_path, loudness)
        found = find_programme(timeline)
        for name, value in asdict(measure_loudness([mix_to_array(timeline, found)])).items():
            assert asdict(found.film)[name] == pytest.approx(value, abs=0.01), name
        stems = write_stems(timeline, tmp_path, found)
        for bus in BUSES:
            measured = stems[tmp_path / f"{bus}.wav"]
            assert asdict(found.buses[bus]) == pytest.approx(asdict(measured), abs=0.01)


def test_the_stems_sum_to_the_mix_where_the_limiter_works(tmp_path: Path) -> None:
    import soundfile

    timeline = with_bangs(tmp_path, -14.0)
    assert find_programme(timeline).held > 10
    write_stems(timeline, tmp_path)
    total = sum(soundfile.read(tmp_path / f"{bus}.wav", dtype="float64")[0] for bus in STEMS)
    assert db(np.abs(total - mix_to_array(timeline)).max()) < -90


def test_hiss_is_not_made_a_storm(tmp_path: Path) -> None:
    hiss = write(tmp_path / "hiss.wav", 1e-3 * np.random.default_rng(1).standard_normal(10 * RATE))
    found = find_programme(film(240, effect(hiss, 0, 480_000), loudness=-16.0))
    assert found.gain_db == pytest.approx(MOST_GAIN)
    assert found.film.integrated is not None
    assert found.film.integrated < -33


@pytest.mark.parametrize("loudness", [-23.0, None])
def test_silence_stays_silence(tmp_path: Path, loudness: float | None) -> None:
    silence = write(tmp_path / "silence.wav", np.zeros(RATE))
    for cues in ((), (effect(silence, 0, RATE),)):
        timeline = film(48, *cues, loudness=loudness)
        found = find_programme(timeline)
        assert (found.gain, found.limits, found.film) == (1.0, False, SILENT)
        assert set(found.buses.values()) == {SILENT}
        assert not mix_to_array(timeline).any()


def test_what_is_too_short_to_be_measured_is_left_as_it_is(tmp_path: Path) -> None:
    """BS.1770 measures in blocks of 400 ms."""
    for level, gain in ((-20, 0.0), (6, -7.0)):
        tone = write(tmp_path / "tone.wav", sine(0.375, 1000, level) * np.hanning(18_000))
        found = find_programme(film(9, effect(tone, 0, 18_000), loudness=-23.0))
        assert found.film.integrated is None
        assert found.gain_db == pytest.approx(gain, abs=0.02)


def test_without_a_target_a_film_is_only_made_softer(tmp_path: Path) -> None:
    for seed in range(3):
        timeline = of(tmp_path, seed, None)
        assert find_programme(timeline).gain <= 1.0
        loud = replace(timeline, cues=tuple(replace(cue, level=12.0) for cue in timeline.cues))
        found = find_programme(loud)
        assert not found.limits
        assert found.film.true_peak == pytest.approx(CEILING, abs=1e-3)
        heard, plain = mix_to_array(loud), mix_to_array(timeline)
        # The balance of loud and soft is as it was.
        part = np.abs(plain) > 0.01
        ratio = heard[part] / plain[part]
        assert ratio.max() / ratio.min() == pytest.approx(1, abs=1e-5)


def test_the_size_of_the_blocks_changes_nothing(tmp_path: Path) -> None:
    timeline = with_bangs(tmp_path, -14.0)
    found = find_programme(timeline)
    whole = mix_to_array(timeline)
    for block in (1601, 4096, 48_001, 10_000_000):
        assert np.array_equal(np.concatenate(list(mix_blocks(timeline, block, found))), whole)
    assert find_programme(timeline) == found


@pytest.mark.parametrize("loudness", [-23.0, -12.0, None])
def test_a_part_sounds_as_the_whole_film_does_there(tmp_path: Path, loudness: float | None) -> None:
    timeline = with_bangs(tmp_path, loudness)
    ends = [0, 40, 99, 101, 250, 288]
    shots = [
        Shot(n, str(n), "", (Panel(n, 1, str(n), *span, 2, Path("a.jpg"), (640, 360)),), 0)
        for n, span in enumerate(pairwise(ends))
    ]
    whole = replace(timeline, shots=tuple(shots))
    found = find_programme(whole)
    heard = mix_to_array(whole, found)
    for first, last in ((0, 0), (1, 1), (1, 3), (2, 2), (2, 4), (4, 4)):
        part = excerpt(whole, str(first), str(last))
        begin, end = (2000 * ends[n] for n in (first, last + 1))
        assert np.array_equal(mix_to_array(part, found), heard[begin:end]), (first, last)
    assert find_programme(part) == found
