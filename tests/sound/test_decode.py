"""48 kHz out of any file: the exact length, the exact place, the right level."""

from __future__ import annotations

import hashlib
import tracemalloc
from math import sqrt
from pathlib import Path

import numpy as np
import pytest
import scipy.signal
import soundfile

from animatic.audiofile import AudioFacts, measure
from animatic.frames import samples_from_seconds
from animatic.sound import decode, open_sound, sound_length
from tests.sound.films import clicks, db, encode, rms, sine, write

RATES = (7350, 8000, 11_025, 22_050, 32_000, 44_100, 47_952, 88_200, 96_000, 192_000)
LOSSLESS = (".wav", ".flac", ".aiff")


@pytest.mark.parametrize("suffix", LOSSLESS)
def test_a_lossless_file_at_48_khz_is_read_to_the_bit(tmp_path: Path, suffix: str) -> None:
    noise = np.random.default_rng(1).integers(-32_768, 32_767, (30_011, 2), np.int16)
    path = write(tmp_path / f"noise{suffix}", noise, subtype="PCM_16")
    assert measure(path) == AudioFacts(30_011, 48_000, 2)
    assert np.array_equal(decode(path), (noise / 32_768).astype(np.float32))


@pytest.mark.parametrize(
    ("subtype", "step"),
    [("PCM_U8", 2**-7), ("PCM_16", 2**-15), ("PCM_24", 2**-23), ("PCM_32", 2**-23), ("FLOAT", 0.0)],
)
def test_every_depth_reads_as_libsndfile_reads_it(
    tmp_path: Path, subtype: str, step: float
) -> None:
    noise = np.random.default_rng(2).uniform(-1, 0.99, (5000, 2))
    path = write(tmp_path / "noise.wav", noise, subtype=subtype)
    reference, _ = soundfile.read(path, dtype="float32", always_2d=True)
    assert np.array_equal(decode(path), reference)
    assert np.abs(decode(path) - noise).max() <= step + 1e-7


@pytest.mark.parametrize("rate", RATES)
def test_length_is_the_seconds_rounded_once(tmp_path: Path, rate: int) -> None:
    for frames in (1, 2, 7, rate // 3, rate, rate + 1, 2 * rate + 17):
        path = write(tmp_path / "a.wav", np.full(frames, 0.25, np.float32), rate)
        facts = measure(path)
        assert facts == AudioFacts(frames, rate, 1)
        assert decode(path).shape == (samples_from_seconds(facts.seconds), 1)
        assert sound_length(path) == facts.seconds


@pytest.mark.parametrize("suffix", [".mp3", ".m4a", ".mov", ".mkv", ".opus", ".ogg", ".flac"])
@pytest.mark.parametrize("frames", [1153, 5003, 60_001])
def test_length_counted_equals_length_decoded(tmp_path: Path, suffix: str, frames: int) -> None:
    noise = np.random.default_rng(3).uniform(-0.3, 0.3, frames).astype(np.float32)
    path = tmp_path / f"noise{suffix}"
    (write if suffix in (".ogg", ".flac") else encode)(path, noise)
    facts = measure(path)
    assert len(decode(path)) == facts.frames
    # An mp4's edit list counts in milliseconds; Matroska keeps the last coded block whole; of
    # a file of one or two coded blocks FFmpeg does not always know how much is filling.
    spare = {".m4a": 24, ".mov": 24, ".mkv": 1024}.get(suffix, 0 if frames > 5000 else 128)
    assert abs(facts.frames - frames) <= spare


@pytest.mark.parametrize("suffix", [".mp3", ".m4a", ".mov", ".mkv", ".opus", ".ogg"])
def test_a_click_in_a_lossy_file_stays_on_its_sample(tmp_path: Path, suffix: str) -> None:
    """Encoder delay is taken off: 1105 samples in mp3, 1024 in AAC, 312 in Opus."""
    sound = clicks(60_000, [20_000, 40_003], 0.9)
    path = tmp_path / f"click{suffix}"
    (write if suffix == ".ogg" else encode)(path, sound)
    heard = np.abs(decode(path)[:, 0])
    assert int(heard[10_000:30_000].argmax()) + 10_000 == 20_000
    assert int(heard[30_000:50_000].argmax()) + 30_000 == 40_003


@pytest.mark.parametrize("rate", RATES)
def test_resampling_moves_nothing(tmp_path: Path, rate: int) -> None:
    """A tone burst at a fifth of the lower rate, against its own formula at 48 kHz."""
    hertz = 0.2 * min(rate, 48_000)

    def burst(times: np.ndarray) -> np.ndarray:
        return np.exp(-(((times - 0.25) / 0.02) ** 2)) * np.sin(2 * np.pi * hertz * (times - 0.25))

    path = write(tmp_path / "burst.wav", burst(np.arange(rate // 2) / rate), rate)
    heard = decode(path)[:, 0]
    assert db(np.abs(heard - burst(np.arange(len(heard)) / 48_000)).max()) < -95


@pytest.mark.parametrize("rate", [8000, 44_100, 96_000])
def test_resampling_against_scipy(tmp_path: Path, rate: int) -> None:
    """scipy.signal.resample_poly, on noise band-limited well below both rates."""
    noise = np.random.default_rng(4).standard_normal(rate)
    low = scipy.signal.firwin(801, 0.35 * min(rate, 48_000), fs=rate)
    sound = 0.1 * scipy.signal.fftconvolve(noise, low, "same")
    heard = decode(write(tmp_path / "noise.wav", sound, rate))[:, 0]
    divisor = int(np.gcd(rate, 48_000))
    reference = scipy.signal.resample_poly(
        sound, 48_000 // divisor, rate // divisor, window=("kaiser", 12.0)
    )
    inside = slice(2000, -2000)
    assert db(rms(heard[inside] - reference[inside]) / rms(reference[inside])) < -55


def test_no_tone_above_hearing_comes_back_as_an_alias(tmp_path: Path) -> None:
    """30 kHz in a 96 kHz file would fold to 18 kHz."""
    path = write(tmp_path / "high.wav", sine(1, 30_000, rate=96_000), 96_000)
    assert db(np.abs(decode(path)[2000:-2000]).max()) < -90


def test_mono_stays_mono_and_loses_no_level(tmp_path: Path) -> None:
    path = write(tmp_path / "tone.wav", sine(1, 1000, -6, rate=44_100), 44_100)
    heard = decode(path)
    assert heard.shape == (48_000, 1)
    assert db(rms(heard[1000:-1000]) * sqrt(2)) == pytest.approx(-6, abs=0.001)


def fold(tmp_path: Path, layout: str, values: list[float]) -> list[float]:
    """Return left and right of a file that holds one level in each channel."""
    import av

    path = tmp_path / "many.wav"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("pcm_f32le", rate=48_000, layout=layout)
        packed = np.tile(np.array(values, np.float32), 480)[np.newaxis]
        frame = av.AudioFrame.from_ndarray(packed, format="flt", layout=layout)
        frame.sample_rate = 48_000
        for packet in (*stream.encode(frame), *stream.encode(None)):
            container.mux(packet)
    heard = decode(path)
    assert heard.shape == (480, 2)
    return [float(value) for value in heard[100]]


@pytest.mark.parametrize(
    ("layout", "values", "left", "right"),
    [
        ("5.1", [0.1, 0.2, 0.3, 0.9, 0.4, 0.5], 0.1 + 0.7 * sqrt(0.5), 0.2 + 0.8 * sqrt(0.5)),
        ("5.1(side)", [0.1, 0.2, 0.3, 0.9, 0.4, 0.5], 0.1 + 0.7 * sqrt(0.5), 0.2 + 0.8 * sqrt(0.5)),
        ("5.0", [0.1, 0.2, 0.3, 0.4, 0.5], 0.1 + 0.7 * sqrt(0.5), 0.2 + 0.8 * sqrt(0.5)),
        ("3.0", [0.1, 0.2, 0.3], 0.1 + 0.3 * sqrt(0.5), 0.2 + 0.3 * sqrt(0.5)),
        ("quad", [0.1, 0.2, 0.3, 0.4], 0.1 + 0.3 * sqrt(0.5), 0.2 + 0.4 * sqrt(0.5)),
        (
            "7.1",
            [0.1, 0.2, 0.3, 0.9, 0.1, 0.2, 0.3, 0.4],
            0.1 + 0.7 * sqrt(0.5),
            0.2 + 0.9 * sqrt(0.5),
        ),
    ],
)
def test_more_than_two_channels_fold_down(
    tmp_path: Path, layout: str, values: list[float], left: float, right: float
) -> None:
    """ITU-R BS.775, table 2 (the figures from memory): L + 0.7071 C + 0.7071 Ls, no LFE.

    7.1 and quad follow by the same rule, which is common practice without a source.
    """
    assert fold(tmp_path, layout, values) == pytest.approx([left, right], abs=1e-6)


def test_channels_without_names_are_taken_in_the_usual_order(tmp_path: Path) -> None:
    """Six channels in a plain wav header: left, right, centre, low, left and right surround."""
    path = write(tmp_path / "six.wav", np.tile([0.1, 0.2, 0.3, 0.9, 0.4, 0.5], (99, 1)))
    expected = [0.1 + 0.7 * sqrt(0.5), 0.2 + 0.8 * sqrt(0.5)]
    assert decode(path)[50].tolist() == pytest.approx(expected, abs=1e-6)


def test_reading_in_pieces_and_skipping_give_the_same_samples(tmp_path: Path) -> None:
    noise = np.random.default_rng(5).uniform(-1, 1, (50_000, 2)).astype(np.float32)
    for rate in (48_000, 44_100):
        path = write(tmp_path / "noise.wav", noise, rate)
        whole = decode(path)
        with open_sound(path) as sound:
            assert sound.channels == 2
            pieces = [sound.read(count) for count in (1, 4095, 20_000, 7)]
            assert sound.ahead(10) == 10
            assert sound.skip(3000) == 3000
            pieces.append(sound.read(100_000))
            assert sound.read(1).shape == (0, 2)
            assert sound.ahead(1) == sound.skip(5) == 0
        got = np.concatenate(pieces)
        assert np.array_equal(got, np.concatenate([whole[:24_103], whole[27_103:]]))


def test_a_long_skip_counts_to_the_sample(tmp_path: Path) -> None:
    ramp = (np.arange(200_000) / 200_000).astype(np.float32)
    path = write(tmp_path / "ramp.wav", ramp)
    with open_sound(path) as sound:
        assert sound.skip(150_001) == 150_001
        assert sound.read(3)[:, 0].tolist() == ramp[150_001:150_004].tolist()
        assert sound.skip(150_001) == 200_000 - 150_004


@pytest.mark.parametrize("suffix", [".wav", ".mp3", ".m4a", ".opus"])
@pytest.mark.parametrize("rate", [48_000, 24_000])
def test_memory_does_not_grow_with_the_length(tmp_path: Path, suffix: str, rate: int) -> None:
    """A minute is 11.5 MB; reading second by second may hold a few of them."""
    path = tmp_path / f"tone{suffix}"
    (write if suffix == ".wav" else encode)(path, sine(60, 440, -6, rate), rate)
    tracemalloc.start()
    try:
        with open_sound(path) as sound:
            while len(sound.read(48_000)):
                pass
        measure(path)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < 2_500_000


def test_decoding_twice_gives_the_same_bytes(tmp_path: Path) -> None:
    path = encode(tmp_path / "tone.mp3", sine(2, 440, -6, 44_100), 44_100)
    first, second = (hashlib.sha256(decode(path).tobytes()).hexdigest() for _ in range(2))
    assert first == second
