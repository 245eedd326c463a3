"""Damage that still decodes is found, and nothing that devices write is taken for it."""

from __future__ import annotations

import io
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import cv2
import numpy as np
import pytest
import simplejpeg
from PIL import Image
from sklearn.datasets import load_sample_images

from animatic.board.media import measure_photo
from animatic.errors import MediaError
from animatic.jpegcode import is_code_damaged
from animatic.jpegscan import is_scan_damaged
from animatic.start.look import look_at_photo

DEMO = sorted((Path(__file__).parents[1] / "demo_board" / "photos").glob("*.jpg"))
SOI, SOS, EOI = bytes.fromhex("ffd8"), bytes.fromhex("ffda"), bytes.fromhex("ffd9")
CLUSTER = 4096
CODINGS: list[dict[str, Any]] = [
    {"quality": 85},
    {"quality": 75, "optimize": True},
    {"quality": 95, "subsampling": 0},
    {"quality": 90, "restart_marker_rows": 1},
    {"quality": 92, "progressive": True},
]


def saved(picture: Image.Image, **how: Any) -> bytes:
    file = io.BytesIO()
    picture.save(file, "JPEG", **how)
    return file.getvalue()


@pytest.fixture(scope="module")
def photos() -> list[Image.Image]:
    """Return scikit-learn's two photographs, and a part of the demo's."""
    with Image.open(DEMO[0]) as photo:
        part = photo.crop((500, 300, 1400, 900))
    return [*map(Image.fromarray, load_sample_images().images), part]


def harmed(data: bytes, kind: str, other: bytes, seed: int) -> bytes:
    """Return a file with one loss within its coded data."""
    at = int(np.random.default_rng(seed).integers(len(data) // 5, len(data) * 3 // 4))
    border = at // CLUSTER * CLUSTER
    ways = {
        "cut out": data[:at] + data[at + 1500 :],
        "repeated": data[: at + 1500] + data[at:],
        "foreign": data[:border] + other[-CLUSTER - 99 : -99] + data[border + CLUSTER :],
        "swapped": data[:border] + data[-CLUSTER - 99 : -99] + data[border + CLUSTER :],
        "zeros": data[:at] + bytes(300) + data[at + 300 :],
    }
    return ways[kind]


@pytest.mark.parametrize("kind", ["cut out", "repeated", "foreign", "swapped", "zeros"])
@pytest.mark.parametrize("how", CODINGS)
def test_a_loss_that_decodes_is_found(
    photos: list[Image.Image], how: dict[str, Any], kind: str
) -> None:
    """Not each one: what is lost may by chance decode to just as much picture."""
    other = saved(photos[0].transpose(Image.Transpose.ROTATE_90), **how)
    files = [saved(photo, **how) for photo in photos]
    tried = [harmed(data, kind, other, seed) for data in files for seed in range(5)]
    least = 8 if kind == "zeros" else 12
    assert sum(map(is_code_damaged, tried)) >= least
    assert sum(map(is_scan_damaged, tried)) <= 3


def test_everything_that_reads_photos_refuses_it(photos: list[Image.Image], tmp_path: Path) -> None:
    data, path = saved(photos[0], quality=90), tmp_path / "quay.jpg"
    for read in (measure_photo, look_at_photo):
        path.write_bytes(data)
        read(path)
        path.write_bytes(data[:20000] + data[20700:])
        with pytest.raises(MediaError, match="some of its bytes are not what the camera wrote"):
            read(path)


@pytest.mark.parametrize("quality", [1, 50, 100])
@pytest.mark.parametrize(
    "how",
    [
        *CODINGS,
        {"subsampling": "4:1:1"},
        {"keep_rgb": True},
        {"progressive": True, "restart_marker_blocks": 3},
    ],
)
def test_no_whole_file_is_taken_for_damaged(
    photos: list[Image.Image], how: dict[str, Any], quality: int
) -> None:
    flat = [Image.new("RGB", size, (90, 128, 70)) for size in ((1, 1), (1500, 1000))]
    for photo in [*photos, *flat]:
        assert not is_code_damaged(saved(photo, **{**how, "quality": quality}))


def test_grey_and_four_colours_are_read(photos: list[Image.Image]) -> None:
    for mode in ("L", "CMYK"):
        data = saved(photos[0].convert(mode), quality=90)
        assert not is_code_damaged(data)
        assert is_code_damaged(data[:30000] + data[31500:])


def test_files_of_other_coders_are_whole(photos: list[Image.Image]) -> None:
    """OpenCV's, libjpeg-turbo's own, and FFmpeg's."""
    pixels = np.ascontiguousarray(np.asarray(photos[1])[:426, :640, ::-1])
    files = [cv2.imencode(".jpg", pixels, [cv2.IMWRITE_JPEG_RST_INTERVAL, 7])[1].tobytes()]
    for factor in (0x111111, 0x211111, 0x221111, 0x411111, 0x121111):
        how = [cv2.IMWRITE_JPEG_SAMPLING_FACTOR, factor]
        files.append(cv2.imencode(".jpg", pixels, how)[1].tobytes())
    files += [simplejpeg.encode_jpeg(pixels, colorsubsampling=each) for each in ("440", "411")]
    for form in ("yuvj420p", "yuvj422p", "yuvj444p"):
        coder = av.CodecContext.create("mjpeg", "w")
        coder.width, coder.height, coder.pix_fmt = 640, 426, form
        coder.time_base = Fraction(1, 25)
        frame = av.VideoFrame.from_ndarray(pixels, "bgr24").reformat(format=form)
        files += [bytes(packet) for packet in [*coder.encode(frame), *coder.encode(None)]]
    assert len(files) == 11
    assert not any(map(is_code_damaged, files))


@pytest.mark.parametrize(
    "end",
    [
        EOI + bytes(5000),
        EOI + bytes(range(256)) * 9,
        bytes(200) + EOI,
        bytes.fromhex("7f") * 3000 + EOI,
        bytes.fromhex("9c 03 7f fe 80 1a ff00 c5") + EOI,
        b"lens 35; exposure 1/60; turntable 14.5; " * 30 + EOI,
        np.arange(300, dtype="<u4").tobytes().replace(b"\xff", b"\0") + EOI,
        bytes.fromhex("ffffffff") + EOI,
        b"turntable 14.5; " * 30,
    ],
)
def test_what_a_device_may_write_at_the_end_is_no_damage(
    photos: list[Image.Image], end: bytes
) -> None:
    """Padding, notes of its own before EOI or behind it, even without EOI."""
    for photo in photos:
        assert not is_code_damaged(saved(photo, quality=90)[:-2] + end)


@pytest.mark.parametrize("end", [EOI + bytes(5000), bytes(12) + EOI, b"turntable 14.5"])
def test_damage_is_found_in_spite_of_such_an_end(photos: list[Image.Image], end: bytes) -> None:
    for photo in photos:
        data = saved(photo, quality=90)
        assert is_code_damaged(data[:20000] + data[21500:-2] + end)


def test_an_end_some_bits_early_is_no_damage(photos: list[Image.Image]) -> None:
    for photo in photos:
        data = saved(photo, quality=90)
        assert not is_code_damaged(data[:-3] + EOI)
        assert is_code_damaged(data[:-60] + EOI)


def test_coded_picture_left_before_the_end_is_damage(photos: list[Image.Image]) -> None:
    """The end of the picture twice: all of it decodes, and then some is left."""
    for photo in photos[:2]:
        data = saved(photo, quality=90)
        assert is_code_damaged(data[:-2] + data[-300:])


def test_an_unusual_head_is_no_damage(photos: list[Image.Image]) -> None:
    """JFIF 2.01 (there is none), Adobe's transform 7, Se = 0 in a sequential scan (T.81, B.2.3)."""
    data = saved(photos[0], quality=90)
    version, scan = data.index(b"JFIF") + 5, data.index(SOS)
    adobe = bytes.fromhex("ffee 000e") + b"Adobe" + bytes.fromhex("0064 0000 0000 07")
    for odd in (
        data[:version] + bytes([2]) + data[version + 1 :],
        SOI + adobe + data[2:],
        data[: scan + 12] + bytes(1) + data[scan + 13 :],
    ):
        assert not is_code_damaged(odd)


def test_only_the_first_picture_of_a_file_is_looked_at(photos: list[Image.Image]) -> None:
    file = io.BytesIO()
    photos[0].save(file, "MPO", save_all=True, append_images=[photos[1]])
    data = file.getvalue()
    second = data.index(EOI + SOI) + 2
    assert not is_code_damaged(data)
    assert not is_code_damaged(data[: second - 2] + bytes(40) + data[second - 2 :])
    assert not is_code_damaged(data[: second + 40000] + data[second + 41500 :])
    assert is_code_damaged(data[:40000] + data[41500:])


def test_what_is_no_jpeg_is_left_to_others() -> None:
    assert not any(map(is_code_damaged, (b"", SOI, b"quay", SOI + EOI, SOI + SOS)))
