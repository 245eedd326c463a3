"""A move within a shot that leads nowhere: found, and said with both framings."""

from __future__ import annotations

from pathlib import Path

import pytest
from boards import HEAD, BoardFolder, panels

from animatic.timeline.findings import findings

TO = "move: {to: {left: 0.1, top: 0.2, width: 0.5, height: 0.5}}"
CROP = "crop: {left: 0.1, top: 0.2, width: 0.5, height: 0.5}"


@pytest.fixture
def folder(tmp_path: Path) -> BoardFolder:
    made = BoardFolder(tmp_path)
    made.photo("a.jpg", size=(1600, 900))
    return made


def found(folder: BoardFolder, first: str, second: str, new_shot: bool = False) -> list[str]:
    shot = "shot: 20, " if new_shot else ""
    text = panels(
        f"- {{shot: 10, photo: a.jpg, duration: 2s{first}}}\n"
        f"- {{{shot}photo: a.jpg, duration: 2s{second}}}",
        HEAD,
    )
    all_of_it = findings(folder.read(text), folder.lay_out(text))
    return [str(one) for one in all_of_it if one.kind == "move"]


def test_a_push_in_that_jumps_back_is_found(folder: BoardFolder) -> None:
    (said,) = found(folder, f", {TO}", "")
    assert said.endswith(
        "shot 10: within the shot the framing jumps, from 50 % of the photo's width, 10 % from the"
        " left and 20 % from the top, at the end of panel 1 to 100 % of the photo's width, 0 % from"
        " the left and 0 % from the top; give it the crop that the move before it ends on, or let a"
        " new shot begin here; leave it where the photo was taken so"
    )


def test_a_move_that_begins_elsewhere_is_found(folder: BoardFolder) -> None:
    (said,) = found(folder, f", {CROP}", f", {TO}")
    assert "end the panel before it where its move begins" in said


@pytest.mark.parametrize(
    ("first", "second", "new_shot"),
    [
        (f", {TO}", f", {CROP}", False),
        (f", {TO}", "", True),
        (f", {CROP}", "", False),
        ("", f", {TO}", False),
    ],
)
def test_framings_that_meet_are_none(
    folder: BoardFolder, first: str, second: str, new_shot: bool
) -> None:
    assert found(folder, first, second, new_shot) == []


def test_a_mirrored_photo_is_counted_as_it_is_seen(folder: BoardFolder) -> None:
    """As on the exposure sheets: 10 to 60 % of the photo are seen from 40 % on."""
    (said,) = found(folder, f", mirror: true, {TO}", ", mirror: true")
    assert "50 % of the photo's width, 40 % from the left" in said
