"""Soft photos: those with nothing sharp in them; a close-up before a blurred ground is not."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageFilter

from animatic.start.draft import draft_board
from animatic.start.look import look_at_photos

PHOTOS = sorted((Path(__file__).parents[2] / "demo_board" / "photos").glob("*.jpg"))


def marked(paths: list[Path]) -> set[str]:
    """Return the names of the photos that are marked as soft."""
    looks, faults = look_at_photos(paths)
    assert not faults
    lines = draft_board(looks, "Day").text.splitlines()
    return {line.split()[1] for line in lines if "photo: " in line and "soft" in line}


def blurred(folder: Path, blur: float, noise: float = 0) -> list[Path]:
    """Write the demo's photos, 2160 pixels wide, out of focus and with a sensor's noise."""
    random = np.random.default_rng(7)
    for path in PHOTOS:
        with Image.open(path) as photo:
            picture = photo.filter(ImageFilter.GaussianBlur(blur))
        if noise:
            values = np.asarray(picture, np.float32)
            grain = random.normal(0, noise, values.shape).astype(np.float32)
            picture = Image.fromarray((values + grain).clip(0, 255).astype(np.uint8))
        picture.save(folder / path.name, quality=92)
    return sorted(folder.iterdir())


def test_no_photo_of_the_demo_is_soft() -> None:
    assert len(PHOTOS) > 20
    assert marked(PHOTOS) == set()


@pytest.mark.parametrize(("blur", "noise"), [(4, 0), (6, 3)])
def test_each_of_them_is_soft_when_out_of_focus(tmp_path: Path, blur: float, noise: float) -> None:
    paths = blurred(tmp_path, blur, noise)
    looks, _ = look_at_photos(paths)
    on_board = {
        line.split()[1] for line in draft_board(looks, "").text.splitlines() if "photo: " in line
    }
    assert marked(paths) == on_board


def test_a_small_sharp_part_is_enough(tmp_path: Path) -> None:
    with Image.open(next(path for path in PHOTOS if path.stem == "odd_ms")) as photo:
        sharp = photo.convert("RGB")
    soft = sharp.filter(ImageFilter.GaussianBlur(12))
    width, height = sharp.size
    box = (width // 3, height // 3, width * 2 // 3, height * 2 // 3)
    soft.save(tmp_path / "soft.jpg", quality=92)
    soft.paste(sharp.crop(box), box)
    soft.save(tmp_path / "close.jpg", quality=92)
    assert marked([tmp_path / "soft.jpg"]) == {"soft.jpg"}
    assert marked([tmp_path / "close.jpg"]) == set()


@pytest.mark.parametrize("light", [0.5, 0.3, 0.2, 0.1, 0.03])
def test_a_sharp_photo_is_not_soft_for_being_dark(tmp_path: Path, light: float) -> None:
    """Its detail is as much fainter as all else in it, down to where nothing can be told."""
    for path in PHOTOS[::2]:
        with Image.open(path) as photo:
            dark = photo.convert("RGB").point(lambda value: round(value * light))
        dark.save(tmp_path / path.name, quality=90)
    assert marked(sorted(tmp_path.iterdir())) == set()


def test_a_photo_out_of_focus_is_soft_in_half_the_light(tmp_path: Path) -> None:
    for path in PHOTOS[::4]:
        with Image.open(path) as photo:
            dark = photo.convert("RGB").point(lambda value: value // 2)
        dark.filter(ImageFilter.GaussianBlur(4)).save(tmp_path / path.name, quality=90)
    paths = sorted(tmp_path.iterdir())
    assert marked(paths) == {path.name for path in paths}


@pytest.mark.parametrize("noise", [0, 3])
@pytest.mark.parametrize("shade", [0, 128, 255])
def test_a_photo_of_nothing_is_not_called_soft(tmp_path: Path, shade: int, noise: float) -> None:
    """Black with a cap on, white, grey: there is nothing in it that could be sharp."""
    values = np.random.default_rng(7).normal(shade, noise, (1000, 1500)).clip(0, 255)
    Image.fromarray(values.astype(np.uint8)).save(tmp_path / "flat.jpg")
    assert marked([tmp_path / "flat.jpg"]) == set()


@pytest.mark.parametrize("size", [(1, 1), (40, 30), (300, 20)])
def test_a_tiny_picture_is_not_judged(tmp_path: Path, size: tuple[int, int]) -> None:
    Image.new("RGB", size, (90, 80, 70)).save(tmp_path / "tiny.png")
    assert marked([tmp_path / "tiny.png"]) == set()
