"""Pictures of video files, held against those that another build of ffmpeg decodes."""

from __future__ import annotations

import subprocess
from pathlib import Path

import imageio_ffmpeg
import numpy as np
import pytest
from takes_made import bars, levels, number_in, video

from animatic.errors import MediaError
from animatic.videofile import VideoFile, measure_video, pixels

SIZE = (160, 96)


def ffmpeg(*arguments: str | Path) -> bytes:
    command = [imageio_ffmpeg.get_ffmpeg_exe(), "-v", "error", "-nostdin", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, check=True).stdout


def by_ffmpeg(path: Path, size: tuple[int, int]) -> np.ndarray:
    """Return all pictures of a video, upright, as ffmpeg makes RGB of them."""
    raw = ffmpeg("-i", path, "-fps_mode", "passthrough", "-f", "rawvideo", "-pix_fmt", "rgb24", "-")
    return np.frombuffer(raw, np.uint8).reshape(-1, size[1], size[0], 3).astype(int)


def all_pixels(path: Path) -> np.ndarray:
    with VideoFile(path) as film:
        return np.array([pixels(frame) for frame in film.frames()]).astype(int)


def colours(path: Path, matrix: str) -> Path:
    """Write ten pictures of strong colours, coded by a matrix that the file names."""
    source = "color=c=0xC04020:s=160x96:r=24:d=0.42"
    matrices = {"bt709": "bt709", "smpte170m": "bt601"}
    convert = f"scale=out_color_matrix={matrices[matrix]},format=yuv444p"
    ffmpeg(
        *("-f", "lavfi", "-i", source, "-vf", convert, "-c:v", "libx264", "-qp", "0"),
        *("-colorspace", matrix, "-color_range", "tv", path),
    )
    return path


@pytest.mark.parametrize(
    ("name", "codec"), [("a.mov", "prores_ks"), ("a.mp4", "libx264"), ("a.webm", "libvpx-vp9")]
)
def test_the_pictures_are_those_of_another_decoder(name: str, codec: str, tmp_path: Path) -> None:
    path = video(tmp_path / name, range(1, 41), codec=codec)
    ours, theirs = all_pixels(path), by_ffmpeg(path, SIZE)
    assert ours.shape == theirs.shape
    # Two builds round the change of colours in their own ways.
    assert np.abs(ours - theirs).max() <= 3
    assert [number_in(picture[..., 1]) for picture in ours] == [*range(1, 41)]


@pytest.mark.parametrize("matrix", ["bt709", "smpte170m"])
def test_the_matrix_that_a_video_names_is_used(matrix: str, tmp_path: Path) -> None:
    path = colours(tmp_path / "a.mp4", matrix)
    assert np.abs(all_pixels(path) - (0xC0, 0x40, 0x20)).max() <= 3


@pytest.mark.parametrize(("size", "matrix"), [("160x96", "bt601"), ("1280x720", "bt709")])
def test_a_video_that_names_no_matrix_has_that_of_its_size(
    size: str, matrix: str, tmp_path: Path
) -> None:
    # Common practice, no source: BT.601 below 720 rows, BT.709 from there on.
    source = f"color=c=0xC04020:s={size}:r=24:d=0.05"
    convert = f"scale=out_color_matrix={matrix},format=yuv444p,setparams=colorspace=unknown"
    encode = ("-c:v", "libx264", "-qp", "0", "-colorspace", "unknown", tmp_path / "a.mp4")
    ffmpeg("-f", "lavfi", "-i", source, "-vf", convert, *encode)
    with VideoFile(tmp_path / "a.mp4") as film:
        frame = next(film.frames())
        assert int(frame.colorspace) == 2
        assert np.abs(pixels(frame).astype(int) - (0xC0, 0x40, 0x20)).max() <= 3


@pytest.mark.parametrize("degrees", [90, 180, 270])
def test_a_video_that_lies_on_its_side_is_set_upright(degrees: int, tmp_path: Path) -> None:
    plain = video(tmp_path / "plain.mp4", range(1, 9))
    path = tmp_path / "turned.mp4"
    ffmpeg("-display_rotation", str(degrees), "-i", plain, "-c", "copy", path)
    facts = measure_video(path)
    size = SIZE if degrees == 180 else SIZE[::-1]
    assert (facts.width, facts.height, facts.frames) == (*size, 8)
    ours = all_pixels(path)
    assert np.abs(ours - by_ffmpeg(path, size)).max() <= 3
    assert ours.shape[1:3] == size[::-1]


def test_pictures_that_are_the_same_again_are_marked(tmp_path: Path) -> None:
    path = video(tmp_path / "a.mov", [1, 1, 2, 3, 3], codec="prores_ks")
    assert measure_video(path).same == 0b10010


def test_sound_alone_and_words_are_no_video(tmp_path: Path) -> None:
    sound = tmp_path / "a.mp4"
    ffmpeg("-f", "lavfi", "-i", "sine=d=0.2", "-c:a", "aac", sound)
    with pytest.raises(MediaError, match="the file holds no pictures; allowed: mov, mp4"):
        measure_video(sound)
    with pytest.raises(MediaError, match="the file is not there"):
        measure_video(tmp_path / "none.mov")


def test_bars_say_their_number() -> None:
    assert [number_in(np.asarray(bars(n))) for n in (0, 77, 255)] == [0, 77, 255]
    assert levels(np.asarray(bars(1))) == [200, *[50] * 7]
