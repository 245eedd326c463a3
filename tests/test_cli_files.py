"""Commands write over nothing but what they wrote: not the board, nor what it uses."""

from __future__ import annotations

from pathlib import Path

import pytest

from animatic.cli import run
from tests.boards import BoardFolder

BOARD = """board: 1
picture: {size: 160x90}
setups: {quay: {}}
music: [{file: tide.wav, beats: tide.txt}]
panels:
  - {shot: 10, photo: a.png, setup: quay, duration: 2s, dialogue: [{who: Odd, line: Low water.}]}
parked:
  - {photo: b.png, duration: 1s}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    board = BoardFolder(tmp_path)
    board.photo("a.png")
    board.photo("b.png", (20, 90, 60))
    board.tone("tide.wav", 4.0)
    (tmp_path / "tide.txt").write_text("0.5\n1.0\n")
    board.write(BOARD)
    return tmp_path


LISTS = (
    "shots BOARD --format csv",
    "shots BOARD --format pdf",
    "exposure BOARD --format csv",
    "plan BOARD --format csv",
    "sounds BOARD --format md",
    "lines BOARD --format csv",
    "takes BOARD TAKES --format csv",
    "beats tide.wav",
    "still BOARD --frame 3",
)


def written(words: str, folder: Path, file: str) -> int:
    (folder / "takes").mkdir(exist_ok=True)
    told = [
        {"BOARD": str(folder), "TAKES": str(folder / "takes")}.get(
            word, str(folder / word) if word.endswith(".wav") else word
        )
        for word in words.split()
    ]
    return run([*told, "--file", str(folder / file)])


@pytest.mark.parametrize("words", LISTS)
@pytest.mark.parametrize("file", ["board.yaml", "tide.wav", "notes.doc"])
def test_a_file_of_another_kind_is_not_written_over(
    folder: Path, capsys: pytest.CaptureFixture[str], words: str, file: str
) -> None:
    (folder / "notes.doc").write_text("mine")
    before = (folder / file).read_bytes()
    assert written(words, folder, file) == 2
    assert file in capsys.readouterr().err
    assert (folder / file).read_bytes() == before


@pytest.mark.parametrize("file", ["a.png", "b.png"])
def test_a_photo_of_the_board_is_not_written_over(
    folder: Path, capsys: pytest.CaptureFixture[str], file: str
) -> None:
    before = (folder / file).read_bytes()
    assert written("still BOARD --frame 3", folder, file) == 2
    said = f"--file {folder / file}: the board uses this file; choose another name\n"
    assert capsys.readouterr().err == said
    assert (folder / file).read_bytes() == before


def test_a_list_of_beats_of_the_board_is_no_place_for_another_list(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert written("shots BOARD", folder, "tide.txt") == 2
    assert "the board uses this file" in capsys.readouterr().err
    assert (folder / "tide.txt").read_text() == "0.5\n1.0\n"


@pytest.mark.parametrize("words", LISTS[:-2])
def test_what_a_command_wrote_it_writes_again(folder: Path, words: str) -> None:
    form = words.split()[-1]
    for _ in range(2):
        assert written(words, folder, f"mine.{form}") == 0
    (folder / f"mine.{form}").write_text("older")
    assert written(words, folder, f"mine.{form}") == 0
    assert (folder / f"mine.{form}").read_bytes() != b"older"


def test_a_revision_that_is_an_option_of_git_is_none(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "there:.").mkdir()
    for words in (f"--output={folder / 'there'}", "-h", ""):
        assert run(["compare", str(folder), f"--since={words}"]) == 2
        assert capsys.readouterr().err == (
            f"{words!r} is no git revision; name one as HEAD~3, a tag or a commit\n"
        )
    assert list((folder / "there:.").iterdir()) == []
