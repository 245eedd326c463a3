"""A first board from photos: times, order, bursts, pauses, marks, and what is left alone."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageFilter

from animatic.board import read_board
from animatic.cli import run
from animatic.start.bursts import thinned
from animatic.start.draft import draft_board, in_order
from animatic.start.look import Look, distance, look_at_photo, look_at_photos
from animatic.timeline import lay_out
from animatic.times import capture_time, natural_key

NOON = datetime(2026, 2, 21, 12, 0, 0)

# JEITA CP-3451 (Exif 2.2): DateTimeOriginal 0x9003 "YYYY:MM:DD HH:MM:SS"; SubSecTimeOriginal
# 0x9291 holds the digits behind the point; OffsetTimeOriginal 0x9011 (Exif 2.31).
TIMES = [
    ({0x9003: "2026:02:21 12:00:00"}, NOON),
    ({0x9003: "2026:02:21 12:00:00", 0x9291: "07"}, NOON.replace(microsecond=70_000)),
    ({0x9003: "2026:02:21 12:00:00", 0x9291: "5"}, NOON.replace(microsecond=500_000)),
    ({0x9003: "2026:02:21 12:00:00", 0x9291: "123456789"}, NOON.replace(microsecond=123_456)),
    (
        {0x9003: "2026:02:21 12:00:00", 0x9011: "+01:00"},
        datetime(2026, 2, 21, 11, 0, 0, tzinfo=UTC),
    ),
    (
        {0x9003: "2026:02:21 20:30:00", 0x9011: "-05:30"},
        datetime(2026, 2, 22, 2, 0, 0, tzinfo=UTC),
    ),
    ({0x9003: "2026:02:21 12:00:00", 0x9011: "   :  "}, NOON),
    ({0x9003: "    :  :     :  :  "}, None),
    ({0x9003: "0000:00:00 00:00:00"}, None),
    ({}, None),
]


@pytest.mark.parametrize(("exif", "expected"), TIMES)
def test_times_are_read_as_the_standard_writes_them(
    exif: dict[int, object], expected: datetime | None
) -> None:
    assert capture_time(exif) == expected


def scene(seed: int, size: tuple[int, int] = (900, 600)) -> Image.Image:
    """Return a picture with shapes large and small, different for every seed."""
    random = np.random.default_rng(seed)
    picture = Image.new("RGB", size, tuple(int(c) for c in random.integers(60, 190, 3)))
    for scale, how in ((3, "BICUBIC"), (6, "BICUBIC"), (12, "BICUBIC"), (150, "NEAREST")):
        grid = random.integers(0, 255, (scale * 2 // 3 + 1, scale, 3), dtype=np.uint8)
        layer = Image.fromarray(grid).resize(size, Image.Resampling[how])
        picture = Image.blend(picture, layer, 0.3 if how == "NEAREST" else 0.45)
    return picture


def write(
    path: Path, picture: Image.Image, taken: datetime | None = None, quality: int = 90
) -> Path:
    exif = Image.Exif()
    if taken is not None:
        inner = exif.get_ifd(0x8769)
        inner[0x9003] = taken.strftime("%Y:%m:%d %H:%M:%S")
        inner[0x9291] = f"{taken.microsecond // 1000:03}"
    picture.save(path, quality=quality, exif=exif)
    return path


def noisy(picture: Image.Image, seed: int, blur: float = 0, gain: float = 1) -> Image.Image:
    """Return the picture as a second exposure has it: noise, focus, exposure, a pixel's shift."""
    random = np.random.default_rng(seed)
    values = np.asarray(picture.filter(ImageFilter.GaussianBlur(blur)), float) * gain
    values = np.roll(values + random.normal(0, 3, values.shape), int(random.integers(-2, 3)), 1)
    return Image.fromarray(values.clip(0, 255).astype(np.uint8))


def test_a_burst_gives_its_sharpest_photo(tmp_path: Path) -> None:
    base = scene(1)
    for number, blur in enumerate((2.5, 0.0, 1.5)):
        taken = NOON + timedelta(milliseconds=400 * number)
        write(tmp_path / f"p{number}.jpg", noisy(base, number, blur), taken)
    write(tmp_path / "p9.jpg", scene(2), NOON + timedelta(seconds=2))
    looks, _ = look_at_photos(tmp_path.iterdir())
    kept = thinned(in_order(looks))
    assert [item.look.path.name for item in kept] == ["p1.jpg", "p9.jpg"]
    assert [other.path.name for other in kept[0].others] == ["p0.jpg", "p2.jpg"]


def test_of_a_burst_no_photo_is_kept_that_is_too_dark_to_be_judged(tmp_path: Path) -> None:
    """Noise passes for sharpness where there is little else."""
    for number, gain in enumerate((0.1, 1.0, 0.15)):
        taken = NOON + timedelta(milliseconds=400 * number)
        write(tmp_path / f"p{number}.jpg", noisy(scene(1), number, 0, gain), taken)
    looks, _ = look_at_photos(tmp_path.iterdir())
    kept = thinned(in_order(looks))
    assert [item.look.path.name for item in kept] == ["p1.jpg"]


@pytest.mark.parametrize("gain", [0.7, 1.0, 1.2])
def test_exposure_does_not_change_the_likeness(tmp_path: Path, gain: float) -> None:
    base = scene(3)
    first = look_at_photo(write(tmp_path / "a.jpg", base))
    second = look_at_photo(write(tmp_path / "b.jpg", noisy(base, 7, 0.5, gain)))
    assert distance(first.likeness, second.likeness) <= 4


def test_different_pictures_are_far_apart(tmp_path: Path) -> None:
    looks = [look_at_photo(write(tmp_path / f"{n}.jpg", scene(n))) for n in range(12)]
    apart = [distance(a.likeness, b.likeness) for i, a in enumerate(looks) for b in looks[i + 1 :]]
    assert min(apart) > 12


def look(name: str, taken: datetime | None, likeness: int = 0) -> Look:
    return Look(Path(name), taken, likeness, 1.0, 0.0, 0.0)


def test_order_is_by_time_then_by_name_and_the_unknown_keep_their_place() -> None:
    looks = [
        look("p10.jpg", NOON),
        look("p9.jpg", NOON + timedelta(minutes=5)),
        look("p11.jpg", None),
        look("p12.jpg", NOON + timedelta(minutes=1)),
        look("p2.jpg", NOON),
    ]
    assert [each.path.name for each in in_order(looks)] == [
        "p2.jpg",
        "p10.jpg",
        "p11.jpg",
        "p12.jpg",
        "p9.jpg",
    ]


def test_names_sort_as_people_sort_them() -> None:
    names = ["IMG_10.jpg", "img_9.jpg", "a.jpg", "IMG_010b.jpg"]
    assert sorted(names, key=natural_key) == ["a.jpg", "img_9.jpg", "IMG_10.jpg", "IMG_010b.jpg"]


def test_long_pauses_begin_setups() -> None:
    minutes = [0, 1, 2, 3, 40, 41, 42, 90]
    bits = [0xFFFF << (7 * n) & (2**64 - 1) for n in range(8)]
    looks = [look(f"{n}.jpg", NOON + timedelta(minutes=m), bits[n]) for n, m in enumerate(minutes)]
    draft = draft_board(looks, "Day")
    setups = [line.strip() for line in draft.text.splitlines() if "setup: " in line]
    assert setups == [f"setup: setup-{n}" for n in (1, 1, 1, 1, 2, 2, 2, 3)]
    assert draft.setups == 3


def test_half_an_hour_begins_a_setup_however_few_and_slow_the_photos() -> None:
    """Most pauses of such a day are long, so none is long beside the others."""
    minutes = [0, 20, 20.5, 60, 61, 90, 125]
    bits = [0xFFFF << (7 * n) & (2**64 - 1) for n in range(7)]
    looks = [look(f"{n}.jpg", NOON + timedelta(minutes=m), bits[n]) for n, m in enumerate(minutes)]
    draft = draft_board(looks, "Day")
    setups = [line.strip() for line in draft.text.splitlines() if "setup: " in line]
    assert setups == [f"setup: setup-{n}" for n in (1, 1, 1, 2, 2, 2, 3)]


def test_soft_dark_and_burnt_photos_are_marked(tmp_path: Path) -> None:
    for number in range(4):
        write(tmp_path / f"p{number}.jpg", scene(number), NOON + timedelta(seconds=20 * number))
    soft = scene(10).filter(ImageFilter.GaussianBlur(12))
    write(tmp_path / "p4.jpg", soft, NOON + timedelta(seconds=100))
    dark = scene(11).point(lambda value: value // 30)
    write(tmp_path / "p5.jpg", dark, NOON + timedelta(seconds=120))
    burnt = scene(12).point(lambda value: min(255, value * 4))
    write(tmp_path / "p6.jpg", burnt, NOON + timedelta(seconds=140))
    looks, _ = look_at_photos(tmp_path.iterdir())
    text = draft_board(looks, "Day").text
    marks = {
        line.split()[1]: line.partition("#")[2].strip()
        for line in text.splitlines()
        if line.strip().startswith("photo:")
    }
    assert marks["p0.jpg"] == marks["p3.jpg"] == ""
    assert "soft" in marks["p4.jpg"]
    assert "dark" in marks["p5.jpg"]
    assert "burnt out" in marks["p6.jpg"]


def test_the_board_assembles_and_the_photos_are_untouched(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    names = ["a.jpg", "b 2.jpg", "on.jpg", "ü#.jpg"]
    for number, name in enumerate(names):
        write(tmp_path / name, scene(number), NOON + timedelta(minutes=number))
    (tmp_path / "cut.jpg").write_bytes((tmp_path / "a.jpg").read_bytes()[:4000])
    (tmp_path / "notes.txt").write_text("not a photo")
    before = {p: hashlib.sha256(p.read_bytes()).hexdigest() for p in tmp_path.iterdir()}
    assert run(["start", str(tmp_path), "--title", "A day: one"]) == 0
    said = capsys.readouterr()
    assert said.err.startswith(
        f"{tmp_path / 'cut.jpg'}: the photo is cut short: the file ends after "
    )
    assert said.out == (
        f"{tmp_path / 'board.yaml'}\n"
        "4 panels on 1 setup; 0 near-duplicates and 1 damaged left out of 5 photos\n"
    )
    assert {p: hashlib.sha256(p.read_bytes()).hexdigest() for p in before} == before
    board = read_board(tmp_path)
    assert board.title == "A day: one"
    assert [panel.photo.name for panel in lay_out(board).panels] == names


def test_a_folder_without_photos_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["start", str(tmp_path)]) == 2
    assert run(["start", str(tmp_path / "none")]) == 2
    assert capsys.readouterr().err == (
        f"{tmp_path}: no photo in this folder (JPEG, PNG, TIFF, WebP, HEIC)\n"
        f"{tmp_path / 'none'}: there is no such folder; name the folder with the photos\n"
    )
