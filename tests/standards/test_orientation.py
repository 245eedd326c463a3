"""EXIF orientation: JEITA CP-3451 (Exif 2.2), tag 0x0112, against the standard's table.

Pillow's own `exif_transpose` is the second reference.
"""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageOps

from animatic.board.media import measure_photo
from animatic.picture import load_photo
from animatic.timeline.model import Box

SCENE = {"TL": (200, 30, 30), "TR": (30, 180, 40), "BL": (40, 60, 200), "BR": (210, 200, 40)}
WIDTH, HEIGHT = 64, 48

# Orientation: what the stored picture shows at its corners TL, TR, BL, BR of the upright scene.
STORED = {
    1: "TL TR BL BR",
    2: "TR TL BR BL",
    3: "BR BL TR TL",
    4: "BL BR TL TR",
    5: "TL BL TR BR",
    6: "TR BR TL BL",
    7: "BR TR BL TL",
    8: "BL TL BR TR",
}
SIDEWAYS = (5, 6, 7, 8)
# Reserved by the standard: the picture is left as it is stored.
RESERVED = (0, 9, 255)
FORMATS = {
    "jpg": {"quality": 95, "subsampling": 0},
    "png": {},
    "webp": {"lossless": True},
    "tif": {"compression": "tiff_lzw"},
}


def stored(orientation: int, times: int = 1) -> Image.Image:
    """The picture as a camera stores it, `times` larger than the scene."""
    size = (HEIGHT, WIDTH) if orientation in SIDEWAYS else (WIDTH, HEIGHT)
    image = Image.new("RGB", (size[0] * times, size[1] * times))
    half = image.width // 2, image.height // 2
    for place, name in enumerate(STORED.get(orientation, STORED[1]).split()):
        left, top = place % 2 * half[0], place // 2 * half[1]
        image.paste(SCENE[name], (left, top, left + half[0], top + half[1]))
    return image


def saved(folder: Path, kind: str, orientation: int, times: int = 1) -> Path:
    exif = Image.Exif()
    exif[0x0112] = orientation
    path = folder / f"photo.{kind}"
    how = FORMATS[kind]
    if kind == "tif" and orientation in RESERVED:
        how = {}  # The compressing writer refuses reserved values.
    stored(orientation, times).save(path, exif=exif, **how)
    return path


def corners(image: Image.Image) -> dict[str, tuple[int, int, int]]:
    """The corner of SCENE that each corner of a picture shows."""
    x, y = (image.width // 8, image.width * 7 // 8), (image.height // 8, image.height * 7 // 8)
    places = {"TL": (x[0], y[0]), "TR": (x[1], y[0]), "BL": (x[0], y[1]), "BR": (x[1], y[1])}
    seen = {}
    for name, place in places.items():
        pixel = np.array(image.getpixel(place), int)
        seen[name] = min(SCENE, key=lambda known: int(abs(pixel - SCENE[known]).max()))
        assert abs(pixel - SCENE[seen[name]]).max() <= 4
    return seen


UPRIGHT = {name: name for name in SCENE}


@pytest.mark.parametrize("kind", FORMATS)
@pytest.mark.parametrize("orientation", [*STORED, *RESERVED])
def test_its_size_is_measured_upright(tmp_path: Path, kind: str, orientation: int) -> None:
    found = measure_photo(saved(tmp_path, kind, orientation))
    assert (found.width, found.height) == (WIDTH, HEIGHT)


@pytest.mark.parametrize("kind", FORMATS)
@pytest.mark.parametrize("orientation", [*STORED, *RESERVED])
def test_the_scene_stands_upright(tmp_path: Path, kind: str, orientation: int) -> None:
    image = load_photo(saved(tmp_path, kind, orientation))
    assert image.mode == "RGB"
    assert image.size == (WIDTH, HEIGHT)
    assert corners(image) == UPRIGHT


@pytest.mark.parametrize("kind", FORMATS)
@pytest.mark.parametrize("orientation", [*STORED, *RESERVED])
def test_pillow_turns_it_alike(tmp_path: Path, kind: str, orientation: int) -> None:
    path = saved(tmp_path, kind, orientation)
    with Image.open(path) as image:
        reference = ImageOps.exif_transpose(image).convert("RGB")
    assert np.array_equal(np.asarray(load_photo(path)), np.asarray(reference))


@pytest.mark.parametrize("orientation", STORED)
def test_a_jpeg_decoded_smaller_stands_upright(tmp_path: Path, orientation: int) -> None:
    path = saved(tmp_path, "jpg", orientation, times=10)
    image = load_photo(path, least=(WIDTH * 2, HEIGHT * 2))
    assert image.size == (WIDTH * 10 // 4, HEIGHT * 10 // 4)
    assert corners(image) == UPRIGHT


@pytest.mark.parametrize("orientation", STORED)
def test_enough_pixels_are_left_for_a_part_of_the_upright_photo(
    tmp_path: Path, orientation: int
) -> None:
    path = saved(tmp_path, "jpg", orientation, times=10)
    # A quarter of the width and all of the height: 160 x 480 pixels, for 160 x 100 wanted.
    image = load_photo(path, least=(160, 100), box=Box(0.5, 0.0, 0.25, 1.0))
    assert image.size == (640, 480)
    # All of the width and a quarter of the height: 640 x 120, for 160 x 30 wanted.
    image = load_photo(path, least=(160, 30), box=Box(0.0, 0.5, 1.0, 0.25))
    assert image.size == (160, 120)


def test_what_is_loaded_is_not_turned_again(tmp_path: Path) -> None:
    image = load_photo(saved(tmp_path, "webp", 6))
    assert ImageOps.exif_transpose(image).size == image.size
    assert image.info == {}


@pytest.mark.skipif(find_spec("pi_heif") is None, reason="needs the extra 'heic'")
def test_a_heic_that_was_stored_turned_stands_upright() -> None:
    # Written as phones do: stored sideways, with a rotation property and orientation 6.
    image = load_photo(Path(__file__).parent.parent / "picture" / "turned.heic")
    assert image.size == (WIDTH, HEIGHT)
    assert corners(image) == UPRIGHT
