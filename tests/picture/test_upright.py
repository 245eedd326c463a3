"""Whatever looks at a photo's pixels sees the same ones: the film, the papers, the measurements."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import tifffile
from PIL import Image

from animatic.picture import load_photo
from animatic.start.look import look_at_photo
from animatic.upright import upright


def wide() -> np.ndarray:
    """16 bits of which many are nearer to the next of the 8-bit values above them."""
    return (np.arange(64 * 48, dtype=np.uint32).reshape(48, 64) * 21 + 130).astype(np.uint16)


def written(folder: Path, kind: str) -> Path:
    path = folder / kind
    if kind == "wide.png":
        Image.fromarray(wide()).save(path)
    elif kind == "wide.tif":
        tifffile.imwrite(path, wide())
    elif kind == "clear.png":
        layered = np.zeros((48, 64, 4), np.uint8)
        layered[..., 0], layered[..., 3] = 200, np.arange(64) * 4
        Image.fromarray(layered).save(path)
    elif kind == "grey.png":
        Image.new("LA", (64, 48), (180, 90)).save(path)
    else:
        exif = Image.Exif()
        exif[0x0112] = 6
        colours = np.random.default_rng(3).integers(0, 255, (48, 64, 3), np.uint8)
        Image.fromarray(colours).save(path, exif=exif)
    return path


@pytest.mark.parametrize(
    "kind", ["wide.png", "wide.tif", "clear.png", "grey.png", "turned.tif", "turned.png"]
)
def test_a_photo_is_one_picture_to_all(tmp_path: Path, kind: str) -> None:
    path = written(tmp_path, kind)
    with Image.open(path) as image:
        seen = upright(image)
    filmed = load_photo(path)
    assert np.array_equal(np.asarray(seen.convert("RGB")), np.asarray(filmed))
    assert look_at_photo(path).dark == np.mean(np.asarray(seen.convert("L")) < 12)


def test_sixteen_bits_are_rounded() -> None:
    """To the nearest of 256 steps, by numpy's own division."""
    seen = np.asarray(upright(Image.fromarray(wide())))
    assert np.array_equal(seen, np.rint(wide() / 257).astype(np.uint8))
