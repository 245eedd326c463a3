"""Where a sound is heard: left, right and between, at one loudness."""

from __future__ import annotations

from math import cos, pi, sin, sqrt
from pathlib import Path

import numpy as np
import pytest

from animatic.sound import decode, measure_loudness, mix_to_array
from animatic.sound.levels import pan_gains
from tests.boards import HEAD, BoardFolder
from tests.sound.films import effect, film, sine, write

PLACES = [-1.0, -0.75, -0.5, -0.1, 0.0, 0.1, 0.5, 0.75, 1.0]


@pytest.mark.parametrize("pan", PLACES)
def test_mono_keeps_its_power(tmp_path: Path, pan: float) -> None:
    """The sine and cosine law (common practice, no source), raised by 3 dB to unity at 0."""
    path = write(tmp_path / "one.wav", np.full(48_000, 0.25, np.float32))
    heard = mix_to_array(film(24, effect(path, 0, 48_000, pan=pan)))[100].astype(float) / 0.25
    angle = (pan + 1) * pi / 4
    assert heard == pytest.approx([sqrt(2) * cos(angle), sqrt(2) * sin(angle)], abs=1e-6)
    assert (heard**2).sum() == pytest.approx(2, abs=1e-6)


@pytest.mark.parametrize("pan", PLACES)
def test_the_meter_reads_the_same_wherever_it_stands(tmp_path: Path, pan: float) -> None:
    """BS.1770 adds the powers of left and right."""
    path = write(tmp_path / "tone.wav", sine(2, 1000, -23))
    heard = mix_to_array(film(48, effect(path, 0, 96_000, pan=pan)))
    assert measure_loudness([heard]).integrated == pytest.approx(-23, abs=0.05)


@pytest.mark.parametrize("pan", PLACES)
def test_a_stereo_file_is_balanced(tmp_path: Path, pan: float) -> None:
    """The near side stays as it is, the far one goes; nothing crosses over."""
    sound = np.stack([np.full(9600, 0.5), np.full(9600, -0.25)], 1).astype(np.float32)
    path = write(tmp_path / "both.wav", sound)
    heard = mix_to_array(film(24, effect(path, 0, 9600, pan=pan)))[50]
    far = cos(abs(pan) * pi / 2)
    left, right = (far, 1.0) if pan > 0 else (1.0, far)
    assert heard.tolist() == pytest.approx([0.5 * left, -0.25 * right], abs=1e-7)


def test_a_sound_in_the_middle_is_what_it_is_without_a_place(tmp_path: Path) -> None:
    path = write(tmp_path / "tone.wav", sine(1, 440, -12))
    heard = mix_to_array(film(24, effect(path, 0, 48_000, pan=0.0)))
    assert np.array_equal(heard, np.repeat(decode(path), 2, axis=1))


@pytest.mark.parametrize("channels", [1, 2])
def test_left_and_right_are_mirror_images(channels: int) -> None:
    for pan in PLACES:
        assert pan_gains(-pan, channels) == pytest.approx(pan_gains(pan, channels)[::-1], abs=1e-12)
    assert 0.0 in pan_gains(1.0, channels)


def test_a_place_in_the_board_arrives_in_the_film(tmp_path: Path) -> None:
    board = BoardFolder(tmp_path)
    board.photo()
    board.tone("a.wav", 24_000)
    sounds = "[{file: a.wav, pan: -1}, {file: a.wav, pan: 0.25}, {file: a.wav}]"
    timeline = board.lay_out(
        f"{HEAD}panels:\n  - {{shot: 10, photo: a.jpg, duration: 1s, sounds: {sounds}}}\n"
    )
    assert [cue.pan for cue in timeline.cues] == [-1.0, 0.25, 0.0]
