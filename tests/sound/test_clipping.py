"""Where a recording is clipped: three samples in a row at full scale, by its own samples."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
import soundfile

from animatic.errors import MediaError
from animatic.sound.clipping import Clipped, find_clipped
from tests.sound.films import sine


@pytest.mark.parametrize("subtype", ["PCM_16", "PCM_24", "FLOAT"])
@pytest.mark.parametrize("rate", [44_100, 48_000])
def test_flat_waves_near_each_other_are_one_place(tmp_path: Path, subtype: str, rate: int) -> None:
    sound = sine(3.0, 200, -6, rate=rate).astype(np.float64)
    sound[rate : rate + rate // 10] *= 4
    sound[2 * rate : 2 * rate + rate // 10] *= 4
    both = np.stack([sine(3.0, 200, -20, rate=rate), np.clip(sound, -1, 1)], axis=1)
    path = tmp_path / "a.wav"
    soundfile.write(path, both, rate, subtype=subtype)
    found = find_clipped(path)
    assert found is not None
    assert found.places == 2
    assert float(found.first) == pytest.approx(1.0, abs=0.01)


@pytest.mark.parametrize(("row", "found"), [(2, None), (3, Clipped(1, Fraction(1, 10)))])
def test_two_samples_at_full_scale_are_a_peak_and_three_are_flat(
    tmp_path: Path, row: int, found: Clipped | None
) -> None:
    sound = np.zeros(48_000, np.int16)
    sound[4800 : 4800 + row] = 32_767
    soundfile.write(tmp_path / "a.wav", sound, 48_000)
    assert find_clipped(tmp_path / "a.wav") == found
    # The lowest sample is full scale as well.
    soundfile.write(tmp_path / "b.wav", np.where(sound, -32_768, 0).astype(np.int16), 48_000)
    assert find_clipped(tmp_path / "b.wav") == found


def test_a_loud_recording_that_is_whole_is_not_clipped(tmp_path: Path) -> None:
    for hertz in (50, 220, 1000):
        soundfile.write(tmp_path / "a.wav", sine(1.0, hertz, -0.1), 48_000)
        assert find_clipped(tmp_path / "a.wav") is None
    soundfile.write(tmp_path / "b.wav", np.ones(2), 48_000)
    assert find_clipped(tmp_path / "b.wav") is None


def test_what_is_no_sound_is_named(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    path.write_bytes(b"")
    with pytest.raises(MediaError) as fault:
        find_clipped(path)
    assert str(fault.value) == f"{path}: the file is empty; export it again"
