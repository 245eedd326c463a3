"""Photos of every kind, against OpenCV's decoders, and files that are no photos."""

from __future__ import annotations

import contextlib
import io
import subprocess
import sys
import warnings
from concurrent.futures import ThreadPoolExecutor
from importlib.util import find_spec
from pathlib import Path

import cv2
import numpy as np
import pytest
import skimage
import tifffile
from PIL import Image

from animatic.errors import MediaError
from animatic.photofile import LARGEST, photo_formats
from animatic.picture import load_photo
from animatic.picture.photo import open_photo
from animatic.timeline.model import Box

# The photographs that come in scikit-image's wheel.
SAMPLES = Path(skimage.__file__).parent / "data"
EXACT = (
    "astronaut.png",
    "chelsea.png",
    "coffee.png",
    "ihc.png",
    "motorcycle_left.png",
    "camera.png",
    "coins.png",
)
LOSSY = ("hubble_deep_field.jpg", "retina.jpg")
# Its pixels are 64-bit floats.
NOT_READ = "multipage_rgb.tif"


def load(path: Path) -> np.ndarray:
    image = load_photo(path)
    assert image.mode == "RGB"
    return np.asarray(image).astype(int)


def by_opencv(path: Path) -> np.ndarray:
    found = cv2.imread(str(path), cv2.IMREAD_COLOR)
    assert found is not None
    return found[..., ::-1].astype(int)


def ramp() -> np.ndarray:
    """Every eighth value of 16 bits, as a picture of 64 x 128."""
    return (np.arange(64 * 128, dtype=np.uint32) * 8).astype(np.uint16).reshape(64, 128)


@pytest.mark.parametrize("name", EXACT)
def test_real_photographs_are_read_as_opencv_reads_them(name: str) -> None:
    assert np.array_equal(load(SAMPLES / name), by_opencv(SAMPLES / name))


@pytest.mark.parametrize("name", LOSSY)
def test_real_jpegs_are_read_as_opencv_reads_them(name: str) -> None:
    difference = abs(load(SAMPLES / name) - by_opencv(SAMPLES / name))
    assert difference.mean() < 1.0
    assert np.percentile(difference, 99.9) <= 4


def test_of_several_pictures_the_first_is_taken() -> None:
    found = load(SAMPLES / "multipage.tif")
    assert np.array_equal(found[..., 0], tifffile.imread(SAMPLES / "multipage.tif", key=0))
    found = load(SAMPLES / "no_time_for_that_tiny.gif")
    with Image.open(SAMPLES / "no_time_for_that_tiny.gif") as image:
        assert np.array_equal(found, np.asarray(image.convert("RGB")))


def test_every_sample_picture_can_be_read() -> None:
    for path in sorted(SAMPLES.glob("*.*")):
        if path.suffix in (".png", ".jpg", ".tif", ".gif") and path.name != NOT_READ:
            assert load(path).shape[2] == 3


@pytest.mark.parametrize("kind", ["png", "tif", "pgm"])
def test_sixteen_bit_grey_is_scaled(tmp_path: Path, kind: str) -> None:
    path = tmp_path / f"photo.{kind}"
    assert cv2.imwrite(str(path), ramp())
    wanted = np.floor(ramp() / 257 + 0.5)
    assert abs(load(path) - wanted[..., None]).max() == 0


def test_sixteen_bit_grey_of_either_byte_order(tmp_path: Path) -> None:
    path, wanted = tmp_path / "photo.tif", np.floor(ramp() / 257 + 0.5)
    for order in ("<", ">"):
        tifffile.imwrite(path, ramp(), byteorder=order, photometric="minisblack")
        assert abs(load(path) - wanted[..., None]).max() == 0


@pytest.mark.parametrize("kind", ["png", "tif"])
def test_sixteen_bit_colour_is_scaled(tmp_path: Path, kind: str) -> None:
    path = tmp_path / f"photo.{kind}"
    colours = np.stack([ramp(), ramp()[::-1], ramp()[:, ::-1]], axis=2)
    assert cv2.imwrite(str(path), colours[..., ::-1])
    assert abs(load(path) - colours / 257).max() <= 1.0


def test_sixteen_bit_with_alpha(tmp_path: Path) -> None:
    path = tmp_path / "photo.png"
    layers = np.full((8, 8, 4), 65_535, np.uint16)
    layers[:4, :, 3] = 0
    layers[4:, :, 0] = 0
    assert cv2.imwrite(str(path), layers)
    found = load(path)
    assert (found[:4] == 0).all()
    assert (found[4:] == (255, 255, 0)).all()


def test_alpha_lies_on_black_and_hides_what_it_hides(tmp_path: Path) -> None:
    path = tmp_path / "photo.png"
    layers = np.zeros((2, 3, 4), np.uint8)
    layers[..., :3] = (250, 120, 60)
    layers[..., 3] = (255, 128, 0)
    Image.fromarray(layers).save(path)
    # 128 / 255 of each channel, rounded: IEC 61966-2-1 says nothing of alpha, so coded values.
    assert load(path)[0].tolist() == [[250, 120, 60], [125, 60, 30], [0, 0, 0]]
    grey = tmp_path / "grey.png"
    Image.fromarray(layers).convert("LA").save(grey)
    found = load(grey)[0]
    assert found[0].tolist() == [found[0][0]] * 3
    assert abs(found[1] - found[0] * 128 / 255).max() <= 0.5
    assert found[2].tolist() == [0, 0, 0]


def test_palettes(tmp_path: Path) -> None:
    plain, clear = tmp_path / "plain.png", tmp_path / "clear.png"
    image = Image.new("P", (4, 1))
    image.putpalette([255, 0, 0, 0, 255, 0, 0, 0, 255, 9, 9, 9])
    image.putdata([0, 1, 2, 3])
    image.save(plain)
    image.save(clear, transparency=bytes([255, 0, 128, 255]))
    assert load(plain)[0].tolist() == [[255, 0, 0], [0, 255, 0], [0, 0, 255], [9, 9, 9]]
    assert load(clear)[0].tolist() == [[255, 0, 0], [0, 0, 0], [0, 0, 128], [9, 9, 9]]
    gif = tmp_path / "clear.gif"
    image.save(gif, transparency=0)
    assert load(gif)[0].tolist() == [[0, 0, 0], [0, 255, 0], [0, 0, 255], [9, 9, 9]]


def test_one_colour_declared_clear(tmp_path: Path) -> None:
    for mode, clear, other in (("RGB", (1, 2, 3), (9, 8, 7)), ("L", 77, 78)):
        path = tmp_path / f"{mode}.png"
        image = Image.new(mode, (2, 1), other)
        image.putpixel((0, 0), clear)
        image.save(path, transparency=clear)
        assert load(path)[0, 0].tolist() == [0, 0, 0], mode


def test_black_and_white(tmp_path: Path) -> None:
    path = tmp_path / "photo.tif"
    Image.fromarray(np.array([[True, False]])).save(path)
    assert load(path)[0].tolist() == [[255, 255, 255], [0, 0, 0]]


@pytest.mark.parametrize("size", [(4000, 20), (20, 4000), (1, 1), (3, 2)])
def test_odd_shapes(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "photo.png"
    Image.new("RGB", size, (9, 8, 7)).save(path)
    assert load_photo(path).size == size


def test_formats_by_content_not_by_name(tmp_path: Path) -> None:
    path = tmp_path / "photo.jpg"
    Image.new("RGB", (4, 4), (9, 8, 7)).save(path, format="PNG")
    assert load(path)[0, 0].tolist() == [9, 8, 7]


@pytest.mark.parametrize("kind", ["webp", "bmp", "avif", "jp2", "ppm"])
def test_other_formats(tmp_path: Path, kind: str) -> None:
    path = tmp_path / f"photo.{kind}"
    Image.new("RGB", (32, 32), (200, 120, 40)).save(path)
    assert abs(load(path) - (200, 120, 40)).max() <= 6


def test_a_jpeg_is_decoded_as_small_as_will_do(tmp_path: Path) -> None:
    path = tmp_path / "photo.jpg"
    Image.new("RGB", (1601, 1200)).save(path)
    sizes = {
        (1601, 1200): (1601, 1200),
        (801, 600): (1601, 1200),
        (800, 600): (801, 600),
        (401, 100): (801, 600),
        (400, 100): (401, 300),
        (10, 10): (201, 150),
        (5000, 5000): (1601, 1200),
    }
    for least, wanted in sizes.items():
        assert load_photo(path, least).size == wanted
    assert load_photo(path, (400, 300), Box(0.2, 0.2, 0.5, 0.5)).size == (801, 600)
    assert open_photo(path, (10, 10)).size == (1601, 1200)
    assert open_photo(path, (10, 10)).reduction == 8


def test_a_small_decode_shows_the_same_picture(tmp_path: Path) -> None:
    path = tmp_path / "photo.jpg"
    with Image.open(SAMPLES / "coffee.png") as image:
        image.save(path, quality=95)
    small = load_photo(path, least=(300, 200))
    assert small.size == (300, 200)
    whole = load_photo(path).reduce(2)
    difference = np.asarray(small).astype(int) - np.asarray(whole)
    assert 10 * np.log10(255**2 / (difference**2).mean()) > 38


FAULTS = {
    "empty.jpg": "the file is empty; copy it from the camera again",
    "text.jpg": (
        "this is no photo that can be read; allowed: JPEG, PNG, TIFF, WebP, or HEIC with the"
        " extra heic"
    ),
    "gone.jpg": "there is no such photo; check the name",
    "folder.jpg": (
        "the photo cannot be read (Is a directory);"
        " copy it from the camera again, or export it anew"
    ),
    "floats.tif": (
        "its pixels are stored in a way that is not read (F);"
        " save it as JPEG, or as PNG or TIFF with 8 or 16 bits a channel"
    ),
    "bomb.png": "the photo has more than 300 million pixels; make it smaller",
}


def faulty(folder: Path, name: str) -> Path:
    path = folder / name
    if name == "empty.jpg":
        path.touch()
    elif name == "text.jpg":
        path.write_text("Shot 10: the quay at dusk.\n" * 20, encoding="utf-8")
    elif name == "folder.jpg":
        path.mkdir()
    elif name == "floats.tif":
        tifffile.imwrite(path, np.zeros((4, 4), np.float32))
    elif name == "bomb.png":
        head = io.BytesIO()
        Image.new("1", (1, 1)).save(head, "PNG")
        width, height = 30_000, LARGEST // 30_000 + 1
        size = width.to_bytes(4, "big") + height.to_bytes(4, "big")
        chunk = b"IHDR" + size + head.getvalue()[24:29]
        crc = __import__("zlib").crc32(chunk).to_bytes(4, "big")
        path.write_bytes(head.getvalue()[:12] + chunk + crc + head.getvalue()[33:])
    return path


@pytest.mark.parametrize("name", FAULTS)
def test_what_is_no_photo_is_named(tmp_path: Path, name: str) -> None:
    path = faulty(tmp_path, name)
    with pytest.raises(MediaError) as error:
        load_photo(path)
    assert str(error.value) == f"{path}: {FAULTS[name]}"


@pytest.mark.parametrize("kind", ["jpg", "png", "webp", "tif", "gif", "bmp"])
@pytest.mark.parametrize("part", [0.5, 0.9])
@pytest.mark.parametrize("least", [None, (40, 30)])
def test_a_truncated_photo_is_named(
    tmp_path: Path, kind: str, part: float, least: tuple[int, int] | None
) -> None:
    path = tmp_path / f"photo.{kind}"
    noise = np.random.default_rng(5).integers(0, 255, (120, 160, 3), np.uint8)
    Image.fromarray(noise).save(path)
    whole = path.read_bytes()
    path.write_bytes(whole[: int(len(whole) * part)])
    with pytest.raises(MediaError) as error:
        load_photo(path, least)
    words = str(error.value)
    assert words.startswith(f"{path}: ")
    assert (
        "the photo is cut short: " in words
        or "or cut short" in words
        or "this is no photo" in words
    )


def test_damage_anywhere_is_a_media_error_or_a_picture(tmp_path: Path) -> None:
    """Random bytes overwritten in files of every kind never raise anything else."""
    random = np.random.default_rng(11)
    path = tmp_path / "photo"
    noise = Image.fromarray(random.integers(0, 255, (24, 32, 3), np.uint8))
    exif = Image.Exif()
    exif[0x0112] = 6
    for kind in ("JPEG", "PNG", "TIFF", "WEBP", "GIF", "BMP"):
        whole = io.BytesIO()
        noise.save(whole, kind, **({} if kind in ("GIF", "BMP") else {"exif": exif}))
        for _ in range(60):
            data = bytearray(whole.getvalue())
            for at in random.integers(0, len(data), 4):
                data[at] = random.integers(0, 256)
            path.write_bytes(data)
            with warnings.catch_warnings():
                # A decoder may warn of what it mends.
                warnings.simplefilter("ignore")
                with contextlib.suppress(MediaError):
                    assert load_photo(path, least=(8, 8)).mode == "RGB"


@pytest.mark.parametrize("kind", ["jpg", "png", "webp"])
@pytest.mark.parametrize("exif", [b"junk", b"II*\0", b"Exif\0\0II*\0\xff\xff\xff\x7fjunk"])
def test_damaged_exif_does_not_cost_the_picture(tmp_path: Path, kind: str, exif: bytes) -> None:
    path = tmp_path / f"photo.{kind}"
    Image.new("RGB", (8, 8), (9, 8, 7)).save(path, exif=exif)
    assert load_photo(path).size == (8, 8)


def test_large_photos_are_read_without_a_warning(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The largest sensors have more pixels than Pillow allows by itself."""
    path = tmp_path / "photo.png"
    Image.new("RGB", (40, 40), (9, 8, 7)).save(path)
    for limit in (1000, 500):  # Pillow would warn, and refuse.
        monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", limit)
        assert load_photo(path).size == (40, 40)
        assert limit == Image.MAX_IMAGE_PIXELS


@pytest.mark.skipif(find_spec("pi_heif") is not None, reason="the extra 'heic' is installed")
def test_a_heic_without_the_part_that_reads_it() -> None:
    path = Path(__file__).parent / "turned.heic"
    with pytest.raises(MediaError) as error:
        load_photo(path)
    assert str(error.value) == (
        f"{path}: HEIC photos need one more part; install animatic with its extra 'heic',"
        " or export the photo as JPEG"
    )


def test_many_threads_read_the_same(tmp_path: Path) -> None:
    names = [SAMPLES / name for name in (*EXACT, *LOSSY)] * 3
    once = {path: load(path) for path in set(names)}
    with ThreadPoolExecutor(8) as pool:
        for path, found in zip(names, pool.map(load, names), strict=True):
            assert np.array_equal(found, once[path])


def test_the_file_is_closed(tmp_path: Path) -> None:
    code = (
        "import gc, sys; from pathlib import Path; from animatic.picture import load_photo\n"
        "for name in sys.argv[1:]: load_photo(Path(name)); gc.collect()"
    )
    names = ("coffee.png", "rocket.jpg", "multipage.tif", "no_time_for_that_tiny.gif")
    files = [str(SAMPLES / name) for name in names]
    done = subprocess.run(
        [sys.executable, "-W", "always", "-c", code, *files],
        check=True,
        capture_output=True,
        text=True,
    )
    assert done.stderr == ""


def test_what_runs_other_programs_is_not_read() -> None:
    assert "EPS" not in photo_formats()
