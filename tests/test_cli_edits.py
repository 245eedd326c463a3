"""set and undo: what they change, what they print, and what they refuse."""

from __future__ import annotations

from pathlib import Path

import pytest

from animatic.board.history import copies
from animatic.cli import run
from tests.boards import BoardFolder

Capture = pytest.CaptureFixture[str]

TEXT = """\
board: 1
picture: {size: 160x90}
setups: {quay-day: {}, quay-dusk: {}, shed: {}}
panels:
  - shot: quay      # where it begins
    photo: a.jpg
    size: WS
    setup: quay-day
    duration: 4s    # long enough?
  - {photo: a.jpg, duration: 24f}
  - shot: 20
    photo: a.jpg
    setup: quay-day
    dialogue:
      - {who: Odd, line: The tide is late again.}
  - shot: 30
    photo: a.jpg
    duration: 1.02s
    setup: shed
  - {photo: a.jpg, setup: shed, duration: 1.02s, shoot_on: 1}
  - {photo: a.jpg}
  - shot: 40
    photo: a.jpg
"""

# Worked out by hand, at 24 frames a second and on twos: quay 96 + 24 frames. Five words at 160 a
# minute with their pauses are 2.675 s, so shot 20 ends at 184.2, on 184: 64 frames. Shot 30 ends
# its panels at 208.68 on 208, at 233.16 on 233 (on ones from here), at 281.16 on 281: 24 + 25 + 48
# frames and 12 + 25 + 48 poses. Shot 40 has 48. In all 329 frames and 60 + 32 + 85 + 24 poses.


@pytest.fixture
def board(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BoardFolder:
    """A board's folder, which is the current one."""
    folder = BoardFolder(tmp_path)
    folder.photo()
    folder.write(TEXT)
    monkeypatch.chdir(folder.folder)
    return folder


def lines(capsys: Capture) -> list[str]:
    out, err = capsys.readouterr()
    assert err == ""
    return out.splitlines()


def refusal(capsys: Capture) -> str:
    """Return what was said of a refusal, without click's lines of usage."""
    out, err = capsys.readouterr()
    assert out == ""
    return err.rstrip("\n").rpartition("\n\n")[2]


def test_a_length_is_set_and_told_in_frames(board: BoardFolder, capsys: Capture) -> None:
    assert run(["set", ".", "quay/1", "--duration", "2s"]) == 0
    (copy,) = copies(board.file)
    assert lines(capsys) == [
        "board.yaml:9: quay/1 duration: 4s becomes 2s",
        "shot quay: 120 frames and 60 poses become 72 frames and 36 poses",
        "film: 329 frames and 201 poses, 0:13.708 become 281 frames and 177 poses, 0:11.708",
        f"the old board is kept as {copy.relative_to(board.folder)}; animatic undo brings it back",
    ]
    assert board.file.read_text() == TEXT.replace("4s    # long", "2s    # long")
    assert copy.read_text() == TEXT


def test_several_keys_at_once_without_naming_the_board(board: BoardFolder, capsys: Capture) -> None:
    note, size = ("--note", "the bell, off: soft"), ("--size", "MS OTS")
    assert run(["set", "40", *note, *size, "--shoot-on", "3", "--duration", "3+08"]) == 0
    assert lines(capsys)[:-1] == [
        "board.yaml:22: 40/1 size: none becomes MS OTS",
        "board.yaml:22: 40/1 duration: the default 2s becomes 3+08",
        "board.yaml:22: 40/1 shoot on: none becomes 3",
        "board.yaml:22: 40/1 note: none becomes the bell, off: soft",
        "shot 40: 48 frames and 24 poses become 56 frames and 19 poses",
        "film: 329 frames and 201 poses, 0:13.708 become 337 frames and 196 poses, 0:14.042",
    ]
    added = (
        '    size: MS OTS\n    duration: 3+08\n    shoot_on: 3\n    note: "the bell, off: soft"\n'
    )
    assert board.file.read_text() == TEXT + added


def test_a_setup_goes_for_the_whole_shot(board: BoardFolder, capsys: Capture) -> None:
    assert run(["set", ".", "30/3", "--setup", "quay-dusk"]) == 0
    assert lines(capsys)[:-1] == [
        "board.yaml:19: 30/1 setup: shed becomes quay-dusk",
        "board.yaml:20: 30/2 setup: shed becomes quay-dusk",
        "film: 329 frames and 201 poses, 0:13.708, as before",
    ]
    assert board.file.read_text() == TEXT.replace("setup: shed", "setup: quay-dusk")


def test_the_shot_alone_means_its_first_panel_where_that_goes_on(
    board: BoardFolder, capsys: Capture
) -> None:
    assert run(["set", ".", "quay", "--shoot-on", "1"]) == 0
    assert lines(capsys)[:-1] == [
        "board.yaml:5: quay/1 shoot on: none becomes 1",
        "shot quay: 120 frames and 60 poses become 120 frames and 120 poses",
        "film: 329 frames and 201 poses, 0:13.708 become 329 frames and 261 poses, 0:13.708",
    ]


def test_a_length_that_moves_the_cuts_after_it_says_so(board: BoardFolder, capsys: Capture) -> None:
    assert run(["set", ".", "quay/2", "--duration", "1.02s"]) == 0
    assert [line for line in lines(capsys) if line.startswith("shot ")] == [
        "shot 30: 97 frames and 85 poses become 98 frames and 85 poses",
    ]


def test_a_key_is_cleared(board: BoardFolder, capsys: Capture) -> None:
    assert run(["set", "quay/1", "--clear", "duration", "--clear", "note"]) == 0
    assert lines(capsys)[:-1] == [
        "board.yaml:9: quay/1 duration: 4s becomes the default 2s",
        "shot quay: 120 frames and 60 poses become 72 frames and 36 poses",
        "film: 329 frames and 201 poses, 0:13.708 become 281 frames and 177 poses, 0:11.708",
    ]
    assert board.file.read_text() == TEXT.replace("duration: 4s    # long", "# long")


def test_dialogue_decides_again_once_a_length_is_cleared(
    board: BoardFolder, capsys: Capture
) -> None:
    assert run(["set", "20", "--duration", "90f"]) == 0
    assert (
        lines(capsys)[0] == "board.yaml:11: 20/1 duration: the length of its dialogue becomes 90f"
    )
    assert run(["set", "20", "--clear", "duration"]) == 0
    assert (
        lines(capsys)[0] == "board.yaml:14: 20/1 duration: 90f becomes the length of its dialogue"
    )
    assert board.file.read_text() == TEXT


@pytest.mark.parametrize("change", [("--duration", "4s"), ("--clear", "note")])
def test_nothing_to_change(board: BoardFolder, capsys: Capture, change: tuple[str, str]) -> None:
    assert run(["set", ".", "quay/1", *change]) == 0
    assert lines(capsys) == ["nothing to change: board.yaml says so already"]
    assert copies(board.file) == []


PANELS = "quay/1 (96 frames) and quay/2 (24 frames)"
LENGTHS = "2.5s, 60f, 2s12f, 1m4s, 3+08 (35 mm feet+frames) or 00:00:02:12"
REFUSED = {
    "no shot of that name": (
        "set . quey --duration 2s",
        "there is no shot quey; the shots are quay, 20, 30, 40; did you mean quay?",
    ),
    "no shot of that name with a panel": (
        "set . quey/1 --duration 2s",
        "there is no shot quey; the shots are quay, 20, 30, 40; did you mean quay?",
    ),
    "no panel of that number": (
        "set . quay/3 --duration 2s",
        f"there is no panel quay/3: shot quay has 2 panels, {PANELS}",
    ),
    "panel nought": (
        "set . 20/0 --duration 2s",
        "there is no panel 20/0: shot 20 has 1 panel, 20/1 (64 frames)",
    ),
    "panel b": (
        "set . quay/b --duration 2s",
        f"there is no panel quay/b: shot quay has 2 panels, {PANELS}",
    ),
    "a length for several panels": (
        "set . quay --duration 2s",
        f"shot quay has 2 panels, {PANELS}, and each has its own duration: name the panel, as"
        " quay/1",
    ),
    "a pace that changes within the shot": (
        "set . 30 --shoot-on 2",
        "shot 30 has 3 panels, 30/1 (24 frames), 30/2 (25 frames) and 30/3 (48 frames), and more"
        " than one of them has its own shoot-on: name the panel, as 30/1",
    ),
    "a bare number": (
        "set . 20 --duration 60",
        f"Error: Invalid value for '--duration': the bare number 60; allowed: {LENGTHS}; write"
        " 60s for seconds or 60f for frames",
    ),
    "no shot size": (
        "set . 20 --size ms",
        "Error: Invalid value for '--size': ms; allowed: EWS, WS, LS, MLS, MS, MCU, CU, ECU,"
        " INSERT, OTS, POV, 2S, or two of them as MS OTS; write MS",
    ),
    "no pace": (
        "set . 20 --shoot-on 9",
        "Error: Invalid value for '--shoot-on': 9; allowed: from 1 to 8",
    ),
    "no setup": (
        "set . 20 --setup quay-dsk",
        "there is no setup quay-dsk; the setups are quay-day, quay-dusk, shed; did you mean"
        " quay-dusk?",
    ),
    "nothing asked for": (
        "set . 20",
        "say what to change: --size, --setup, --duration, --shoot-on, --note or --clear",
    ),
    "set and cleared": (
        "set . 20 --clear shoot-on --shoot-on 2",
        "--clear shoot-on and --shoot-on contradict each other",
    ),
    "the board alone": (
        "set board.yaml --duration 2s",
        "say the board and one shot, as: animatic set . 20/2 --duration 2s",
    ),
    "two shots": (
        "set . 20 30 --duration 2s",
        "say the board and one shot, as: animatic set . 20/2 --duration 2s",
    ),
    "nothing to undo": (
        "undo",
        "board.yaml: no older copy is kept, so there is nothing to undo",
    ),
    "nothing to bring back": (
        "undo --forward",
        "board.yaml: nothing was undone just now, so nothing can be brought back",
    ),
}


@pytest.mark.parametrize(("command", "words"), REFUSED.values(), ids=REFUSED.keys())
def test_wrong_usage_exits_2_and_changes_nothing(
    board: BoardFolder, capsys: Capture, command: str, words: str
) -> None:
    assert run(command.split()) == 2
    assert refusal(capsys) == words
    assert board.file.read_text() == TEXT
    assert copies(board.file) == []


def test_a_shot_name_with_a_stroke_is_taken_whole_first(
    board: BoardFolder, capsys: Capture
) -> None:
    board.write(TEXT.replace("shot: 20", "shot: quay/2"))
    assert run(["set", "quay/2", "--size", "CU"]) == 0
    assert lines(capsys)[0] == "board.yaml:11: quay/2/1 size: none becomes CU"
    assert run(["set", "quay/2/1", "--size", "MS"]) == 0
    assert lines(capsys)[0] == "board.yaml:13: quay/2/1 size: CU becomes MS"


def test_a_change_that_the_film_cannot_take_exits_1(board: BoardFolder, capsys: Capture) -> None:
    text = TEXT.replace("  - shot: 30\n", "  - shot: 30\n    transition: {dissolve: 2s}\n")
    board.write(text)
    assert run(["set", "20", "--duration", "12f"]) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith(
        "board.yaml:18:28: panels[4].transition.dissolve (shot 30): a dissolve of 48 frames takes"
        " 24"
    )
    assert board.file.read_text() == text
    assert copies(board.file) == []


def test_a_faulty_board_exits_1(board: BoardFolder, capsys: Capture) -> None:
    board.write(TEXT.replace("size: WS", "size: XS"))
    assert run(["set", "20", "--duration", "12f"]) == 1
    assert refusal(capsys).startswith(
        "board.yaml:7:11: panels[1].size (shot quay): found XS; allowed: EWS,"
    )


def test_a_folder_in_which_nothing_can_be_kept_exits_3(board: BoardFolder, capsys: Capture) -> None:
    (board.folder / ".animatic").write_text("in the way")
    assert run(["set", "20", "--duration", "12f"]) == 3
    assert "the old board cannot be kept there" in capsys.readouterr().err
    assert board.file.read_text() == TEXT


def test_undo_and_forward_again(board: BoardFolder, capsys: Capture) -> None:
    run(["set", "quay/1", "--duration", "2s"])
    changed = board.file.read_text()
    (first,) = copies(board.file)
    capsys.readouterr()
    assert run(["undo"]) == 0
    assert board.file.read_text() == TEXT
    (second,) = copies(board.file)
    assert lines(capsys) == [
        f"board.yaml is what was kept as {first.relative_to(board.folder)}",
        "shot quay: 72 frames and 36 poses become 120 frames and 60 poses",
        "film: 281 frames and 177 poses, 0:11.708 become 329 frames and 201 poses, 0:13.708",
        f"what it was is kept as {second.relative_to(board.folder)}; animatic undo --forward"
        " brings it back",
    ]
    assert run(["undo", ".", "--forward"]) == 0
    assert board.file.read_text() == changed
    assert lines(capsys)[-1].endswith("; animatic undo brings it back")


def test_undo_of_an_edit_by_hand_that_added_and_took_out_shots(
    board: BoardFolder, capsys: Capture
) -> None:
    run(["set", "quay/1", "--duration", "2s"])
    capsys.readouterr()
    board.write(board.file.read_text().replace("shot: 40", "shot: 50"))
    assert run(["undo"]) == 0
    assert lines(capsys)[1:-1] == [
        "shot 40: 48 frames and 24 poses, not there before",
        "shot 50: gone",
        "film: 281 frames and 177 poses, 0:11.708 become 281 frames and 177 poses, 0:11.708",
    ]


def test_undo_mends_a_board_that_no_longer_reads(board: BoardFolder, capsys: Capture) -> None:
    run(["set", "quay/1", "--duration", "2s"])
    changed = board.file.read_text()
    board.write("oh no: [")
    capsys.readouterr()
    assert run(["undo"]) == 0
    assert board.file.read_text() == changed
    assert len(lines(capsys)) == 2


def test_undo_says_where_what_it_brings_back_does_not_read(
    board: BoardFolder, capsys: Capture
) -> None:
    board.write(TEXT.replace("photo: a.jpg\n    size", "photo: b.jpg\n    size"))
    board.photo("b.jpg")
    run(["set", "quay/1", "--duration", "2s"])
    (board.folder / "b.jpg").unlink()
    capsys.readouterr()
    assert run(["undo"]) == 0
    out, err = capsys.readouterr()
    assert len(out.splitlines()) == 2
    assert err.startswith(
        "it does not read as a board any more:\nboard.yaml:6:12: panels[1].photo (shot quay):"
    )


def test_a_board_changed_by_another_program_meanwhile_is_left_alone(
    board: BoardFolder, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    from animatic.cli import edits

    def changed_meanwhile(*_: object) -> None:
        board.write(TEXT.replace("shot: 40", "shot: 50"))

    monkeypatch.setattr(edits, "_check_setup", changed_meanwhile)
    assert run(["set", "20", "--duration", "12f"]) == 2
    words = "board.yaml: another program changed the board just now; try again"
    assert words in capsys.readouterr().err
    assert board.file.read_text() == TEXT.replace("shot: 40", "shot: 50")


def test_what_a_note_hides_is_not_sent_to_the_terminal(board: BoardFolder, capsys: Capture) -> None:
    assert run(["set", "20", "--note", "a\x1b[31mb"]) == 0
    assert lines(capsys)[0] == "board.yaml:11: 20/1 note: none becomes a[31mb"
    assert '    note: "a\\x1B[31mb"\n' in board.file.read_text()
