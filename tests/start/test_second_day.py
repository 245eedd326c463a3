"""A second day's photos: the board stays, and rows for what it does not name are printed."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
import yaml
from PIL import Image

from animatic.cli import run

NINE = datetime(2026, 2, 21, 9, 0, 0)
Capture = pytest.CaptureFixture[str]


def write(folder: Path, name: str, seed: int, minutes: int) -> None:
    values = np.random.default_rng(seed).integers(0, 255, (9, 14, 3), np.uint8)
    exif = Image.Exif()
    taken = NINE + timedelta(minutes=minutes)
    exif.get_ifd(0x8769)[0x9003] = taken.strftime("%Y:%m:%d %H:%M:%S")
    picture = Image.fromarray(values).resize((900, 600), Image.Resampling.BICUBIC)
    picture.save(folder / name, quality=92, exif=exif)


def test_rows_for_new_photos_go_on_where_the_board_ends(tmp_path: Path, capsys: Capture) -> None:
    for number in range(3):
        write(tmp_path, f"p{number}.jpg", number, number)
    # As a card is copied twice; the copy differs in nothing.
    (tmp_path / "p1 (1).jpg").write_bytes((tmp_path / "p1.jpg").read_bytes())
    assert run(["start", str(tmp_path)]) == 0
    board = tmp_path / "board.yaml"
    before = board.read_bytes()
    for number, minutes in ((8, 700), (7, 701)):
        write(tmp_path, f"p{number}.jpg", number, minutes)
    (tmp_path / "p9.jpg").write_bytes(b"no photo")
    capsys.readouterr()
    assert run(["start", str(tmp_path)]) == 0
    out, err = capsys.readouterr()
    assert [(row["shot"], row["photo"]) for row in yaml.safe_load(out)] == [
        (40, "p8.jpg"),
        (50, "p7.jpg"),
    ]
    assert f"{board} is there already and stays as it is; it does not name 2 photos" in err
    assert "p9.jpg" in err
    assert board.read_bytes() == before
    # They can be put in as they are.
    board.write_bytes(before + out.encode())
    (tmp_path / "p9.jpg").unlink()
    assert run(["check", str(tmp_path)]) == 0
    capsys.readouterr()
    assert run(["start", str(tmp_path)]) == 2
    assert capsys.readouterr().err == (
        f"{board}: there is a board already, and it names every photo; work on with it, or move"
        " it away\n"
    )


def test_of_copies_that_are_the_same_the_original_is_kept(tmp_path: Path) -> None:
    write(tmp_path, "DSC04714.JPG", 1, 0)
    for copy in ("DSC04714 (1).JPG", "DSC04714 copy.JPG", "A DSC04714.JPG"):
        (tmp_path / copy).write_bytes((tmp_path / "DSC04714.JPG").read_bytes())
    assert run(["start", str(tmp_path)]) == 0
    text = (tmp_path / "board.yaml").read_text()
    assert "photo: DSC04714.JPG" in text
    assert text.count("# nearly the same: ") == 3


def test_a_board_that_is_no_board_stays_too(tmp_path: Path, capsys: Capture) -> None:
    write(tmp_path, "a.jpg", 1, 0)
    (tmp_path / "board.yaml").write_text("mine: a.jpg")
    assert run(["start", str(tmp_path)]) == 2
    assert (tmp_path / "board.yaml").read_text() == "mine: a.jpg"
    assert "it names every photo" in capsys.readouterr().err
