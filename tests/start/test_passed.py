"""What `start` does not read is named: RAW photos, videos, folders with photos, broken links."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image

from animatic.cli import run
from animatic.start.passed import passed_over


def photo(path: Path) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    Image.effect_mandelbrot((320, 200), (-2, -1, 1, 1), 40).save(path)


def files(folder: Path, *names: str) -> None:
    for name in names:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(b"what a camera wrote")


def test_all_that_is_passed_over_is_named_beside_the_board(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    photo(tmp_path / "quay.jpg")
    files(tmp_path, "raw.cr2", "B.NEF", "movie.mp4", "scan.bmp", "100A/1.jpg", "100A/2.JPG")
    (tmp_path / "dangling.jpg").symlink_to("gone.jpg")
    assert run(["start", str(tmp_path)]) == 0
    said = capsys.readouterr()
    assert said.err.splitlines() == [
        f"{tmp_path}: not looked at: {words}"
        for words in (
            "2 RAW photos (B.NEF, raw.cr2); export RAW photos as JPEG or TIFF",
            "1 video (movie.mp4); save single pictures of a video as JPEG",
            "1 other picture (scan.bmp); save such pictures as JPEG or PNG",
            "1 folder (100A with 2 photos); start each folder by itself, or put all photos"
            " into one",
            "1 broken link (dangling.jpg); copy the photos themselves",
        )
    ]
    assert said.out.splitlines()[1] == (
        "1 panel on 1 setup; 0 near-duplicates and 0 damaged left out of 1 photo"
    )


def test_a_folder_without_photos_says_what_is_in_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    files(tmp_path, *(f"IMG_{n}.CR3" for n in range(1, 13)))
    photo(tmp_path / "DCIM" / "100A" / "1.jpg")
    assert run(["start", str(tmp_path)]) == 2
    assert capsys.readouterr().err.splitlines() == [
        f"{tmp_path}: not looked at: 12 RAW photos (IMG_1.CR3, IMG_2.CR3, IMG_3.CR3, IMG_4.CR3,"
        " IMG_5.CR3 and 7 more); export RAW photos as JPEG or TIFF",
        f"{tmp_path}: not looked at: 1 folder (DCIM/100A with 1 photo); start each folder by"
        " itself, or put all photos into one",
        f"{tmp_path}: no photo in this folder (JPEG, PNG, TIFF, WebP, HEIC)",
    ]
    assert not (tmp_path / "board.yaml").exists()


def test_of_what_is_no_picture_nothing_is_said(tmp_path: Path) -> None:
    photo(tmp_path / "quay.jpg")
    files(tmp_path, "notes.txt", "quay.xmp", ".hidden.cr2", ".thumbs/1.jpg", "sound/tide.wav")
    files(tmp_path, "100A/.hidden.jpg", "Thumbs.db")
    (tmp_path / "linked.jpg").symlink_to("quay.jpg")
    (tmp_path / "board_old.yaml").symlink_to("gone.yaml")
    assert passed_over(tmp_path) == []


def test_folders_are_looked_into_as_deep_as_cards_have_them(tmp_path: Path) -> None:
    files(tmp_path, "a/b/1.jpg", "a/b/c/2.jpg", "a/3.dng")
    (tmp_path / "round").symlink_to(".")
    assert passed_over(tmp_path) == [
        "2 folders (a with 1 photo, a/b with 1 photo); start each folder by itself, or put all"
        " photos into one"
    ]
