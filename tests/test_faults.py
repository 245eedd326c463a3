"""Boards and media files that are broken, one by one, through the real command line.

The faults stand in tests/faults_*.py, each with all that has to be said of it.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from animatic.cli import run
from tests.boards import BoardFolder
from tests.faults import AGAIN, EXPORT, LENGTHS, TOP, Fault, one, spelled, top, two
from tests.faults_across import ACROSS_FAULTS
from tests.faults_files import FILE_FAULTS
from tests.faults_slips import SLIP_FAULTS
from tests.faults_values import VALUE_FAULTS
from tests.faults_words import WORD_FAULTS
from tests.faults_yaml import YAML_FAULTS

FAULTS = [*YAML_FAULTS, *WORD_FAULTS, *SLIP_FAULTS, *VALUE_FAULTS, *ACROSS_FAULTS, *FILE_FAULTS]


@pytest.fixture
def board(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BoardFolder:
    """A folder, the current one, with a photo and a sound of a second."""
    folder = tmp_path / "film"
    folder.mkdir()
    monkeypatch.chdir(folder)
    board = BoardFolder(folder)
    board.photo()
    board.sound()
    return board


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_each_fault_ends_with_located_words_and_nothing_written(
    fault: Fault, board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    fault.make(board)
    board.file.write_bytes(fault.written)
    there = sorted(board.folder.iterdir())
    assert run(["assemble", "board.yaml"]) == 1
    out, err = capsys.readouterr()
    assert spelled(fault.messages()).fullmatch(err), err
    assert out == ""
    assert sorted(board.folder.iterdir()) == there


def test_the_boards_of_the_table_are_sound_but_for_their_faults(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    for text in (top("title: Low Water"), one("duration: 48f"), two("", ", shot: 20")):
        board.write(text)
        assert run(["check", "board.yaml"]) == 0, capsys.readouterr().err


def test_the_table_has_no_fault_twice() -> None:
    assert len({fault.name for fault in FAULTS}) == len(FAULTS) >= 45


@pytest.mark.parametrize("name", ["a key twice", "no such photo", "bytes of cp1252"])
def test_a_fault_in_a_process_of_its_own(name: str, board: BoardFolder) -> None:
    fault = next(fault for fault in FAULTS if fault.name == name)
    fault.make(board)
    board.file.write_bytes(fault.written)
    command = [sys.executable, "-c", "from animatic.cli import main; main()", "assemble", "."]
    done = subprocess.run(command, capture_output=True, text=True, cwd=board.folder)
    assert (done.returncode, done.stdout) == (1, "")
    assert spelled(fault.messages()).fullmatch(done.stderr)
    assert not (board.folder / "out").exists()


def test_every_fault_is_told_at_once(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    fault = Fault(
        "ten",
        "board: 1\n"
        "rate: §26\n"
        "picture: {size: 160x90, fit: §fill}\n"
        "§colour: warm\n"
        "lettering: {font: §none.ttf}\n"
        "music: [{file: a.wav, until: §shot 90}]\n"
        "panels:\n"
        "  - {shot: 10, photo: §gone.jpg, setup: §quay}\n"
        "  - {photo: a.jpg, duration: §3, crop: §{width: 0}}\n"
        "  - {shot: 20, photo: a.jpg}\n"
        "  - {shot: §10, photo: a.jpg}\n",
        (
            "rate: found 26; allowed: 12, 15, 24, 25, 30, 23.976, 29.97, 59.94",
            "picture.fit: found fill; allowed: cover or contain",
            f"the board: the key colour is not known; allowed: {TOP}",
            "lettering.font: none.ttf is not there",
            "music[1].until: there is no shot 90; allowed: 10, 20",
            "panels[1].photo (shot 10): gone.jpg is not there",
            "panels[1].setup (shot 10): there is no setup quay;"
            " write setups: with quay: {place: ...} under it",
            f"panels[2].duration (shot 10): the bare number 3; allowed: {LENGTHS};"
            " write 3s for seconds or 3f for frames",
            "panels[2].crop (shot 10): the rectangle has no area; allowed: width and height above"
            " 0",
            "panels[4].shot: shot 10 was there before, on line 8, and other shots since;"
            " one shot lies from cut to cut: name this one 10B",
        ),
    )
    board.write(fault.written)
    assert run(["assemble", "board.yaml"]) == 1
    assert capsys.readouterr().err.splitlines() == fault.messages()
    assert not (board.folder / "out").exists()


def test_a_file_too_large_for_a_board(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    board.write(b"#" * 20_000_001)
    assert run(["check", "board.yaml"]) == 1
    expected = "board.yaml:1:1: the file has 20000001 bytes, too many for a board\n"
    assert capsys.readouterr() == ("", expected)


def test_brackets_without_end_are_told_in_time(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    board.write("board: 1\npanels: " + "[" * 100_000)
    assert run(["check", "board.yaml"]) == 1
    assert capsys.readouterr().err.startswith("board.yaml:2:")


@pytest.mark.skipif(
    hasattr(os, "geteuid") and os.geteuid() == 0, reason="root may read whatever it likes"
)
def test_files_that_may_not_be_read(board: BoardFolder, capsys: pytest.CaptureFixture[str]) -> None:
    fault = Fault(
        "no permission",
        one("sounds: [{file: §a.wav}]").replace("photo: ", "photo: §"),
        (
            "panels[1].photo (shot 10): a.jpg: the file may not be read; look at its"
            f" permissions; {AGAIN}",
            "panels[1].sounds[1].file (shot 10): a.wav: the file cannot be opened (Permission"
            " denied);"
            f" {EXPORT}",
        ),
    )
    board.write(fault.written)
    for name in ("a.jpg", "a.wav"):
        board.path(name).chmod(0)
    assert run(["check", "board.yaml"]) == 1
    assert capsys.readouterr().err.splitlines() == fault.messages()
