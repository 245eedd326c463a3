"""Sounds that are not what they seem: each is used right, or refused in words."""

from __future__ import annotations

import shutil
import struct
import warnings
import wave
from collections.abc import Callable
from pathlib import Path

import matplotlib
import numpy as np
import pytest
import scipy.io.wavfile
import soundfile

from animatic.audiofile import READ, AudioFacts, AudioFile, measure
from animatic.errors import MediaError
from animatic.sound import decode, mix_to_array, open_sound, sound_length
from tests.sound.films import clicks, effect, encode, film, sine, write

SHIPPED = Path(scipy.io.wavfile.__file__).parent / "tests" / "data"


def tone(path: Path) -> bytes:
    """Return the bytes of a file with 2 s of tone; lossy ones by FFmpeg's encoders."""
    make = write if path.suffix in (".wav", ".flac", ".aiff") else encode
    return make(path, sine(2, 440, -6)).read_bytes()


def empty(folder: Path) -> Path:
    path = folder / "a.wav"
    path.touch()
    return path


def text(folder: Path) -> Path:
    path = folder / "a.wav"
    path.write_text("Прилив опаздывает — the tide is late.\n" * 500, encoding="utf-8")
    return path


def playlist(folder: Path) -> Path:
    """A list of other files, which a board must not reach through a sound."""
    write(folder / "other.wav", sine(1, 440))
    path = folder / "a.wav"
    path.write_text("#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\nother.wav\n#EXT-X-ENDLIST\n")
    return path


def concatenation(folder: Path) -> Path:
    write(folder / "other.wav", sine(1, 440))
    path = folder / "a.ffconcat"
    path.write_text("ffconcat version 1.0\nfile other.wav\n")
    return path


def picture(folder: Path) -> Path:
    path = folder / "a.wav"
    shutil.copy(Path(matplotlib.get_data_path(), "images", "home.png"), path)
    return path


def noise(folder: Path) -> Path:
    path = folder / "a.mp3"
    path.write_bytes(np.random.default_rng(6).bytes(20_000))
    return path


def no_samples(folder: Path) -> Path:
    path = folder / "a.wav"
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, 48_000, 0, "NONE", ""))
    return path


def film_without_sound(folder: Path) -> Path:
    import av

    path = folder / "a.mov"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("mpeg4", rate=24)
        stream.width, stream.height = 64, 64
        frame = av.VideoFrame.from_ndarray(np.zeros((64, 64, 3), np.uint8))
        for packet in (*stream.encode(frame), *stream.encode(None)):
            container.mux(packet)
    return path


def cut_short(suffix: str) -> Callable[[Path], Path]:
    def make(folder: Path) -> Path:
        path = folder / f"a{suffix}"
        whole = tone(path)
        path.write_bytes(whole[: len(whole) // 2])
        return path

    make.__name__ = f"cut_short_{suffix[1:]}"
    return make


def spoilt(suffix: str) -> Callable[[Path], Path]:
    def make(folder: Path) -> Path:
        path = folder / f"a{suffix}"
        whole = bytearray(tone(path))
        middle = len(whole) // 2
        whole[middle : middle + 900] = np.random.default_rng(7).bytes(900)
        path.write_bytes(whole)
        return path

    make.__name__ = f"spoilt_{suffix[1:]}"
    return make


def one_block_spoilt(folder: Path) -> Path:
    """Raw AAC, which states no length to fall short of, with one coded block made nonsense."""
    path = folder / "a.aac"
    whole = bytearray(encode(path, sine(2, 440, -6)).read_bytes())
    start = 0
    for _ in range(46):
        start += (whole[start + 3] & 3) << 11 | whole[start + 4] << 3 | whole[start + 5] >> 5
    whole[start + 7 : start + 40] = b"\xff" * 33
    path.write_bytes(whole)
    return path


def chained(folder: Path) -> Path:
    """Two Ogg streams one after the other, as the format allows, at two rates."""
    first = write(folder / "a.ogg", sine(1, 440)).read_bytes()
    path = folder / "b.ogg"
    second = write(folder / "c.ogg", sine(1, 440, rate=22_050), 22_050).read_bytes()
    path.write_bytes(first + second)
    return path


def changing(folder: Path) -> Path:
    """Two mp3s put end to end."""
    first = encode(folder / "a.mp3", sine(1, 440)).read_bytes()
    path = folder / "b.mp3"
    second = encode(folder / "c.mp3", sine(1, 440, rate=22_050), 22_050).read_bytes()
    path.write_bytes(first + second)
    return path


def too_loud(folder: Path) -> Path:
    return write(folder / "a.wav", np.array([0.1, 1e30, 0.1], np.float32))


def many_channels(folder: Path) -> Path:
    return write(folder / "a.wav", np.zeros((9, 12)), subtype="PCM_16")


def folder_itself(folder: Path) -> Path:
    return folder


def missing(folder: Path) -> Path:
    return folder / "gone.wav"


NO_SOUND = f"the file is damaged or no sound; allowed: {READ}"
REFUSED: list[tuple[Callable[[Path], Path], str]] = [
    (missing, "the file is not there"),
    (folder_itself, f"this is a folder; allowed: {READ}"),
    (empty, "the file is empty"),
    (text, f"this is text and no sound; allowed: {READ}"),
    (playlist, f"this is text and no sound; allowed: {READ}"),
    (concatenation, f"this is text and no sound; allowed: {READ}"),
    (picture, NO_SOUND),
    (noise, NO_SOUND),
    (no_samples, "the file holds no sound, its length is 0"),
    (film_without_sound, f"the file holds no sound; allowed: {READ}"),
    (cut_short(".wav"), "the file breaks off at 1.00 s of the 2.00 s that its header states"),
    (cut_short(".aiff"), "the file breaks off at 1.00 s of the 2.00 s that its header states"),
    (cut_short(".flac"), ""),
    (cut_short(".mp3"), ""),
    (cut_short(".m4a"), NO_SOUND),
    (spoilt(".mp3"), ""),
    (spoilt(".m4a"), ""),
    (spoilt(".mkv"), ""),
    (cut_short(".mkv"), ""),
    (one_block_spoilt, "the file is damaged at 0.98 s"),
    (chained, f"its form is not read; allowed: {READ}"),
    (changing, "its sample rate, sample format or number of channels changes half way"),
    (
        too_loud,
        "it holds a sample 1e+30 times full scale, which is damage and not sound; "
        "allowed: up to 1000",
    ),
    (
        many_channels,
        "it has 12 channels without names; allowed: up to 8; take out the ones you need",
    ),
]
"""What is wrong, and the words; where a codec decides at which sample, only that it is refused."""


@pytest.mark.parametrize(
    ("make", "words"), REFUSED, ids=lambda value: getattr(value, "__name__", "")
)
def test_refused_in_words(tmp_path: Path, make: Callable[[Path], Path], words: str) -> None:
    path = make(tmp_path)
    with pytest.raises(MediaError) as measured:
        measure(path)
    assert measured.value.__cause__ is None
    if words:
        assert str(measured.value) == words
    else:
        assert str(measured.value).startswith(
            ("the file breaks off at ", "the file is damaged at ")
        )
    for use in (decode, sound_length):
        with pytest.raises(MediaError) as used:
            use(path)
        assert str(used.value) == f"{path}: {measured.value}; export it again"


@pytest.mark.parametrize("suffix", [".wav", ".mp3"])
def test_a_film_names_the_sound_that_breaks_off(tmp_path: Path, suffix: str) -> None:
    path = cut_short(suffix)(tmp_path)
    with pytest.raises(MediaError, match=f"^{path}: the file breaks off at .*; export it again$"):
        mix_to_array(film(72, effect(path, 0, 96_000)))


def test_one_sample_is_a_sound(tmp_path: Path) -> None:
    path = write(tmp_path / "a.wav", np.array([0.25], np.float32))
    assert measure(path) == AudioFacts(1, 48_000, 1)
    assert decode(path).tolist() == [[0.25]]
    low = write(tmp_path / "b.wav", np.array([0.25], np.float32), 8000)
    assert len(decode(low)) == 6
    high = write(tmp_path / "c.wav", np.array([0.25], np.float32), 192_000)
    assert len(decode(high)) == 0  # A quarter of a sample, rounded half up.


def test_samples_that_are_no_numbers_are_silent(tmp_path: Path) -> None:
    sound = np.array([0.5, np.nan, 0.25, np.inf, -np.inf, -0.5], np.float32)
    assert decode(write(tmp_path / "a.wav", sound))[:, 0].tolist() == [0.5, 0, 0.25, 0, 0, -0.5]
    long = np.where(np.arange(44_100) == 22_050, np.nan, 0.5)
    heard = decode(write(tmp_path / "b.wav", long, 44_100, "DOUBLE"))
    assert np.isfinite(heard).all()
    assert heard[1000:20_000].min() > 0.499  # The resampler has spread nothing.


def test_a_sound_over_full_scale_is_kept_as_it_is(tmp_path: Path) -> None:
    assert decode(write(tmp_path / "a.wav", np.array([4.0, -4.0], np.float32)))[:, 0].tolist() == [
        *(4.0, -4.0),
    ]


@pytest.mark.parametrize("size", [0, 0xFFFFFFFF])
def test_a_recorder_that_never_wrote_its_length(tmp_path: Path, size: int) -> None:
    path = write(tmp_path / "a.wav", clicks(9600, [5000]), subtype="PCM_16")
    whole = bytearray(path.read_bytes())
    at = whole.index(b"data") + 4
    whole[at : at + 4] = struct.pack("<I", size)
    path.write_bytes(whole)
    assert measure(path).frames == 9600
    assert decode(path)[:, 0].argmax() == 5000


def test_tags_and_cover_pictures_around_an_mp3_are_passed_over(tmp_path: Path) -> None:
    path = encode(tmp_path / "a.mp3", clicks(60_000, [20_000], 0.9))
    plain = path.read_bytes()
    path.write_bytes(plain + b"TAG" + bytes(125))
    assert measure(path).frames == 60_000
    path.write_bytes(plain + b"APETAGEX" + np.random.default_rng(8).bytes(700))
    assert measure(path).frames == 60_000
    assert np.abs(decode(path)[:, 0]).argmax() == 20_000


def test_a_header_that_states_too_little_cuts_nothing_off(tmp_path: Path) -> None:
    """An mp3 whose Info header counts 20 coded blocks, less than half of what is there."""
    path = encode(tmp_path / "a.mp3", clicks(60_000, [50_000], 0.9))
    whole = bytearray(path.read_bytes())
    count = whole.index(b"Info") + 8
    whole[count : count + 4] = (20).to_bytes(4, "big")
    path.write_bytes(whole)
    heard = np.abs(decode(path)[:, 0])
    # The reader itself drops some filling where it takes the end to be.
    assert measure(path).frames == len(heard) > 58_000
    assert heard[47_000:].max() > 0.4


def test_a_file_is_closed_after_use_and_after_refusal(tmp_path: Path) -> None:
    path = write(tmp_path / "a.wav", sine(1, 440))
    with open_sound(path) as sound:
        sound.read(10)
    sound.close()
    with AudioFile(path) as file:
        next(file.blocks())
    file.close()
    open_files = {entry.resolve() for entry in Path("/proc/self/fd").iterdir()}
    assert path.resolve() not in open_files


BIG = f"its form (a big-endian wav) is not read; allowed: {READ}"
FORM = f"its form is not read; allowed: {READ}"
REFUSED_HERE = {
    "test-44100Hz-2ch-32bit-float-be.wav": BIG,
    "test-44100Hz-be-1ch-4bytes.wav": BIG,
    "test-8000Hz-be-3ch-5S-24bit.wav": BIG,
    "test-8000Hz-le-3ch-5S-36bit.wav": FORM,
    "test-8000Hz-le-3ch-5S-45bit.wav": FORM,
    "test-8000Hz-le-3ch-5S-53bit.wav": FORM,
    "test-8000Hz-le-3ch-5S-64bit.wav": (
        "its samples are of a kind that is not read (s64); "
        "allowed: 8 to 32 bit whole numbers, 32 or 64 bit floats"
    ),
    "test-44100Hz-le-1ch-4bytes-early-eof.wav": (
        "the file breaks off at 0.01 s of the 0.10 s that its header states"
    ),
    "test-44100Hz-le-1ch-4bytes-early-eof-no-data.wav": NO_SOUND,
    "test-44100Hz-le-1ch-4bytes-incomplete-chunk.wav": NO_SOUND,
}


@pytest.mark.skipif(not SHIPPED.is_dir(), reason="scipy's wheel carries no test files")
@pytest.mark.parametrize("path", sorted(SHIPPED.glob("*.wav")), ids=lambda path: path.stem)
def test_scipys_own_files(path: Path) -> None:
    """The WAV files of scipy's own tests (scipy/io/tests/data), against scipy's reader."""
    if path.name in REFUSED_HERE:
        with pytest.raises(MediaError) as refused:
            measure(path)
        assert str(refused.value) == REFUSED_HERE[path.name]
        return
    read = soundfile.read if path.stem.endswith(("ulaw", "inconsistent")) else scipy.io.wavfile.read
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", scipy.io.wavfile.WavFileWarning)
        rate, samples = sorted(read(path), key=np.ndim)
    with AudioFile(path) as sound:
        got = np.concatenate(list(sound.blocks()))
    assert (sound.rate, len(got)) == (rate, len(samples))
    whole = samples.reshape(len(samples), -1).astype(np.float64)
    if samples.dtype == np.uint8:
        whole = (whole - 128) / 128
    elif samples.dtype.kind == "i":
        whole /= 2.0 ** (8 * samples.dtype.itemsize - 1)
    assert np.abs(got - whole).max() < 1e-7
    assert len(decode(path)) > 0
