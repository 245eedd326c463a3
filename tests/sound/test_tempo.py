"""Tempo and beats, on click tracks whose beats are known: within 1 BPM and 20 ms."""

from __future__ import annotations

import json
import wave
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from animatic.board.beatfile import read_beats
from animatic.cli import run
from animatic.errors import MediaError
from animatic.sound.tempo import Tempo, find_tempo
from tests.boards import BoardFolder

RATE = 48_000
SECONDS = 20


def write(path: Path, samples: NDArray[np.float64], rate: int = RATE) -> Path:
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, rate, 0, "NONE", ""))
        file.writeframes((samples * 20_000).astype("<i2").tobytes())
    return path


def clicks(bpm: float, first: float, rate: int = RATE) -> NDArray[np.float64]:
    samples = np.zeros(SECONDS * rate)
    time = np.arange(rate // 30) / rate
    click = 0.6 * np.sin(2 * np.pi * 1000 * time) * np.exp(-200 * time)
    for at in np.arange(first, SECONDS - 0.1, 60 / bpm):
        place = round(at * rate)
        samples[place : place + len(click)] += click
    return samples


def music(bpm: float, first: float) -> NDArray[np.float64]:
    """Return clicks under held tones and noise."""
    time = np.arange(SECONDS * RATE) / RATE
    tones = 0.1 * np.sin(2 * np.pi * 220 * time) + 0.05 * np.sin(2 * np.pi * 331 * time)
    noise = 0.003 * np.random.default_rng(1).standard_normal(len(time))
    found: NDArray[np.float64] = 0.3 * clicks(bpm, first) + tones + noise
    return found


@pytest.mark.parametrize("make", [clicks, music])
@pytest.mark.parametrize("bpm", [*range(60, 181, 8), 72.5, 96.0, 127.5, 143.2])
def test_clicks_are_found(bpm: float, make: object, tmp_path: Path) -> None:
    first = 0.05 + (bpm * 7 % 11) / 25
    found = find_tempo(write(tmp_path / "a.wav", make(bpm, first)))  # type: ignore[operator]
    assert abs(float(found.bpm) - bpm) <= 0.05
    for number in (0, 10, int((SECONDS - 1) * bpm / 60)):
        wanted = first + number * 60 / bpm
        nearest = min(found.beats(Fraction(SECONDS)), key=lambda at: abs(float(at) - wanted))
        assert abs(float(nearest) - wanted) <= 0.02


@pytest.mark.parametrize("rate", [8000, 44_100])
def test_other_sampling_rates(rate: int, tmp_path: Path) -> None:
    found = find_tempo(write(tmp_path / "a.wav", clicks(90, 0.25, rate), rate))
    assert abs(float(found.bpm) - 90) <= 0.05
    assert abs(float(found.first_beat) - 0.25) <= 0.02


@pytest.mark.parametrize("kind", ["noise", "silence", "tone", "short"])
def test_what_does_not_beat_is_said_so(kind: str, tmp_path: Path) -> None:
    time = np.arange(SECONDS * RATE) / RATE
    samples = {
        "noise": 0.1 * np.random.default_rng(2).standard_normal(len(time)),
        "silence": np.zeros(len(time)),
        "tone": 0.3 * np.sin(2 * np.pi * 440 * time),
        "short": clicks(120, 0)[:RATE],
    }[kind]
    with pytest.raises(MediaError, match=r"a\.wav: (no steady beat|there is too little sound)"):
        find_tempo(write(tmp_path / "a.wav", samples))


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sound, listed = write(tmp_path / "a.wav", clicks(96, 0.4)), tmp_path / "beats.txt"
    assert run(["beats", str(sound), "--file", str(listed)]) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[0] == "bpm: 96"
    assert said[1].startswith("first_beat: 0.")
    assert said[2] == f"inside braces: , {said[0]}, {said[1]}"
    # A beat a 0.625 s from 0.4 s on, to the end of 20 s.
    assert said[3] == f"{listed}: 32 beats"
    beats = read_beats(listed)
    assert all(abs(float(at) - 0.4 - n * 0.625) <= 0.02 for n, at in enumerate(beats))
    assert run(["beats", str(sound), "--format", "json"]) == 0
    assert json.loads(capsys.readouterr().out)["bpm"] == 96.0
    (tmp_path / "b.wav").write_text("no sound")
    assert run(["beats", str(tmp_path / "b.wav")]) == 1
    assert "b.wav" in capsys.readouterr().err


def test_what_it_prints_fits_into_a_board(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = BoardFolder(tmp_path)
    folder.photo()
    for at in (0.0, 0.3):
        sound = write(tmp_path / "a.wav", clicks(120, at))
        assert run(["beats", str(sound)]) == 0
        *lines, braces = capsys.readouterr().out.splitlines()
        braces = braces.removeprefix("inside braces: ")
        rows = "panels: [{shot: 10, photo: a.jpg}]\n"
        below = "".join(f"    {line}\n" for line in lines)
        boards = [
            folder.read(f"board: 1\nmusic:\n  - file: a.wav\n{below}{rows}"),
            folder.read(f"board: 1\nmusic:\n  - {{file: a.wav{braces}}}\n{rows}"),
        ]
        assert boards[0].content.music == boards[1].content.music
        assert boards[0].content.music[0].bpm == 120
        # Only what is needed: beats that begin with the file need no more.
        assert ("first_beat" in braces) == bool(find_tempo(sound).first_beat)


def test_a_first_beat_at_the_start_of_the_file_is_not_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    sound = write(tmp_path / "a.wav", clicks(120, 0))
    monkeypatch.setattr(
        "animatic.sound.tempo.find_tempo", lambda path: Tempo(Fraction(120), Fraction(0), 1.0)
    )
    assert run(["beats", str(sound)]) == 0
    assert capsys.readouterr().out == "bpm: 120\ninside braces: , bpm: 120\n"
