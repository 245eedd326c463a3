"""Names of photos and folders: whatever the file system holds, the board can be read."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from animatic.board import read_board
from animatic.cli import run
from animatic.start.naming import quoted
from animatic.timeline import lay_out

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="names of any bytes")


def photo(folder: Path, name: bytes, seed: int) -> None:
    values = np.random.default_rng(seed).integers(0, 255, (6, 9, 3), np.uint8)
    with open(os.path.join(os.fsencode(folder), name), "wb") as file:
        Image.fromarray(values).resize((320, 200), Image.Resampling.BICUBIC).save(file, "JPEG")


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        (b"caf\xe9.jpg", r"caf\xe9.jpg"),
        (b"two\nlines.jpg", r"two\nlines.jpg"),
        (b"tab\t.jpg", r"tab\t.jpg"),
        (b"next\xc2\x85line.jpg", r"next\x85line.jpg"),
        (b"a\\b.jpg", r"a\b.jpg"),
    ],
)
def test_a_name_that_no_board_holds_is_left_out_and_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: bytes, shown: str
) -> None:
    photo(tmp_path, b"quay.jpg", 1)
    photo(tmp_path, name, 2)
    assert run(["start", str(tmp_path)]) == 0
    said = capsys.readouterr()
    assert said.err == (
        f"{tmp_path / shown}: the name has signs that a board cannot hold;"
        " give the file another name; left out\n"
    )
    assert said.out.splitlines()[1] == (
        "1 panel on 1 setup; 0 near-duplicates, 0 damaged and 1 with a name that a board cannot"
        " hold left out of 2 photos"
    )
    assert [panel.photo.name for panel in lay_out(read_board(tmp_path)).panels] == ["quay.jpg"]


NAMES = [
    *("10.30\u202fpm.jpg", "hair\u200b.jpg", "\ufeffmark.jpg", "no\xa0break.jpg", "\uffff.jpg"),
    *(" before.jpg", '"said".jpg', "'s.jpg", "#1: on.jpg", "%41.jpg", "{a}.jpg", "🎈.jpg", "~.jpg"),
    *("\U000e0001.jpg", "- x.jpg", "a\u0301.jpg", "&a.jpg", "*.jpg", "!x.jpg"),
]


def test_every_other_name_is_read_as_it_was_written(tmp_path: Path) -> None:
    for seed, name in enumerate(NAMES):
        photo(tmp_path, name.encode(), seed)
    assert run(["start", str(tmp_path)]) == 0
    read = {panel.photo.name for panel in lay_out(read_board(tmp_path)).panels}
    assert read == set(NAMES)


def test_a_comment_cannot_break_the_board(tmp_path: Path) -> None:
    for name in ("quay.jpg", "\ufeff.jpg", "\uffff.jpg"):
        photo(tmp_path, name.encode(), 1)
    assert run(["start", str(tmp_path)]) == 0
    assert len(lay_out(read_board(tmp_path)).panels) == 1


@pytest.mark.parametrize("name", [b"d\xe9but", b"two\nlines", b"null", b"2026-02-21", b"yes"])
def test_a_folder_of_any_name_gives_a_title(tmp_path: Path, name: bytes) -> None:
    folder = Path(os.fsdecode(os.path.join(os.fsencode(tmp_path), name)))
    folder.mkdir()
    photo(folder, b"quay.jpg", 1)
    assert run(["start", str(folder)]) == 0
    (folder / "board.yaml").rename(tmp_path / "board.yaml")
    (folder / "quay.jpg").rename(tmp_path / "quay.jpg")
    shown = name.decode("utf-8", "backslashreplace").replace("\n", r"\n")
    assert read_board(tmp_path).title == shown


def test_a_word_that_means_nothing_in_yaml_is_quoted() -> None:
    assert quoted("Null") == '"Null"'
