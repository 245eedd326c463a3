"""What the command line says of files and folders that it is given."""

from __future__ import annotations

from pathlib import Path

import pytest

from animatic.cli import run
from tests.boards import BoardFolder
from tests.small_film import small_film


@pytest.fixture
def board(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BoardFolder:
    """A board's folder, which is the current one."""
    board = small_film(tmp_path / "film")
    monkeypatch.chdir(board.folder)
    return board


_TAKES, _MUSIC = "name the folder with the takes", "name a piece of music"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["start", "gone"], "gone: there is no such folder; name the folder with the photos"),
        (["start", "a.jpg"], "a.jpg: this is no folder; name the folder with the photos"),
        (["takes", ".", "gone"], f"gone: there is no such folder; {_TAKES}"),
        (["takes", ".", "a.jpg"], f"a.jpg: this is no folder; {_TAKES}"),
        (["assemble", "--takes", "gone"], f"gone: there is no such folder; {_TAKES}"),
        (["assemble", "--takes", "a.jpg"], f"a.jpg: this is no folder; {_TAKES}"),
        (
            ["take-in", ".", "gone"],
            "gone: there is no such folder; name the folder with the recordings",
        ),
        (["beats", "gone.wav"], f"gone.wav: there is no such file; {_MUSIC}"),
        (["beats", "."], f".: this is a folder; {_MUSIC}"),
        (["fit", "--to", "gone.wav"], "--to: there is no file gone.wav, neither here nor in ."),
        (["shots", "--file", "."], ".: this is a folder; name a file in it"),
    ],
)
def test_a_file_or_folder_that_is_not_there_is_told_in_one_way(
    board: BoardFolder, capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    assert run(words) == 2
    assert capsys.readouterr() == ("", f"{said}\n")


def test_help_says_where_the_board_is_when_it_is_left_out(
    capsys: pytest.CaptureFixture[str],
) -> None:
    for words in ([], ["set"]):
        assert run([*words, "--help"]) == 0
        assert "the one in the current folder" in " ".join(capsys.readouterr().out.split())
