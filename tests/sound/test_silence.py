"""Where the voice begins and ends, in rooms of all kinds: nothing of a word goes, and silence does.

The voices are those of the demo, which lie in digital silence: where they are heard there is
counted here without the code under test, in hops of 1 ms.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from animatic.sound.decode import decode
from animatic.sound.silence import find_voice

RATE = 48_000
PAD = 3840  # 80 ms
Samples = NDArray[np.float64]
VOICES = sorted((Path(__file__).parents[2] / "demo_board" / "sound").glob("[op][di][dm]_0*.wav"))


def white(count: int) -> Samples:
    return np.random.default_rng(7).normal(size=count)


def traffic(count: int) -> Samples:
    """Return noise with equal power in each octave."""
    spectrum = np.fft.rfft(white(count))
    spectrum /= np.sqrt(np.maximum(np.arange(len(spectrum)), 1))
    return np.fft.irfft(spectrum, count)


def hum(count: int) -> Samples:
    """Return the mains: 50 Hz with what lies above it."""
    at = 2 * np.pi * 50 * np.arange(count) / RATE
    return np.sin(at) + 0.5 * np.sin(2 * at) + 0.3 * np.sin(3 * at) + 0.1 * np.sin(5 * at)


def rms(sound: Samples, window: int, step: int) -> Samples:
    """Return the level of each window."""
    sums = np.concatenate([[0], np.cumsum(np.square(sound))])
    starts = np.arange(0, len(sound) - window + 1, step)
    return np.sqrt(np.maximum(sums[starts + window] - sums[starts], 0) / window)


def in_room(
    file: Path, level: float, room: float, kind: Callable[[int], Samples], around: float = 1.0
) -> tuple[Samples, int, int]:
    """Return a voice whose loudest 100 ms have a level (dB) in a room of a level (dB).

    The second and third are the samples between which it is within 36 dB of that loudest part.
    """
    voice = decode(file).mean(axis=1, dtype=np.float64)
    voice *= 10 ** (level / 20) / rms(voice, 4800, 48).max()
    heard = np.flatnonzero(rms(voice, 480, 48) > 10 ** ((level - 36) / 20)) * 48
    before = int(around * RATE)
    noise = kind(len(voice) + 2 * before)
    noise *= 10 ** (room / 20) / np.sqrt(np.mean(np.square(noise)))
    noise[before : before + len(voice)] += voice
    return noise, before + int(heard[0]), before + int(heard[-1]) + 480


@pytest.mark.parametrize("kind", [white, traffic, hum])
@pytest.mark.parametrize("level", [-12, -21, -30])
@pytest.mark.parametrize("under", [30, 35, 40, 50])
def test_no_word_is_cut_and_no_silence_left(
    kind: Callable[[int], Samples], level: float, under: float
) -> None:
    assert len(VOICES) == 7
    for file in VOICES:
        sound, first, last = in_room(file, level, level - under, kind)
        found = find_voice(sound)
        assert found is not None
        assert found.is_told
        # Within 10 ms beyond the pad: the level's own window is as long.
        assert found.start - PAD <= first + 480
        assert found.end + PAD >= last - 480
        # Of two seconds of room an eighth of one may be left beyond the pads.
        assert found.start >= first - RATE // 8
        assert found.end <= last + RATE // 8


@pytest.mark.parametrize("kind", [white, traffic, hum])
@pytest.mark.parametrize("around", [0.0, 0.1, 1.0])
@pytest.mark.parametrize("under", [10, 18, 24, 27, 60, 80])
def test_whatever_the_room_is_nothing_of_a_word_goes(
    kind: Callable[[int], Samples], around: float, under: float
) -> None:
    for file in VOICES:
        sound, first, last = in_room(file, -21, -21 - under, kind, around)
        found = find_voice(sound)
        assert found is not None
        assert found.start - PAD <= first + 480
        assert found.end + PAD >= last - 480


@pytest.mark.parametrize("loudest", [-19.8, -29.8])
def test_a_quiet_recording_at_home_loses_its_silence(loudest: float) -> None:
    for file in VOICES:
        sound, first, last = in_room(file, loudest, -60, white)
        # So loud are its loudest 20 ms, and so loud the room.
        loud = 20 * np.log10(rms(sound, 960, 48).max())
        sound, first, last = in_room(file, 2 * loudest - loud, -60, white)
        found = find_voice(sound)
        assert found is not None
        assert found.start == pytest.approx(first, abs=RATE // 8)
        assert found.end == pytest.approx(last, abs=RATE // 8)


def test_a_room_that_is_too_near_is_told_and_nothing_is_cut() -> None:
    sound, _, _ = in_room(VOICES[0], -21, -21 - 20, white)
    found = find_voice(sound)
    assert found is not None
    assert (found.start, found.is_told) == (0, False)
    assert found.end == pytest.approx(len(sound), abs=240)


def test_a_threshold_that_is_asked_for_follows_nothing() -> None:
    sound, first, _ = in_room(VOICES[0], -21, -60, white)
    assert getattr(find_voice(sound, 45), "start", None) == 0
    told = find_voice(sound, 30)
    assert told is not None
    assert told.start == pytest.approx(first, abs=2400)


def test_silence_that_a_program_put_in_is_silence() -> None:
    voice = decode(VOICES[0]).mean(axis=1, dtype=np.float64)
    found = find_voice(np.concatenate([np.zeros(RATE), voice, np.zeros(RATE)]))
    assert found is not None
    assert found.is_told
    assert RATE <= found.start < RATE + PAD


def test_nothing_at_all_is_no_voice() -> None:
    for count in (0, 1, 100, RATE):
        assert find_voice(np.zeros(count)) is None
