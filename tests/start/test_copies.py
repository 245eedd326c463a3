"""Copies of a photo that stand apart in the order are found; others that look alike are not."""

from __future__ import annotations

from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw

from animatic.start.draft import draft_board
from animatic.start.look import Look, distance, look_at_photos

PHOTOS = Path(__file__).parents[2] / "demo_board" / "photos"
NINE = datetime(2026, 2, 21, 9, 0, 0)


def scene(seed: int) -> Image.Image:
    values = np.random.default_rng(seed).integers(0, 255, (9, 14, 3), np.uint8)
    return Image.fromarray(values).resize((1200, 800), Image.Resampling.BICUBIC)


def write(path: Path, picture: Image.Image, taken: datetime | None, quality: int = 92) -> None:
    exif = Image.Exif()
    if taken is not None:
        exif.get_ifd(0x8769)[0x9003] = taken.strftime("%Y:%m:%d %H:%M:%S")
    picture.save(path, quality=quality, exif=exif)


def day(folder: Path) -> list[str]:
    """Write six photos, ten minutes apart; return the names of those on the board."""
    for number in range(6):
        write(folder / f"p{number}.jpg", scene(number), NINE + timedelta(minutes=10 * number))
    return [f"p{number}.jpg" for number in range(6)]


def drawn(folder: Path) -> tuple[list[str], list[str]]:
    """Return the photos on the board, and those in comments under the one they are like."""
    looks, faults = look_at_photos(folder.iterdir())
    assert not faults
    lines = [line.strip() for line in draft_board(looks, "Day").text.splitlines()]
    kept, left = [], []
    for line in lines:
        if line.startswith("photo: "):
            kept.append(line.split()[1])
        if line.startswith("# nearly the same: "):
            left.append(f"{kept[-1]} {line.split()[-1]}")
    return kept, left


@pytest.mark.parametrize("name", ["a_copy.jpg", "p2_copy.jpg", "z_copy.jpg"])
@pytest.mark.parametrize(("width", "quality"), [(1200, 40), (700, 80)])
def test_a_copy_without_a_date_is_found_wherever_its_name_puts_it(
    tmp_path: Path, name: str, width: int, quality: int
) -> None:
    names = day(tmp_path)
    copy = scene(4).resize((width, width * 2 // 3))
    write(tmp_path / name, copy, None, quality)
    assert drawn(tmp_path) == (names, [f"p4.jpg {name}"])


def test_a_copy_with_another_date_is_found(tmp_path: Path) -> None:
    names = day(tmp_path)
    write(tmp_path / "edited.jpg", scene(1), NINE + timedelta(days=3), 60)
    kept, left = drawn(tmp_path)
    assert len(kept) == len(names)
    assert len(left) == 1
    assert set(left[0].split()) == {"p1.jpg", "edited.jpg"}


def test_two_poses_before_one_set_are_two_photos(tmp_path: Path) -> None:
    """A camera on a stand sees the same set again an hour later; the puppet has moved."""
    names = day(tmp_path)
    moved = scene(1)
    ImageDraw.Draw(moved).ellipse((560, 380, 620, 440), (250, 60, 30))
    write(tmp_path / "pose.jpg", moved, NINE + timedelta(hours=1))
    apart = look_at_photos([tmp_path / "p1.jpg", tmp_path / "pose.jpg"])[0]
    assert distance(apart[0].likeness, apart[1].likeness) <= 2  # The hash alone is blind.
    assert drawn(tmp_path) == ([*names, "pose.jpg"], [])


def stand(number: int) -> Image.Image:
    """Return a photo of the demo with a plain block in it, in a second, third ... place."""
    with Image.open(PHOTOS / "quay_wide.jpg") as photo:
        posed = photo.convert("RGB").resize((1200, 800))
    left = 300 + 30 * number
    ImageDraw.Draw(posed).rectangle((left, 480, left + 40, 580), (150, 50, 40))
    return posed


@pytest.mark.parametrize("light", [1, 0.2])
@pytest.mark.parametrize("pause", [10, 3600, None])
def test_poses_in_a_row_before_one_set_are_as_many_photos(
    tmp_path: Path, pause: int | None, light: float
) -> None:
    """Nothing lies between them, and the hash hardly sees the puppet."""
    poses = 6
    for number in range(poses):
        taken = None if pause is None else NINE + timedelta(seconds=pause * number)
        posed = stand(number).point(lambda value: round(value * light))
        write(tmp_path / f"p{number}.jpg", posed, taken)
    looks, _ = look_at_photos(sorted(tmp_path.iterdir()))
    apart = [distance(a.likeness, b.likeness) for a, b in pairwise(looks)]
    assert min(apart) <= 2
    assert drawn(tmp_path) == ([f"p{number}.jpg" for number in range(poses)], [])


def test_small_steps_of_a_puppet_do_not_add_up_unseen(tmp_path: Path) -> None:
    """Each pose is nearly the one before it; the last is another than the first."""
    for number in range(20):
        with Image.open(PHOTOS / "quay_wide.jpg") as photo:
            posed = photo.convert("RGB").resize((1200, 800))
        box = (400 + 3 * number, 500, 460 + 3 * number, 620)
        ImageDraw.Draw(posed).rectangle(box, (110, 100, 95))
        write(tmp_path / f"p{number:02}.jpg", posed, NINE + timedelta(minutes=number))
    kept, left = drawn(tmp_path)
    assert len(left) > 5
    assert kept[0] == "p00.jpg"
    assert len(kept) > 2
    for name in left:
        shown, like = name.split()
        assert abs(int(like[1:3]) - int(shown[1:3])) < 8


def second_exposure(picture: Image.Image, seed: int, shake: int, gain: float) -> Image.Image:
    """Return what a camera in the hand sees a moment later: noise, shake, another exposure."""
    random = np.random.default_rng(seed)
    values = np.roll(np.asarray(picture, float), (shake // 2, shake), (0, 1)) * gain
    values = values + random.normal(0, 3, values.shape)
    return Image.fromarray(values.clip(0, 255).astype(np.uint8))


@pytest.mark.parametrize("seconds", [0, 3])
def test_a_burst_from_the_hand_is_one_photo(tmp_path: Path, seconds: float) -> None:
    for path in sorted(PHOTOS.glob("*.jpg"))[:8]:
        (tmp_path / path.stem).mkdir()
        with Image.open(path) as photo:
            picture = photo.convert("RGB")
        for number, (shake, gain) in enumerate(((0, 1.0), (12, 0.9), (-4, 1.1), (8, 1.0))):
            taken = NINE + timedelta(seconds=seconds * number)
            seen = second_exposure(picture, number, shake, gain)
            write(tmp_path / path.stem / f"{number}.jpg", seen, taken)
        kept, left = drawn(tmp_path / path.stem)
        assert (len(kept), len(left)) == (1, 3)


def test_what_was_taken_again_with_nothing_changed_is_one_photo(tmp_path: Path) -> None:
    """A camera on a stand: but for noise the photo is the same, whenever it was taken."""
    for number in range(3):
        seen = second_exposure(scene(1), number, 0, 1.0)
        write(tmp_path / f"{number}.jpg", seen, NINE + timedelta(hours=number))
    kept, left = drawn(tmp_path)
    assert (len(kept), len(left)) == (1, 2)


def test_photos_far_apart_must_be_closer_than_those_of_a_burst() -> None:
    def look(number: int, likeness: int) -> Look:
        taken = NINE + timedelta(minutes=number)
        return Look(Path(f"p{number}.jpg"), taken, likeness, 1.0, 0.0, 0.0)

    looks = [
        look(0, 0),
        look(1, 0xFFFF),
        look(2, 0b111),
        look(3, 0xFFFF << 32),
        look(4, 0b11 << 20),
    ]
    text = draft_board(looks, "Day").text
    assert text.count("- shot:") == 4
    assert "# nearly the same: p4.jpg" in text


def test_of_a_copy_and_a_dated_photo_the_dated_one_is_kept(tmp_path: Path) -> None:
    names = day(tmp_path)
    sharp = Image.fromarray(np.asarray(scene(3)))
    sharp.putpixel((600, 400), (255, 255, 255))
    write(tmp_path / "a.jpg", sharp, None, 100)
    assert drawn(tmp_path) == (names, ["p3.jpg a.jpg"])
