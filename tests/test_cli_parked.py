"""On the command line a parked piece of music is as none: the same film and the same papers."""

from __future__ import annotations

from pathlib import Path

import pytest

from animatic.cli import run
from animatic.cli.watching import _stamps
from tests.boards import BoardFolder
from tests.small_film import PLAIN, small_film

Capture = pytest.CaptureFixture[str]
MUSIC = "music:\n- {file: tide.wav, until: shot 10, level: -6, licence: own}\n"
PARKED = (
    "- {file: tide.wav, from: shot 20, until: shot 30b, fade_in: 1s, loop: true, bpm: 120,"
    " licence: to buy, parked: true}\n"
    "- {file: gone.wav, from: shot 90, licence: to buy, parked: true}\n"
)
SHOT = "parked:\n- {shot: 90, photo: a.jpg}\n"


def film(folder: Path, music: str, more: str = "") -> BoardFolder:
    board = small_film(folder)
    board.tone("tide.wav", 48_000 * 2)
    board.write(PLAIN + music + more)
    return board


def made(folder: Path) -> dict[str, bytes]:
    """Everything in the folder out, with the place of the folder left out."""
    here = str(folder).encode()
    return {
        str(path.relative_to(folder)): path.read_bytes().replace(here, b"")
        for path in sorted((folder / "out").rglob("*"))
        if path.is_file()
    }


def test_film_and_papers_are_those_of_the_board_without_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    films = []
    for name, parked, more in (("with", PARKED, SHOT), ("without", "", ""), ("played", "", "")):
        home = tmp_path / name
        home.mkdir()
        # Out of a cache of its own, so that nothing is taken over from the other film.
        monkeypatch.setenv("XDG_CACHE_HOME", str(home / "cache"))
        music = MUSIC + (PARKED.splitlines()[0].replace(", parked: true", "") + "\n")
        board = film(home / "film", music if name == "played" else MUSIC + parked, more)
        monkeypatch.chdir(board.folder)
        assert run(["assemble", ".", "--all"]) == 0
        assert run(["sounds", ".", "--stems"]) == 0
        films.append((made(board.folder), capsys.readouterr().out))
    assert len(films[0][0]) > 8
    assert films[0] == films[1]
    # The piece would be heard, and printed, if it were in the film.
    for name in ("out/film.mp4", "out/music.wav", "out/shots.otio"):
        assert films[0][0][name] != films[2][0][name]
    assert "to buy" in films[2][1]


def test_check_and_sounds_pass_it_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    board = film(tmp_path / "film", MUSIC + PARKED, SHOT)
    monkeypatch.chdir(board.folder)
    assert run(["check"]) == 0
    assert run(["sounds", ".", "--format", "csv"]) == 0
    said = capsys.readouterr().out
    assert said.count("tide.wav") == 1
    assert "gone.wav" not in said
    assert "to buy" not in said


def test_what_is_parked_is_not_written_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    """Of a parked piece, its file and beats; of a parked panel, its recordings and effects."""
    panel = (
        "parked:\n- {shot: 90, photo: a.jpg, sounds: [{file: s.csv}],"
        " dialogue: [{who: Odd, line: Low., voice: v.csv}]}\n"
    )
    music = "music: [{file: m.csv, beats: b.csv, parked: true}]\n"
    board = film(tmp_path / "film", music, panel)
    monkeypatch.chdir(board.folder)
    for name in ("m.csv", "b.csv", "s.csv", "v.csv"):
        (board.folder / name).write_bytes(b"mine")
        assert run(["shots", ".", "--format", "csv", "--file", name]) == 2
        assert "the board uses this file" in capsys.readouterr().err
        assert (board.folder / name).read_bytes() == b"mine"


def test_watch_waits_for_no_file_of_a_parked_piece(tmp_path: Path) -> None:
    board = film(tmp_path / "film", MUSIC.replace("tide", "ebb") + PARKED)
    watched = {path.name for path in _stamps(board.file)}
    assert watched == {"board.yaml", "ebb.wav", "a.jpg", "b.jpg", "a.wav"}
