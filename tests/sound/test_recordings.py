"""A recording made ready: trimmed at both ends, brought to a loudness, otherwise as it was."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pyloudnorm
import pytest
from numpy.typing import NDArray

from animatic.errors import MediaError
from animatic.sound.recordings import ready_recording
from tests.sound.films import sine, write

RATE = 48_000
PAD = 3840  # 80 ms


def room(seconds: float, level: float = 1e-4) -> NDArray[np.float64]:
    return np.random.default_rng(5).normal(0.0, level, int(seconds * RATE))


def voice(seconds: float, level: float = -20) -> NDArray[np.float64]:
    """Return something voiced, so loud: a tone that swells four times a second."""
    tone = sine(seconds, 220, level).astype(np.float64)
    return tone * (0.75 + 0.25 * np.cos(2 * np.pi * 4 * np.arange(len(tone)) / RATE))


def made(path: Path, *parts: NDArray[np.float64]) -> Path:
    return write(path, np.concatenate(parts).astype(np.float32))


def test_silence_at_both_ends_goes_and_the_pads_stay(tmp_path: Path) -> None:
    path = made(tmp_path / "a.wav", room(1.0), voice(1.5), room(0.7))
    before = path.read_bytes()
    ready = ready_recording(path)
    # To within the 5 ms steps in which silence is looked for, and pydub's window.
    assert ready.cut_head == pytest.approx(RATE - PAD, abs=480)
    assert ready.cut_tail == pytest.approx(0.7 * RATE - PAD, abs=480)
    assert ready.cut_head + len(ready.samples) + ready.cut_tail == int(3.2 * RATE)
    assert path.read_bytes() == before


def test_a_pause_inside_the_line_stays(tmp_path: Path) -> None:
    path = made(tmp_path / "a.wav", room(0.5), voice(0.4), room(1.2), voice(0.4), room(0.5))
    assert len(ready_recording(path).samples) == pytest.approx(2.0 * RATE + 2 * PAD, abs=960)


def test_the_pad_is_as_long_as_asked_and_no_longer_than_what_is_there(tmp_path: Path) -> None:
    path = made(tmp_path / "a.wav", room(0.15), voice(1.0), room(0.5))
    ready = ready_recording(path, pad=Fraction(1, 4))
    assert ready.cut_head == 0
    assert ready.cut_tail == pytest.approx(RATE // 4, abs=480)
    assert ready_recording(path, pad=Fraction(0)).cut_head == pytest.approx(7200, abs=480)


def test_a_knock_far_from_the_line_is_no_word(tmp_path: Path) -> None:
    knock = voice(0.012, -6)
    path = made(tmp_path / "a.wav", room(0.2), knock, room(0.8), voice(1), room(0.8), knock)
    ready = ready_recording(path)
    assert len(ready.samples) == pytest.approx(RATE + 2 * PAD, abs=960)
    # A short sound beside the line may be its last letter.
    near = made(tmp_path / "b.wav", room(0.5), voice(1), room(0.2), knock, room(0.8))
    assert len(ready_recording(near).samples) == pytest.approx(1.212 * RATE + 2 * PAD, abs=960)
    first = made(tmp_path / "c.wav", room(0.8), knock, room(0.2), voice(1), room(0.5))
    assert len(ready_recording(first).samples) == pytest.approx(1.212 * RATE + 2 * PAD, abs=960)


@pytest.mark.parametrize("level", [-3, -20, -45])
@pytest.mark.parametrize("seconds", [0.2, 0.6, 2.5])
def test_every_line_comes_to_one_loudness(tmp_path: Path, level: float, seconds: float) -> None:
    path = made(tmp_path / "a.wav", room(0.3, 1e-6), voice(seconds, level), room(0.3, 1e-6))
    ready = ready_recording(path)
    assert ready.loudness == pytest.approx(-23.0, abs=1e-9)
    # pyloudnorm, an independent meter; it needs over 400 ms, so a short line is repeated.
    both = np.tile(np.stack([ready.samples] * 2, axis=1), (1 if seconds > 1 else 8, 1))
    heard = pyloudnorm.Meter(RATE).integrated_loudness(both)
    assert heard == pytest.approx(-23.0, abs=0.15)


def test_peaks_hold_a_line_back(tmp_path: Path) -> None:
    sound = voice(1.0, -30)
    sound[24_000] = 0.9
    ready = ready_recording(made(tmp_path / "a.wav", sound), loudness=-14)
    assert ready.held_back
    assert 20 * np.log10(np.abs(ready.samples).max()) == pytest.approx(-1.0, abs=0.05)
    assert ready.loudness < -14


def test_the_cut_does_not_click(tmp_path: Path) -> None:
    hum = room(3.0, 0) + 0.02 * np.cos(2 * np.pi * 100 * np.arange(3 * RATE) / RATE)
    hum[RATE : 2 * RATE] += voice(1.0, -6)
    ready = ready_recording(made(tmp_path / "a.wav", hum), threshold=20)
    assert ready.cut_head > 0.8 * RATE
    assert ready.samples[0] == pytest.approx(0, abs=1e-5)
    assert ready.samples[-1] == pytest.approx(0, abs=1e-5)


def test_any_rate_and_any_number_of_channels(tmp_path: Path) -> None:
    tone = sine(1.0, 220, -20, rate=44_100)
    silence = np.zeros(22_050, np.float32)
    stereo = np.stack([np.concatenate([silence, tone, silence])] * 2, axis=1)
    ready = ready_recording(write(tmp_path / "a.flac", stereo, 44_100))
    assert ready.samples.ndim == 1
    assert len(ready.samples) == pytest.approx(RATE + 2 * PAD, abs=960)


@pytest.mark.parametrize("name", ["silence", "hiss", "knock"])
def test_a_file_without_a_voice_is_refused(tmp_path: Path, name: str) -> None:
    sound = {
        "silence": np.zeros(RATE),
        "hiss": room(1.0, 1e-5),
        "knock": np.concatenate([room(1.0), voice(0.01, -6), room(1.0)]),
    }[name]
    path = made(tmp_path / "a.wav", sound)
    with pytest.raises(MediaError) as fault:
        ready_recording(path)
    assert str(fault.value) == (
        f"{path}: there is no voice in it, or too soft a one; record it again"
    )


def test_one_sample_is_no_voice(tmp_path: Path) -> None:
    with pytest.raises(MediaError):
        ready_recording(made(tmp_path / "a.wav", np.array([0.5])))
