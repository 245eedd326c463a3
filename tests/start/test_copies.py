"""Copies of a photo that stand apart in the order are found; others that look alike are not."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw

from animatic.start.draft import draft_board
from animatic.start.look import Look, look_at_photos

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
    assert (apart[0].likeness ^ apart[1].likeness).bit_count() <= 2  # The hash alone is blind.
    assert drawn(tmp_path) == ([*names, "pose.jpg"], [])


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
