"""Keypoints of photos: where they are, how light it is there, and photos of all kinds."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from scipy.spatial import cKDTree

from animatic.board import keypoints as module
from animatic.board.keypoints import Keypoints, keypoints_in, look_for_keypoints
from tests.photographs import exposed, photograph, save

with_colour = pytest.importorskip("colour")


def of_file(path: Path) -> Keypoints:
    return look_for_keypoints([path])[path]


def test_the_light_is_the_mean_of_a_square_in_linear_light() -> None:
    """Against colour-science's curve of sRGB and numpy's mean, on squares of whole pixels."""
    codes = photograph("coffee")
    light = with_colour.cctf_decoding(codes / 255, function="sRGB").astype(np.float32)
    at = np.array([[20.5, 30.5], [300.5, 200.5], [2.5, 3.5], [598.5, 398.5]], np.float32)
    found = module._means(light, at, np.array([4.0, 7.0, 10.0, 10.0]))
    for number, ((x, y), reach) in enumerate(zip(at + 0.5, (4, 7, 10, 10), strict=True)):
        left, top, right, bottom = (
            int(max(0, n)) for n in (x - reach, y - reach, x + reach, y + reach)
        )
        wanted = light[top:bottom, left:right].reshape(-1, 3).mean(axis=0)
        assert found[number] == pytest.approx(wanted, abs=1e-5)


def test_an_exposure_is_an_offset_of_all_lights() -> None:
    """At the very same places, where nothing is burnt out or black."""
    picture = photograph("coffee")
    found, darker = (keypoints_in(Image.fromarray(exposed(picture, -part))) for part in (0, 0.8))
    there = {tuple(place): row for row, place in enumerate(np.round(found.at, 1).tolist())}
    rows = [
        (there[tuple(place)], row)
        for row, place in enumerate(np.round(darker.at, 1).tolist())
        if tuple(place) in there
    ]
    assert len(rows) > 300
    one, other = np.array(rows).T
    apart = found.lights[one] - darker.lights[other]
    apart = apart[np.isfinite(apart).all(axis=1)]
    assert np.median(apart, axis=0) == pytest.approx([80] * 3, abs=1)


def test_what_is_burnt_out_or_black_has_no_light() -> None:
    picture = photograph("coffee").copy()
    picture[:, :200] = np.where(picture[:, :200] > 90, 255, 0)
    found = keypoints_in(Image.fromarray(picture))
    left, right = found.at[:, 0] < 190, found.at[:, 0] > 240
    assert left.sum() > 20
    assert np.isnan(found.lights[left]).all()
    assert np.isfinite(found.lights[right]).all(axis=1).mean() > 0.7


@pytest.mark.parametrize("kind", ["jpg", "png", "webp", "tif"])
@pytest.mark.parametrize("turn", [1, 6, 3])
def test_photos_are_searched_upright(tmp_path: Path, kind: str, turn: int) -> None:
    picture = photograph("coffee")
    exif = Image.Exif()
    exif[0x0112] = turn
    stored = np.rot90(picture, {1: 0, 6: 1, 3: 2}[turn])
    save(stored, tmp_path / f"turned.{kind}", exif)
    save(picture, tmp_path / f"plain.{kind}")
    turned, plain = (of_file(tmp_path / f"{name}.{kind}") for name in ("turned", "plain"))
    assert turned.size == plain.size == (600, 400)
    apart, _ = cKDTree(plain.at).query(turned.at)
    assert (apart < 2).mean() > 0.5


def test_a_large_photo_is_searched_at_1600_pixels(tmp_path: Path) -> None:
    large = Image.fromarray(photograph("coffee")).resize((4800, 3200), Image.Resampling.BICUBIC)
    for name in ("large.jpg", "large.png"):
        large.save(tmp_path / name)
        found = of_file(tmp_path / name)
        assert found.size == (1600, 1066)
        assert found.at.max(axis=0) == pytest.approx([1600, 1066], rel=0.1)
        assert len(found.at) > 500


def test_damaged_and_missing_photos_are_left_out(tmp_path: Path) -> None:
    whole, cut = tmp_path / "whole.jpg", tmp_path / "cut.jpg"
    save(photograph("coffee"), whole)
    cut.write_bytes(whole.read_bytes()[:9000])
    found = look_for_keypoints([cut, tmp_path / "none.jpg", whole, tmp_path, whole])
    assert list(found) == [whole]


@pytest.mark.parametrize("mode", ["L", "1", "P", "RGBA", "CMYK", "I;16"])
def test_photos_of_every_colour_and_of_few_pixels_are_no_hindrance(
    tmp_path: Path, mode: str
) -> None:
    path = tmp_path / ("few.tif" if mode == "CMYK" else "few.png")
    Image.new(mode, (5, 4)).save(path)
    found = of_file(path)
    assert found.size == (5, 4)
    assert found.described.shape == (len(found.at), 128)
