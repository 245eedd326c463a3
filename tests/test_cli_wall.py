"""cards and arrange on the command line."""

from __future__ import annotations

import re
from pathlib import Path
from shutil import copytree, ignore_patterns

import pytest
from hypothesis import HealthCheck, given, settings

from animatic.cli import run
from tests.boards import BoardFolder, panels
from tests.small_film import PLAIN, small_film
from tests.strategies import Order, orders, untimed, way_back

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


def test_cards_cut_short_on_the_contact_sheet_are_named(
    board: BoardFolder, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("animatic.sheets.cards._CONTACT_LENGTHS", (12.0,))
    assert run(["cards"]) == 0
    said = capsys.readouterr().err
    assert said == "cards 1, 2, 3, 4 are cut short on the contact sheet\n"


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
    # Of three panels of 0.52 s the third ends on a pose two frames later than the first would.
    row = "photo: a.jpg, duration: 0.52s"
    move = "move: {to: {left: 0.1, width: 0.9}, length: 14f}"
    board.write(panels(f"- {{shot: 1, {row}}}\n- {{{row}}}\n- {{{row}, {move}}}"))
    text = board.file.read_bytes()
    assert run(["arrange", ".", "1-3", "--write"]) == 0
    assert run(["arrange", ".", "3", "1", "2", "--write"]) == 1
    assert capsys.readouterr().err.startswith(
        "in this order the board would be at fault (lines as they would be):\n"
    )
    assert board.file.read_bytes() == text


SHORT = panels(
    """
    - shot: 10
      photo: a.jpg
      duration: 24f
    - shot: 20
      photo: b.jpg
      duration: 12f
      transition: {dissolve: 8f}   # slowly
      note: late
    - {shot: 30, photo: b.jpg, duration: 2f, transition: {to_black: 2f}}
    - shot: 40
      photo: b.jpg
      duration: 9f
      transition:
        from_black: 2f
        # in and out
    - {photo: b.jpg, duration: 6f, transition: {to_black: 4f}}
    - {shot: 50, photo: a.jpg, duration: 4f, transition: {from_black: 4f}}
    """
)


def test_a_transition_without_room_is_put_by_and_comes_back(
    board: BoardFolder, capsys: Capture
) -> None:
    rows = "- {shot: 1, photo: a.jpg, duration: 24f}\n- shot: 2\n  photo: b.jpg\n"
    rows += "  duration: 12f\n  transition: {dissolve: 8f}   # slowly\n"
    board.write(panels(rows + "- {shot: 3, photo: b.jpg, duration: 2f}"))
    text = board.file.read_bytes()
    assert run(["arrange", ".", "1", "3", "2", "--write"]) == 0
    told = (
        "dissolve of card 2 (now 3) is put by as a comment, since it does not fit there;"
        " it comes back in an order where it fits\n"
    )
    assert told in capsys.readouterr().out
    assert b"\n  # arranged, put by: transition: {dissolve: 8f}   # slowly\n" in (
        board.file.read_bytes()
    )
    assert run(["check", "."]) == 0
    written = board.file.read_bytes()
    assert run(["arrange", ".", "1-3", "--write"]) == 0
    assert "nothing to write" in capsys.readouterr().out
    assert board.file.read_bytes() == written
    assert run(["arrange", ".", "1", "3", "2", "--write"]) == 0
    assert board.file.read_bytes() == text


def test_a_transition_that_a_panel_has_no_room_to_take_over_is_told(
    board: BoardFolder, capsys: Capture
) -> None:
    rows = "- {shot: 1, photo: a.jpg, duration: 24f}\n- {shot: 2, photo: b.jpg, duration: 12f,"
    rows += " transition: {dissolve: 12f}}\n- {photo: a.jpg, duration: 5f}"
    board.write(panels(rows))
    text = board.file.read_bytes()
    assert run(["arrange", ".", "1", "3", "--write"]) == 0
    told = (
        "card 3 (now 2) is not given the dissolve of its shot, since it does not fit there;"
        " it comes back in an order where it fits\n"
    )
    assert told in capsys.readouterr().out
    assert run(["check", "."]) == 0
    assert run(["arrange", ".", "1", "p1", "2", "--write"]) == 0
    assert board.file.read_bytes() == text


@settings(untimed, max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(orders(6))
def test_short_shots_with_transitions_take_any_order_and_the_opposite_restores_it(
    board: BoardFolder, order: Order
) -> None:
    text = board.write(SHORT).read_bytes()
    assert run(["arrange", ".", *(str(n + 1) for n in order), "--write"]) == 0
    assert run(["check", "."]) == 0
    back = [f"{'p' * (home == 'parked')}{n + 1}" for home, n in way_back(order, 6)]
    assert run(["arrange", ".", *back, "--write"]) == 0
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
