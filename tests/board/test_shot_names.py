"""A shot is named once; what an arrangement or an older board says twice is read all the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from animatic.board import read_board
from animatic.board.edits.arrange import arranged, read_order
from animatic.board.former import former_board
from animatic.board.keys.wording import EXAMPLES
from animatic.errors import BoardError
from animatic.timeline import lay_out
from tests.boards import HEAD, BoardFolder, panels

ROWS = """
- shot: 10
  photo: a.jpg
- photo: b.jpg
- shot: 20
  photo: a.jpg
"""


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    board = BoardFolder(tmp_path)
    for name in ("a.jpg", "b.jpg", "photos/quay.jpg"):
        board.photo(name)
    for name in ("sound/bell.wav", "sound/tide.wav"):
        board.sound(name)
    return board


def test_what_an_arrangement_lets_stand_twice_is_one_shot(board: BoardFolder) -> None:
    made = arranged(panels(ROWS).encode(), read_order(["2", "1", "3"], 3), "board.yaml").data
    assert made.count(b"shot: 10\n") == 2
    timeline = lay_out(board.read(made))
    assert [len(shot.panels) for shot in timeline.shots] == [2, 1]


def test_without_the_word_of_the_arrangement_it_is_refused(board: BoardFolder) -> None:
    made = arranged(panels(ROWS).encode(), read_order(["2", "1", "3"], 3), "board.yaml").data
    bare = b"".join(
        line for line in made.splitlines(keepends=True) if not line.lstrip().startswith(b"#")
    )
    with pytest.raises(BoardError, match="shot 10 is named twice, at lines 5 and 6"):
        board.read(bare)


def test_a_board_of_another_time_may_name_a_shot_twice(board: BoardFolder) -> None:
    text = panels(ROWS.replace("- photo: b.jpg", "- photo: b.jpg\n  shot: 10"))
    board.write(text)
    with pytest.raises(BoardError):
        read_board(board.file)
    former = former_board(text.encode(), board.file, "board.yaml at HEAD~3")
    assert [len(shot.panels) for shot in lay_out(former).shots] == [2, 1]


TOP = {"setups": "setups:\n  {}", "cast": "cast:\n  {}", "music": "music:\n  {}"}
TOP |= {"changes": "pace: {{{}}}"}
TOP |= dict.fromkeys(("picture", "defaults", "speech", "lettering", "mix", "pace", "day"), "{}")
WITHIN = {"dialogue": "dialogue:\n    {}", "sounds": "sounds:\n    {}", "to": "move: {{{}}}"}
WITHIN |= dict.fromkeys(("crop", "move", "transition"), "{}")


@pytest.mark.parametrize("key", sorted(EXAMPLES))
def test_what_a_message_shows_of_a_part_can_be_read(key: str, board: BoardFolder) -> None:
    shown = EXAMPLES[key]
    row = shown if key == "panels" else "- {shot: 10, photo: a.jpg}"
    more = f"\n  {WITHIN[key].format(shown)}" if key in WITHIN else ""
    head = f"board: 1\n{TOP[key].format(shown)}\n" if key in TOP else HEAD
    board.read(panels(f"{row}\n- shot: 20\n  photo: a.jpg{more}", head))
