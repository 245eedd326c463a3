"""cards and arrange on the command line."""

from __future__ import annotations

import re
from pathlib import Path
from shutil import copytree, ignore_patterns

import pytest

from animatic.cli import run
from tests.boards import BoardFolder
from tests.small_film import PLAIN, small_film

Capture = pytest.CaptureFixture[str]


@pytest.fixture
def board(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BoardFolder:
    board = small_film(tmp_path / "film")
    monkeypatch.chdir(board.folder)
    return board


def test_cards_are_written_beside_the_board(board: BoardFolder, capsys: Capture) -> None:
    assert run(["cards", "--per-page", "2", "--paper", "letter"]) == 0
    assert capsys.readouterr().out == ("out/cards.pdf\n4 cards, 2 on a page; print at 100 %\n")
    assert (board.folder / "out/cards.pdf").read_bytes().startswith(b"%PDF-")


def test_cards_without_room_for_all_words_are_named(board: BoardFolder, capsys: Capture) -> None:
    words = "It will rise when it has rested, and not before. " * 12
    board.write(board.file.read_text().replace("[sigh] Où?", words))
    assert run(["cards", "--per-page", "24"]) == 0
    said = capsys.readouterr().err
    assert said == "card 1 has no room for all words; fewer on a page gives more\n"


NEW_RUN = """\
now  card  shot  size  frames  dialogue
  1     4  30b             12
  2     1  10    WS        24  Žofie: [sigh] Où?
  3     3  20              24
  4     2  10B   WS        12
shot 10 is parted by this order; its later part is now shot 10B
into card 2 (now 4) goes shot, size: its shot had these, in a panel that no longer stands before it
0:03.000 becomes 0:03.000
"""


def test_a_new_order_is_shown_and_written_only_when_asked(
    board: BoardFolder, capsys: Capture
) -> None:
    assert run(["arrange", ".", "4", "1", "3", "2"]) == 0
    shown = capsys.readouterr().out
    assert shown == NEW_RUN + "nothing is written; --write puts this order into the board\n"
    assert board.file.read_text(encoding="utf-8") == PLAIN
    assert run(["arrange", ".", "4,1", "3-2", "--write"]) == 0
    assert capsys.readouterr().out == NEW_RUN + (
        "written to board.yaml; animatic undo brings the old order back\n"
        "the numbers on the cards are those of the old order: print new cards\n"
    )
    assert board.read(board.file.read_bytes()).content.panels[3].shot == "10B"
    assert run(["arrange", ".", "2", "4", "3", "1", "--write"]) == 0
    assert board.file.read_text(encoding="utf-8") == PLAIN


def test_the_new_run_keeps_its_columns_whatever_stands_in_them(
    board: BoardFolder, capsys: Capture
) -> None:
    long = "the quay at low water"
    board.write(PLAIN.replace("shot: 20", f"shot: {long}"))
    assert run(["arrange", ".", "1-4"]) == 0
    head, *rows = capsys.readouterr().out.splitlines()[:5]
    assert long in "".join(rows)
    # Each number ends below the end of its head, and names begin below theirs.
    for row in rows:
        assert row[head.index("shot") - 1] == " " != row[head.index("shot")]
        assert row[head.index("frames") + 5].isdigit()
        assert row[head.index("frames") + 6 : head.index("dialogue")].strip() == ""


def test_cards_left_out_are_parked_and_come_back(board: BoardFolder, capsys: Capture) -> None:
    assert run(["arrange", ".", "1-2", "--write"]) == 0
    shown = capsys.readouterr().out
    assert "\n p1     3  parked\n p2     4  parked\n0:03.000 becomes 0:01.500\n" in shown
    assert len(board.read(board.file.read_bytes()).content.parked) == 2
    assert run(["arrange", ".", "1", "2", "p1-p2", "--write"]) == 0
    assert board.file.read_text(encoding="utf-8") == PLAIN


def test_music_goes_on_playing_in_the_new_order(board: BoardFolder, capsys: Capture) -> None:
    music = "music: [{file: a.wav, from: shot 10, until: shot 20}]\n"
    board.write(PLAIN + music)
    assert run(["arrange", ".", "1", "2", "4"]) == 0
    shown = capsys.readouterr().out
    assert "\n  3     4  30b               12\n p1     3  parked\n" in shown
    assert "0:03.000 becomes 0:02.000\n" in shown
    assert "music a.wav: until: shot 20 becomes until: shot 10\n" in shown
    assert board.file.read_text() == PLAIN + music
    assert run(["arrange", ".", "3", "1", "2", "4", "--write"]) == 0
    assert "from: shot 20, until: shot 10" in board.file.read_text()
    assert run(["check", "."]) == 0
    assert run(["arrange", ".", "2", "3", "1", "4", "--write"]) == 0
    assert board.file.read_text() == PLAIN + music


def test_music_is_parked_with_its_shots_and_comes_back(board: BoardFolder, capsys: Capture) -> None:
    board.write(PLAIN + "music: [{file: a.wav, from: shot 20, until: shot 20}]\n")
    text = board.file.read_bytes()
    assert run(["arrange", ".", "1", "2", "4"]) == 0
    shown = capsys.readouterr().out
    told = "music a.wav is parked with its shot 20; it comes back with it\n"
    assert f"0:03.000 becomes 0:02.000\n{told}nothing is written; --write" in shown
    assert board.file.read_bytes() == text
    assert run(["arrange", ".", "1", "2", "4", "--write"]) == 0
    assert f"0:03.000 becomes 0:02.000\n{told}written to board.yaml;" in capsys.readouterr().out
    assert b"until: shot 20, parked: true}]\n" in board.file.read_bytes()
    assert run(["check", "."]) == 0
    assert run(["compare", "."]) == 0
    assert "of the whole film: music a.wav parked\n" in capsys.readouterr().out
    assert run(["arrange", ".", "1", "2", "p1", "3", "--write"]) == 0
    assert "music a.wav is back with shot 20\n" in capsys.readouterr().out
    assert board.file.read_bytes() == text
    assert run(["compare", "."]) == 0
    assert "of the whole film: music a.wav back\n" in capsys.readouterr().out


def test_an_order_that_leaves_the_board_at_fault_is_not_written(
    board: BoardFolder, capsys: Capture
) -> None:
    rows = PLAIN.replace("shot: 20", "shot: 20, transition: {dissolve: 30f}")
    board.write(rows)
    text = board.file.read_bytes()
    assert run(["arrange", ".", "1", "3", "4", "--write"]) == 0
    board.write(text)
    assert run(["arrange", ".", "2", "3", "4", "--write"]) == 1
    assert capsys.readouterr().err.startswith(
        "in this order the board would be at fault (lines as they would be):\n"
    )
    assert board.file.read_bytes() == text


def test_the_order_that_the_board_has_is_no_change(board: BoardFolder, capsys: Capture) -> None:
    assert run(["arrange", ".", "1-4", "--write"]) == 0
    assert capsys.readouterr().out.endswith("that is the order the board has; nothing to write\n")
    assert not (board.folder / ".animatic").exists()


def test_the_order_in_the_guide_can_be_written(
    tmp_path: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    root = Path(__file__).parents[1]
    guide = (root / "docs/guide.md").read_text(encoding="utf-8")
    command = re.search(r"`animatic (arrange demo_board [^`]+)`", guide)
    assert command is not None
    copytree(root / "demo_board", tmp_path / "demo_board", ignore=ignore_patterns("out", "set"))
    monkeypatch.chdir(tmp_path)
    assert run([*command[1].split(), "--write"]) == 0
    assert "written to demo_board/board.yaml" in capsys.readouterr().out
