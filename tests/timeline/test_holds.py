"""How long a picture stands still: what check says of it, and that no frame of it differs."""

from __future__ import annotations

from pathlib import Path
from random import Random

import numpy as np
import pytest
from PIL import Image

from animatic.picture import PictureMaker
from animatic.timeline.holds import holds
from tests.boards import HEAD, BoardFolder, panels

CARRY = "a move, another panel or a cut would carry it"
NEAR = "move: {to: {left: 0.25, top: 0.25, width: 0.5, height: 0.5}"


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    board = BoardFolder(tmp_path)
    dots = np.random.default_rng(1).integers(0, 255, (90, 160, 3), np.uint8)
    for name in ("a.jpg", "b.jpg"):
        Image.fromarray(dots).save(board.path(name))
    return board


def found(board: BoardFolder, text: str) -> list[str]:
    return [line.split(": ", 1)[1] for line in board.found("hold", text)]


def one(duration: str, more: str = "") -> str:
    return f"- {{shot: 10, photo: a.jpg, duration: {duration}{more and ', ' + more}}}"


def test_a_photo_that_stands_long(board: BoardFolder) -> None:
    assert board.found("hold", one("193f")) == [
        f"4:3: shot 10: panel 1 holds for 8.0 s without a move; {CARRY}"
    ]
    assert found(board, one("192f")) == []
    assert found(board, one("20s", f"{NEAR}}}")) == []


@pytest.mark.parametrize(
    ("how", "words"),
    [
        # 480 frames: the move's first frame still shows where it begins.
        ("start: 0s, length: 1s", ["19.0 s after its move"]),
        ("start: 19s, length: 23f", ["19.0 s before its move"]),
        ("start: 9s, length: 2s", ["9.0 s before its move"]),
        ("start: 8s, length: 4s", ["8.0 s before its move"]),
        ("start: 6s, length: 6s", []),
        ("start: 7s, length: 6s", []),
    ],
)
def test_the_longest_rest_beside_a_move_counts(
    board: BoardFolder, how: str, words: list[str]
) -> None:
    text = one("20s", f"{NEAR}, {how}}}")
    assert found(board, text) == [f"shot 10: panel 1 holds for {each}; {CARRY}" for each in words]


@pytest.mark.parametrize(
    "keys",
    [
        "move: {to: {}}",
        "move: {to: {width: 1, height: 1}, length: 19s}",
        "crop: {width: 0.5, height: 0.5}, move: {to: {width: 0.5, height: 0.5}}",
        # Under a pixel of the picture.
        "move: {to: {left: 0.002, width: 0.996, top: 0.002, height: 0.996}}",
        # Another crop, that fills the picture with the same.
        "move: {to: {left: 0, width: 1, top: 0, height: 1}}, fit: contain",
    ],
)
def test_a_move_that_goes_nowhere_is_none(board: BoardFolder, keys: str) -> None:
    assert found(board, one("20s", keys)) == [
        f"shot 10: panel 1 holds for 20.0 s: its move ends where it begins; {CARRY}"
    ]


def test_panels_that_show_the_same_are_one_hold(board: BoardFolder) -> None:
    text = f"{one('4s')}\n- {{photo: a.jpg, duration: 3s, note: x}}\n- {{photo: a.jpg}}"
    assert found(board, text) == [
        f"shot 10: panels 1 to 3 hold one picture for 9.0 s without a move; {CARRY}"
    ]
    text = f"{one('4s')}\n- {{photo: a.jpg, duration: 5s}}"
    assert found(board, text) == [
        f"shot 10: panels 1 and 2 hold one picture for 9.0 s without a move; {CARRY}"
    ]
    for other in (
        text.replace("- {photo: a", "- {photo: b"),
        text.replace("- {photo", "- {shot: 20, photo"),
        text.replace("5s", "5s, mirror: true"),
        text.replace("5s", "5s, crop: {width: 0.9}"),
    ):
        assert found(board, other) == []


def test_a_hold_goes_on_from_where_a_move_ended(board: BoardFolder) -> None:
    crop = "crop: {left: 0.25, top: 0.25, width: 0.5, height: 0.5}"
    text = f"{one('6s', f'{NEAR}, length: 2s}}')}\n- {{photo: a.jpg, duration: 5s, {crop}}}"
    assert found(board, text) == [
        f"shot 10: panels 1 and 2 hold one picture for 9.0 s without a move; {CARRY}"
    ]


def test_the_frames_of_a_hold_are_one_picture_and_the_next_is_another(board: BoardFolder) -> None:
    dice = Random(7)
    crops = ["", "crop: {width: 0.5, height: 0.5}", NEAR + "}", NEAR + ", start: 4f, length: 6f}"]
    for _ in range(12):
        rows = [f"- {{shot: 10, photo: a.jpg, duration: 14f, {dice.choice(crops)}}}"]
        rows += [
            f"- {{photo: {dice.choice('ab')}.jpg, duration: 14f, {dice.choice(crops)}}}"
            for _ in range(3)
        ]
        text = panels("\n".join(rows), f"{HEAD}lettering: {{shot: false, size: false}}\n")
        film = board.lay_out(text.replace(", }", "}"))
        maker = PictureMaker(film)
        seen = holds(film.shots[0], film.size)
        for hold in seen:
            first = maker.frame(hold.start)
            for frame in range(hold.start, hold.end):
                assert (maker.frame(frame) == first).all()
        # b.jpg is a copy of a.jpg: it looks the same, and is another photo.
        for edge in (hold.end for hold in seen if hold.end < film.frames):
            (panel,) = (each for each in film.panels if each.start <= edge < each.end)
            (before,) = (each for each in film.panels if each.start < edge <= each.end)
            if panel.photo == before.photo:
                assert (maker.frame(edge) != maker.frame(edge - 1)).any()
