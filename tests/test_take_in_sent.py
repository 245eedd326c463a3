"""Recordings go to the lines of the script that was sent, wherever those stand by then."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from boards import HEAD, BoardFolder, panels
from spoken import spoken

from animatic.board.sent import kept_scripts
from animatic.cli import run

ROWS = """
- shot: 10
  photo: a.jpg
  dialogue: [{who: Nell, line: Is anybody there?}]
- shot: 20
  photo: a.jpg
  dialogue: [{who: Nell, line: I can smell the coffee.}, {who: Odd, line: It is mine.}]
- {shot: 30, photo: a.jpg}
"""

Capture = pytest.CaptureFixture[str]


@pytest.fixture
def board(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BoardFolder:
    folder = BoardFolder(tmp_path / "board")
    folder.photo()
    folder.write(panels(ROWS, HEAD))
    monkeypatch.chdir(folder.folder)
    return folder


@pytest.fixture
def back(tmp_path: Path) -> BoardFolder:
    return BoardFolder(tmp_path / "back")


def arrange(*order: str) -> None:
    assert run(["arrange", ".", *order, "--write"]) == 0


def taken(capsys: Capture, *options: str) -> tuple[str, str]:
    """Take the recordings in; return what was said, times as WHEN, and what was left."""
    capsys.readouterr()
    run(["take-in", "../back", *options])
    told = capsys.readouterr()
    when = r"\d{4}-\d\d-\d\d \d\d:\d\d"
    return re.sub(when, "WHEN", told.out), re.sub(when, "WHEN", told.err)


def voices(board: BoardFolder) -> dict[str, str]:
    """Return the recording of each line by its words."""
    content = board.read(board.file.read_bytes()).content
    return {
        line.line: line.voice for panel in content.panels for line in panel.dialogue if line.voice
    }


@pytest.mark.parametrize(
    "form", [["--format", "csv"], ["--format", "json"], ["--format", "md"], []]
)
def test_a_recording_goes_to_its_words_after_the_film_is_rearranged(
    form: list[str], board: BoardFolder, back: BoardFolder, capsys: Capture
) -> None:
    assert run(["lines", *form]) == 0
    arrange("2", "1", "3")
    spoken(back, "01_nell.wav")
    spoken(back, "02_nell.wav", 1.2)
    out, err = taken(capsys)
    assert err == ""
    assert voices(board) == {
        "Is anybody there?": "sound/lines/01_nell.wav",
        "I can smell the coffee.": "sound/lines/02_nell.wav",
    }
    assert (
        'line 3, Nell "Is anybody there?": 01_nell.wav is now sound/lines/01_nell.wav\n'
        "  it is number 1 of the script of WHEN\n"
    ) in out
    assert 'line 1, Nell "I can smell the coffee.": 02_nell.wav is now' in out
    # What was taken in is found to be the same again, by the same numbers.
    assert "the board has all of them already" in taken(capsys)[0]


def test_without_a_script_the_numbers_are_those_of_the_board(
    board: BoardFolder, back: BoardFolder, capsys: Capture
) -> None:
    arrange("2", "1", "3")
    spoken(back, "01_nell.wav")
    assert "it is number" not in taken(capsys)[0]
    assert voices(board) == {"I can smell the coffee.": "sound/lines/01_nell.wav"}


def test_the_script_of_one_speaker_counts_for_its_lines_alone(
    board: BoardFolder, back: BoardFolder, capsys: Capture
) -> None:
    assert run(["lines", "--who", "Odd"]) == 0
    arrange("2", "1", "3")
    spoken(back, "03.wav")
    spoken(back, "01_nell.wav")
    assert taken(capsys)[1] == ""
    assert voices(board) == {
        "It is mine.": "sound/lines/03_odd.wav",
        "I can smell the coffee.": "sound/lines/01_nell.wav",
    }


def test_a_line_whose_words_changed_gets_nothing(
    board: BoardFolder, back: BoardFolder, capsys: Capture
) -> None:
    assert run(["lines"]) == 0
    board.write(board.file.read_bytes().replace(b"Is anybody there?", b"Who is there?"))
    spoken(back, "01_nell.wav")
    before = board.file.read_bytes()
    out, err = taken(capsys)
    assert out == "nothing is taken in\n"
    assert err == (
        "../back/01_nell.wav: left; number 1 of the script of WHEN is Nell:"
        ' "Is anybody there?", in shot 10; line 1 there says "Who is there?" now: have it recorded'
        " anew, or write the file as voice into the line that it is for\n"
    )
    assert board.file.read_bytes() == before


def test_other_signs_are_the_same_words(
    board: BoardFolder, back: BoardFolder, capsys: Capture
) -> None:
    assert run(["lines"]) == 0
    board.write(board.file.read_bytes().replace(b"Is anybody there?", b"Is anybody... THERE?!"))
    spoken(back, "01_nell.wav")
    assert taken(capsys)[1] == ""


def test_a_line_that_is_parked_or_gone_gets_nothing(
    board: BoardFolder, back: BoardFolder, capsys: Capture
) -> None:
    assert run(["lines"]) == 0
    arrange("2", "3")
    spoken(back, "01_nell.wav")
    spoken(back, "nell.wav")
    was = 'number 1 of the script of WHEN is Nell: "Is anybody there?"'
    assert taken(capsys)[1] == (
        f"../back/01_nell.wav: left; {was}, which is parked (card p1); bring it back with arrange\n"
        "../back/nell.wav: left; Nell has 2 lines; put the number of the line in its name\n"
    )
    text = board.file.read_text()
    board.write(text.partition("parked:")[0])
    assert taken(capsys)[1].splitlines()[0] == (
        f"../back/01_nell.wav: left; {was}, and no line of Nell has these words now; write the"
        " file as voice into the line that it is for"
    )
    assert voices(board) == {}


def test_scripts_that_disagree_are_told_and_the_name_may_decide(
    board: BoardFolder, back: BoardFolder, capsys: Capture
) -> None:
    assert run(["lines"]) == 0
    arrange("2", "1", "3")
    assert run(["lines"]) == 0
    spoken(back, "01_nell.wav")
    spoken(back, "03_odd.wav")
    err = taken(capsys)[1]
    # Number 3 is Odd's in the first script alone: the name tells.
    assert voices(board) == {"It is mine.": "sound/lines/03_odd.wav"}
    assert err == (
        "../back/01_nell.wav: left; scripts that were sent disagree about number 1: Nell:"
        ' "I can smell the coffee." or Nell: "Is anybody there?"; name it 01_nell_i_can.wav or'
        " 01_nell_is_anybody.wav, or say --newest if these are recordings of the script of WHEN\n"
    )
    for name in ("01_nell_is_anybody.wav", "01_Nell_I can.wav"):
        back.path("01_nell.wav").rename(back.path(name))
        assert taken(capsys)[1] == ""
        back.path(name).rename(back.path("01_nell.wav"))
    assert voices(board)["Is anybody there?"] == "sound/lines/01_nell.wav"
    back.path("03_odd.wav").unlink()
    assert taken(capsys, "--newest")[1] == ""
    assert "I can smell the coffee." in voices(board)


def test_equal_words_are_told_apart_by_their_shots(
    board: BoardFolder, back: BoardFolder, capsys: Capture
) -> None:
    text = ROWS.replace("I can smell the coffee.", "Is anybody there?")
    board.write(panels(text, HEAD))
    assert run(["lines"]) == 0
    arrange("2", "1", "3")
    spoken(back, "01_nell.wav")
    assert 'line 3, Nell "Is anybody there?": 01_nell.wav' in taken(capsys)[0]


def test_the_name_of_the_present_recording_still_counts(
    board: BoardFolder, back: BoardFolder, capsys: Capture
) -> None:
    board.tone("nell_first.wav", 24_000)
    board.write(panels(ROWS.replace("there?}", "there?, voice: nell_first.wav}"), HEAD))
    assert run(["lines"]) == 0
    spoken(back, "nell_first.wav")
    assert 'line 1, Nell "Is anybody there?": nell_first.wav' in taken(capsys)[0]


def test_a_number_is_the_scripts_whatever_a_recording_is_called(
    board: BoardFolder, back: BoardFolder, capsys: Capture
) -> None:
    board.tone("nell_2.wav", 24_000)
    board.write(panels(ROWS.replace("there?}", "there?, voice: nell_2.wav}"), HEAD))
    spoken(back, "nell_2.wav")
    assert taken(capsys)[1] == (
        "../back/nell_2.wav: left; it could be of line 1 and 2; begin its name with the number of"
        " the line\n"
    )
    assert run(["lines"]) == 0
    assert 'line 2, Nell "I can smell the coffee.": nell_2.wav' in taken(capsys)[0]


def test_a_damaged_memory_is_told_and_the_next_script_is_kept(
    board: BoardFolder, back: BoardFolder, capsys: Capture
) -> None:
    assert run(["lines"]) == 0
    kept = next((board.folder / ".animatic" / "board.yaml" / "scripts").iterdir())
    kept.write_bytes(kept.read_bytes()[:40])
    spoken(back, "01_nell.wav")
    name = kept.relative_to(board.folder)
    assert taken(capsys)[1] == (
        f"{name}: this is damaged; it said which lines a script had, so look whether the words of"
        " each line fit\n"
    )
    assert run(["lines"]) == 0
    scripts, damaged = kept_scripts(board.file)
    assert (len(scripts), damaged) == (1, [kept])


def test_a_folder_that_takes_nothing_is_told_and_the_script_is_written(
    board: BoardFolder, capsys: Capture
) -> None:
    board.path(".animatic").write_text("in the way")
    assert run(["lines"]) == 0
    err = capsys.readouterr().err
    assert ".animatic/board.yaml/scripts: it cannot be written (" in err
    assert "the numbers of this script are not kept beside the board" in err
    assert (board.folder / "out" / "lines.pdf").is_file()


def test_arrange_says_what_it_does_to_a_script_that_was_sent(
    board: BoardFolder, capsys: Capture
) -> None:
    arrange("2", "1", "3")
    assert "script" not in capsys.readouterr().out
    arrange("2", "1", "3")
    assert run(["lines"]) == 0
    capsys.readouterr()
    arrange("2", "3")
    assert (
        "was sent before this order: 2 lines have another number and 1 line is not in the film;"
        " take-in goes by that script, and finds its lines by their words\n"
    ) in capsys.readouterr().out
    arrange("1", "2")
    assert "script" not in capsys.readouterr().out


def test_what_is_to_come_has_the_numbers_of_the_script(
    board: BoardFolder, back: BoardFolder, capsys: Capture
) -> None:
    assert run(["lines", "--format", "csv"]) == 0
    arrange("2", "1", "3")
    spoken(back, "02_nell.wav")
    spoken(back, "03_odd.wav")
    out, _ = taken(capsys)
    assert 'still to come: 1 line: 1 (Nell "Is anybody there?")\n' in out
    assert "  the numbers are those of the script of WHEN\n" in out
    text = board.file.read_text().replace("Is anybody there?", "Who is there?")
    board.file.write_text(text)
    out, _ = taken(capsys)
    assert 'still to come: 1 line: (Nell "Who is there?")\n' in out
    assert "  those without a number are in no script yet: send animatic lines anew\n" in out


def test_the_way_to_name_a_file_is_that_of_the_script(
    board: BoardFolder, back: BoardFolder, capsys: Capture
) -> None:
    assert run(["lines", "--format", "csv"]) == 0
    arrange("2", "1", "3")
    spoken(back, "take.wav")
    _, err = taken(capsys)
    assert "name it as 01_nell.wav is named for line 1" in err
