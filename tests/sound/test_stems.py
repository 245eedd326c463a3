"""Stems for the edit: Broadcast Wave files that sum to the film's sound."""

from __future__ import annotations

import os
import struct
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from animatic.errors import InternalError, MachineError, MediaError
from animatic.frames import RATES
from animatic.sound import find_programme, mix_to_array
from animatic.sound.stems import STEMS, time_reference, write_stems
from animatic.sound.wavefile import Broadcast, write_wav
from animatic.timecode import frames_from_label
from animatic.timeline.model import Mix, Timeline
from tests.sound.films import effect, film, line, music, sine, write


def chunks(path: Path) -> dict[bytes, bytes]:
    """Read a RIFF file's chunks, strictly: sizes must add up and each begin on an even byte."""
    data = path.read_bytes()
    name, size, form = struct.unpack_from("<4sI4s", data)
    assert (name, form) == (b"RIFF", b"WAVE")
    assert size == len(data) - 8
    found, at = {}, 12
    while at < len(data):
        name, size = struct.unpack_from("<4sI", data, at)
        found[name] = data[at + 8 : at + 8 + size]
        assert len(found[name]) == size
        at += 8 + size + size % 2
    assert at == len(data)
    return found


def bext(path: Path) -> dict[str, Any]:
    """Read the chunk by the byte offsets of EBU Tech 3285 (2011), clause 2.3 and its appendix."""
    body = chunks(path)[b"bext"]

    def text(start: int, length: int) -> str:
        return body[start : start + length].split(b"\0")[0].decode("ascii")

    def number(start: int, length: int, signed: bool = False) -> int:
        return int.from_bytes(body[start : start + length], "little", signed=signed)

    assert body[348:412] == bytes(64)  # UMID
    assert body[422:602] == bytes(180)  # reserved
    return {
        "description": text(0, 256),
        "originator": text(256, 32),
        "date": text(320, 10),
        "time": text(330, 8),
        "time_reference": number(338, 4) + (number(342, 4) << 32),
        "version": number(346, 2),
        "loudness": number(412, 2, True),
        "range": number(414, 2, True),
        "true_peak": number(416, 2, True),
        "momentary": number(418, 2, True),
        "short_term": number(420, 2, True),
        "history": body[602:].decode("ascii"),
    }


def busy(folder: Path, rate: str = "24", loud: float = -12.0, **more: Any) -> Timeline:
    """Return a film of 121 frames with something on every bus, overlapping."""
    talk = write(folder / "talk.wav", sine(1.5, 300, loud))
    hit = write(folder / "hit.wav", np.stack([sine(0.5, 900, loud), sine(0.5, 700, loud)], 1))
    tune = write(folder / "tune.wav", sine(6, 150, loud))
    cues = (
        line(talk, 30_000, 102_000),
        effect(hit, 20_001, 44_001, level=-3.0),
        music(tune, 0, 300_000, fade_in=20_000),
    )
    return replace(film(121, *cues, rate=rate), **more)


def summed(folder: Path) -> NDArray[np.float64]:
    total: NDArray[np.float64] = sum(  # type: ignore[assignment]
        soundfile.read(folder / f"{bus}.wav", dtype="float64")[0] for bus in STEMS
    )
    return total


@pytest.mark.parametrize("rate", ["24", "25", "29.97"])
@pytest.mark.parametrize("loud", [-12.0, -0.5])
def test_the_stems_sum_to_the_mix(tmp_path: Path, rate: str, loud: float) -> None:
    timeline = busy(tmp_path, rate, loud)
    write_stems(timeline, tmp_path)
    total, mixed = summed(tmp_path), mix_to_array(timeline)
    assert total.shape == (timeline.samples, 2)
    assert np.abs(total - mixed).max() < 10 ** (-90 / 20)
    assert np.abs(mixed).max() > 0.2


@pytest.mark.parametrize("rate", ["24", "29.97"])
@pytest.mark.parametrize("loudness", [-23.0, -10.0])
def test_they_sum_to_it_where_the_limiter_works_hard(
    tmp_path: Path, rate: str, loudness: float
) -> None:
    """Short bangs over soft music: the gain of the limiter is in every stem."""
    timeline = busy(tmp_path, rate, mix=Mix(loudness=loudness))
    fall = np.exp(-np.arange(24_000) / 200)[:, np.newaxis]
    bang = write(tmp_path / "bang.wav", np.repeat(fall, 2, axis=1) * sine(0.5, 1100)[:, None])
    soft = [replace(cue, level=-30.0) for cue in timeline.cues]
    bangs = [effect(bang, at, at + 24_000) for at in (5000, 90_000, 200_000)]
    timeline = replace(timeline, cues=(*soft, *bangs))
    assert find_programme(timeline).held > 8
    write_stems(timeline, tmp_path)
    assert np.abs(summed(tmp_path) - mix_to_array(timeline)).max() < 10 ** (-90 / 20)


def test_each_stem_holds_its_bus_alone(tmp_path: Path) -> None:
    timeline = busy(tmp_path)
    write_stems(timeline, tmp_path)
    for bus in STEMS:
        cues = tuple(cue for cue in timeline.cues if cue.bus == bus)
        alone = mix_to_array(replace(timeline, cues=cues))
        written, _ = soundfile.read(tmp_path / f"{bus}.wav")
        if bus == "music":  # It goes down under the line.
            assert np.abs(written).max() <= np.abs(alone).max() + 1e-6
            continue
        assert np.abs(written - alone).max() < 10 ** (-90 / 20)


def test_the_files_are_24_bit_broadcast_wave(tmp_path: Path) -> None:
    timeline = busy(tmp_path, title="Low Water é")
    write_stems(timeline, tmp_path)
    for bus in STEMS:
        path = tmp_path / f"{bus}.wav"
        assert list(chunks(path)) == [b"bext", b"fmt ", b"data"]
        form = struct.unpack("<HHIIHH", chunks(path)[b"fmt "])
        assert form == (1, 2, 48_000, 288_000, 6, 24)
        assert len(chunks(path)[b"data"]) == timeline.samples * 6
        said = bext(path)
        assert said["description"] == f"Low Water ?: {bus}"
        assert (said["originator"], said["date"], said["time"]) == ("animatic", "", "")
        assert said["version"] == 2
        assert said["history"] == "A=PCM,F=48000,W=24,M=stereo,T=animatic\r\n"
        assert soundfile.info(path).subtype == "PCM_24"


@pytest.mark.parametrize(
    ("rate", "label", "samples"),
    [
        ("24", "01:00:00:00", 172_800_000),
        ("25", "10:00:00:00", 1_728_000_000),
        ("30", "00:00:00:00", 0),
        # 86 400 frames of 2002 samples: an hour of labels at 23.976 lasts 3603.6 s.
        ("23.976", "01:00:00:00", 172_972_800),
        # 107 892 frames of 8008 / 5 samples, rounded half up (SMPTE ST 12-1, from memory).
        ("29.97", "01:00:00;00", 172_799_827),
        ("24", "23:59:59:23", 4_147_198_000),
        ("12", "23:00:00:00", 3_974_400_000),
    ],
)
def test_the_time_reference_is_the_start_timecode(
    tmp_path: Path, rate: str, label: str, samples: int
) -> None:
    timeline = busy(tmp_path, rate)
    timeline = replace(timeline, start=frames_from_label(label, timeline.rate), drop=";" in label)
    assert time_reference(timeline) == samples
    write_stems(timeline, tmp_path)
    assert bext(tmp_path / "effects.wav")["time_reference"] == samples


def test_a_time_reference_over_32_bits_fills_both_words(tmp_path: Path) -> None:
    path = tmp_path / "late.wav"
    write_wav(path, [np.zeros((4, 2))], 4, 2, Broadcast("", "", (3 << 32) + 7))
    assert bext(path)["time_reference"] == (3 << 32) + 7


def test_the_chunk_says_how_loud_it_is(tmp_path: Path) -> None:
    # EBU Tech 3341, case 1: 20 s of 1 kHz at -23 dBFS in both channels reads -23.0 LUFS.
    tone = write(tmp_path / "tone.wav", sine(20, 1000, -23))
    timeline = film(480, effect(tone, 0, 960_000))
    measured = write_stems(timeline, tmp_path)
    said = bext(tmp_path / "effects.wav")
    assert said["loudness"] == pytest.approx(-2300, abs=10)
    assert said["momentary"] == pytest.approx(-2300, abs=10)
    assert said["short_term"] == pytest.approx(-2300, abs=10)
    assert said["true_peak"] == pytest.approx(-2300, abs=20)
    assert measured[tmp_path / "effects.wav"].integrated == pytest.approx(-23.0, abs=0.1)
    # 7FFF hex marks what was not measured.
    silent = bext(tmp_path / "music.wav")
    assert {silent[key] for key in ("loudness", "range", "true_peak")} == {0x7FFF}


@pytest.mark.parametrize("rate", RATES)
def test_the_same_bytes_twice(tmp_path: Path, rate: str) -> None:
    timeline = busy(tmp_path, rate)
    write_stems(timeline, tmp_path)
    once = [(tmp_path / f"{bus}.wav").read_bytes() for bus in STEMS]
    write_stems(timeline, tmp_path)
    assert [(tmp_path / f"{bus}.wav").read_bytes() for bus in STEMS] == once


def test_samples_are_rounded_to_the_nearest_24_bit_number(tmp_path: Path) -> None:
    step = 2.0**-23
    values = np.array([0.0, step, -step, 1.4 * step, 1.0, -1.0, 0.5, -0.25])
    path = tmp_path / "a.wav"
    write_wav(path, [values[:3, None], values[3:, None]], len(values), 1)
    read, _ = soundfile.read(path, dtype="int32")
    top = (1 << 23) - 1
    assert (read >> 8).tolist() == [0, 1, -1, 1, top, -(1 << 23), 1 << 22, -(1 << 21)]
    odd = tmp_path / "odd.wav"
    write_wav(odd, [values[:3, None]], 3, 1)
    assert len(chunks(odd)[b"data"]) == 9


def test_what_would_be_clipped_is_refused_and_the_old_file_stays(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    path.write_bytes(b"old")
    with pytest.raises(MediaError) as fault:
        write_wav(path, [np.full((10, 1), 2.0)], 10, 1)
    assert str(fault.value) == f"{path}: it would be clipped, 6.0 dB over full scale"
    assert path.read_bytes() == b"old"
    assert [one.name for one in tmp_path.iterdir()] == ["a.wav"]


@pytest.mark.skipif(os.name == "nt", reason="modes are of another kind there")
def test_a_file_that_is_replaced_keeps_its_mode(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    path.write_bytes(b"old")
    path.chmod(0o600)
    write_wav(path, [np.zeros((10, 1))], 10, 1)
    assert path.stat().st_mode & 0o777 == 0o600
    assert path.read_bytes()[:4] == b"RIFF"


def test_another_number_of_samples_than_announced_is_a_fault_of_ours(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    with pytest.raises(InternalError) as fault:
        write_wav(path, [np.zeros((10, 1))], 11, 1)
    assert str(fault.value) == f"{path}: 10 samples given, 11 announced"
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_not_there_is_named(tmp_path: Path) -> None:
    path = tmp_path / "none" / "a.wav"
    with pytest.raises(MachineError) as fault:
        write_wav(path, [np.zeros((1, 1))], 1, 1)
    assert str(fault.value) == (
        f"{path}: could not be written: No such file or directory; make the folder first, or"
        " choose another one"
    )


def test_five_hours_are_too_long_for_a_wav(tmp_path: Path) -> None:
    with pytest.raises(MediaError) as fault:
        write_wav(tmp_path / "a.wav", [], 5 * 3600 * 48_000, 2)
    assert str(fault.value) == f"{tmp_path / 'a.wav'}: 5.0 h are too long for one WAV"
