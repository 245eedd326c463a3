"""Halfway through the shoot, on the command line: takes in film, plan and edit lists."""

from __future__ import annotations

from pathlib import Path

import av
import pytest

from animatic.cli import run
from tests.boards import BoardFolder
from tests.small_film import small_film
from tests.takes_made import number_in, take

Capture = pytest.CaptureFixture[str]


@pytest.fixture
def board(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BoardFolder:
    """A board of shots 10, 20 and 30b of 36, 24 and 12 frames, whose folder is the current one."""
    board = small_film(tmp_path / "film")
    plain = "dialogue: false, shot: false, size: false"
    board.write(board.file.read_text("utf-8").replace("dialogue: false", plain))
    monkeypatch.chdir(board.folder)
    return board


def numbers(path: Path) -> list[int]:
    with av.open(str(path)) as film:
        return [number_in(frame.to_ndarray(format="gray")) for frame in film.decode(video=0)]


@pytest.mark.parametrize("bad", [5, 36])
def test_a_take_with_a_bad_picture_can_be_watched(
    bad: int, board: BoardFolder, capsys: Capture
) -> None:
    folder = take(board.folder / "takes" / "10_take1", range(1, 37), pictures=range(1, 37))
    (folder / f"IMG_{bad:04}.jpg").write_bytes(b"")
    asked = ["assemble", "--takes", "takes", "--to", "10"]
    named = f"takes/10_take1: shot 10: {{}}IMG_{bad:04}.jpg: the file is empty"
    assert run(asked) == 0
    err = capsys.readouterr().err.splitlines()
    assert err == [named.format("left out; "), "0 shots as shot, 1 as photos"]
    assert run([*asked, "--unfinished"]) == 0
    err = capsys.readouterr().err.splitlines()
    shown = f"{named.format('')}; shown is the picture before"
    assert err == [shown, "1 shot as shot, 0 as photos"]
    found = numbers(board.folder / "out/film_10-10.mp4")
    assert found == [n - 1 if n == bad else n for n in range(1, 37)]


@pytest.mark.parametrize("named", [[], ["."], ["../film"], ["board.yaml"]])
def test_takes_takes_the_board_from_where_one_stands(
    named: list[str], board: BoardFolder, capsys: Capture
) -> None:
    take(board.folder.parent / "takes" / "10_take1", range(1, 37))
    assert run(["takes", *named, "../takes"]) == 0
    assert "1 shot, 0 shooting, 2 to do" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("named", "words"),
    [
        ([], "Missing argument 'FOLDER'."),
        (["takes"], "there is no board in the current folder; name it before takes: "),
        (["..", "takes"], "..: there is no board.yaml in this folder"),
        (["."], ".: this is a board; name the folder with the takes after it: animatic takes"),
        ([".", "nowhere"], "nowhere: there is no such folder; name the folder with the takes"),
        ([".", "takes", "more"], "unexpected extra argument (more)"),
    ],
)
def test_what_takes_is_told_wrongly(
    named: list[str],
    words: str,
    board: BoardFolder,
    monkeypatch: pytest.MonkeyPatch,
    capsys: Capture,
) -> None:
    take(board.folder / "takes" / "10_take1", (1, 2))
    if named == ["takes"]:
        (board.folder / "board.yaml").rename(board.folder / "elsewhere.yaml")
    assert run(["takes", *named]) != 0
    assert words in capsys.readouterr().err


def test_a_folder_too_deep_is_told(board: BoardFolder, capsys: Capture) -> None:
    take(board.folder / "takes" / "10_take1", range(1, 37))
    assert run(["takes", "takes/10_take1"]) == 0
    told = capsys.readouterr()
    assert "36 pictures lie here and in no take; a take is a folder in the one that is named" in (
        told.out + told.err
    )
    assert run(["takes", "takes"]) == 0
    told = capsys.readouterr()
    assert "in no take" not in told.out + told.err
