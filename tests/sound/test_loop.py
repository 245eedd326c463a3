"""Music that repeats: every piece at its sample, joined without a click, with equal power."""

from __future__ import annotations

from fractions import Fraction
from math import floor, sqrt
from pathlib import Path

import numpy as np
import pytest

from animatic.frames import RATES
from animatic.sound import decode, mix_to_array, stem_blocks
from animatic.sound.loop import Looped
from animatic.timeline import Timeline
from animatic.timeline.excerpt import excerpt
from tests.boards import HEAD, BoardFolder
from tests.sound.films import db, encode, film, music, rms, sine, write
from tests.timeline.plans import FPS

RATE = 48_000


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    folder = BoardFolder(tmp_path)
    folder.photo()
    return folder


def laid(
    board: BoardFolder, more: str = "", rate: str = "24", file: str = "a.wav", mix: str = "none"
) -> Timeline:
    """Return three shots of 97, 120 and 203 frames under music that repeats."""
    return board.lay_out(
        f"{HEAD}rate: {rate}\n"
        f"mix: {{loudness: {mix}}}\n"
        f"music: [{{file: {file}, loop: true{more}}}]\n"
        "panels:\n"
        "  - {shot: 10, photo: a.jpg, duration: 97f}\n"
        "  - {shot: 20, photo: a.jpg, duration: 120f}\n"
        "  - {shot: 30, photo: a.jpg, duration: 203f}\n"
    )


def nearest(position: Fraction) -> int:
    return floor(position * RATE + Fraction(1, 2))


@pytest.mark.parametrize("rate", RATES)
def test_every_piece_begins_at_its_own_exact_place(rate: str, board: BoardFolder) -> None:
    """A click early in a file of 1.001 s at 44.1 kHz, under a loop that crosses over 5 frames."""
    # 44 144 samples are 1.00099... s: no whole number of samples at 48 kHz.
    clicks = [22_050]
    board.sound("a.wav", samples=44_144, clicks=clicks, rate=44_100, height=0.5)
    timeline = laid(board, ", from: shot 20, crossfade: 5f", rate)
    heard = np.abs(mix_to_array(timeline)[:, 0])
    # In a duration, a second has the nominal number of frames; 5f is 5 frames exactly.
    step = Fraction(44_144, 44_100) - 5 / FPS[rate]
    expected, at = [], 97 / FPS[rate]
    while at + Fraction(1, 2) < 420 / FPS[rate]:
        expected.append(nearest(at) + RATE // 2)
        at += step
    assert len(expected) > 4
    found = [n for n in np.flatnonzero(heard > 0.3) if heard[n] == heard[n - 3 : n + 4].max()]
    assert found == expected


def test_it_ends_with_the_film_or_with_its_last_shot(board: BoardFolder) -> None:
    board.tone("a.wav", 2 * RATE)
    whole = mix_to_array(laid(board))[:, 0]
    assert rms(whole[-RATE:-100]) * sqrt(2) == pytest.approx(0.2, rel=0.4)
    part = mix_to_array(laid(board, ", until: shot 20"))[:, 0]
    end = 217 * 2000
    assert not part[end:].any()
    # It is cut into there: 2 ms take it down.
    assert part[end - 200 : end].any()
    assert np.abs(np.diff(part[end - 100 : end + 1])).max() < 0.02


def test_joins_do_not_click_and_keep_their_power(board: BoardFolder) -> None:
    """No step above the material's own; noise, unlike itself, keeps its power through a join."""
    random = np.random.default_rng(3)
    noise = np.rint(3000 * random.standard_normal(3 * RATE)).astype("<i2")
    board.wave("a.wav", noise, RATE)
    heard = mix_to_array(laid(board))[:, 0].astype(np.float64)
    level = rms(noise / 32_768)
    # The joins are at 2.5 s, 5 s, ...: 24 000 samples each.
    for join in (120_000, 240_000, 360_000):
        assert db(rms(heard[join : join + 24_000]) / level) == pytest.approx(0, abs=0.15)
    board.tone("b.wav", 3 * RATE, hertz=110.3, height=0.5)
    steps = np.abs(np.diff(mix_to_array(laid(board, file="b.wav"))[:, 0]))
    own = 0.5 * 2 * np.pi * 110.3 / RATE
    # Two of them cross, at most at 0.707 each, while each fades over 24 000 samples.
    assert steps[:-RATE].max() <= own * sqrt(2) + np.pi / 2 * 0.5 / 24_000 + 2 / 32_768


def test_pieces_in_a_crossing_have_equal_power(tmp_path: Path) -> None:
    """A file whose halves sound on one side each: its end and its start can be told apart."""
    sides = np.zeros((40_000, 2), np.float32)
    sides[:20_000, 0] = sides[20_000:, 1] = 0.5
    path = write(tmp_path / "sides.wav", sides)
    cue = music(path, 0, 100_000, pieces=((0, 40_000), (30_000, 70_000), (60_000, 100_000)))
    heard = mix_to_array(film(50, cue)).astype(np.float64)
    power = (heard**2).sum(axis=1) / 0.25
    assert np.abs(10 * np.log10(power[:100_000])).max() < 0.001
    place = (np.arange(10_000) + 0.5) / 10_000
    assert np.abs(heard[30_000:40_000, 0] / 0.5 - np.sin(place * np.pi / 2)).max() < 1e-6
    assert np.abs(heard[30_000:40_000, 1] / 0.5 - np.cos(place * np.pi / 2)).max() < 1e-6


@pytest.mark.parametrize("suffix", [".wav", ".mp3", ".opus"])
def test_skip_fades_and_loop_together(tmp_path: Path, suffix: str) -> None:
    """Against plain array arithmetic on the whole file."""
    noise = (0.1 * np.random.default_rng(8).standard_normal(60_000)).astype(np.float32)
    path = (write if suffix == ".wav" else encode)(tmp_path / f"noise{suffix}", noise)
    sound = decode(path)[:, 0].astype(np.float64)
    skip, length, step, end = 5000, 50_000, 42_000, 150_000
    pieces = tuple((n * step, n * step + length) for n in range(4))
    cue = music(path, 1000, 1000 + end, skip=skip, fade_in=3000, fade_out=60_000, pieces=pieces)
    expected = np.zeros(pieces[-1][1])
    rise = np.sin((np.arange(8000) + 0.5) / 8000 * np.pi / 2)
    for number, (first, over) in enumerate(pieces):
        part = sound[skip : skip + length].copy()
        if number:
            part[:8000] *= rise
        if number < 3:
            part[-8000:] *= rise[::-1]
        expected[first:over] += part
    expected = expected[:end]
    expected[:3000] *= 0.5 - 0.5 * np.cos((np.arange(3000) + 0.5) / 3000 * np.pi)
    expected[-60_000:] *= (0.5 - 0.5 * np.cos((np.arange(60_000) + 0.5) / 60_000 * np.pi))[::-1]
    timeline = film(96, cue)
    heard = np.concatenate([stems["music"] for stems in stem_blocks(timeline)])[:, 0]
    assert np.abs(heard[1000 : 1000 + end] - expected).max() < 1e-9
    assert not heard[:1000].any()
    assert not heard[1000 + end :].any()


def test_reading_in_pieces_and_skipping_give_the_same_samples(tmp_path: Path) -> None:
    noise = np.random.default_rng(5).uniform(-1, 1, (9000, 2)).astype(np.float32)
    path = write(tmp_path / "noise.wav", noise)
    pieces = [(n * 8000, n * 8000 + 9000) for n in range(5)]
    whole = Looped(path, 0, pieces).read(100_000)
    assert whole.shape == (41_000, 2)
    sound = Looped(path, 0, pieces)
    parts = [sound.read(count) for count in (1, 7999, 500, 600, 12_000)]
    assert sound.skip(9000) == 9000
    assert sound.ahead(99_999) == 41_000 - 30_100
    parts.append(sound.read(99_999))
    sound.close()
    assert np.array_equal(np.concatenate(parts[:-1]), whole[:21_100])
    assert np.array_equal(parts[-1], whole[30_100:])


def test_only_two_files_are_open_at_a_join(tmp_path: Path) -> None:
    path = write(tmp_path / "tone.wav", sine(0.2, 440, -12))
    pieces = tuple((n * 8000, n * 8000 + 9600) for n in range(60))
    fds = Path("/proc/self/fd")
    most = 0
    for _ in stem_blocks(film(240, music(path, 0, 480_000, pieces=pieces))):
        most = max(most, sum(entry.resolve() == path.resolve() for entry in fds.iterdir()))
    assert most <= 2
    assert not any(entry.resolve() == path.resolve() for entry in fds.iterdir())


@pytest.mark.parametrize(("first", "last"), [("20", "20"), ("20", "30"), (None, "10")])
def test_a_part_of_a_film_has_the_loop_as_the_whole_has_it(
    first: str | None, last: str | None, board: BoardFolder
) -> None:
    board.tone("a.wav", 61_234, 44_100)
    whole = laid(board, ", skip: 0.1s, fade_out: 2s", "23.976", mix="-10")
    heard = mix_to_array(whole)
    part = excerpt(whole, first, last)
    assert np.array_equal(mix_to_array(part), heard[part.begins : part.begins + part.samples])
