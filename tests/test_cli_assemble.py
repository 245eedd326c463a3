"""assemble on the command line: which files come out, of which length and size."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import pytest

from animatic.cli import run
from tests.boards import BoardFolder, panels
from tests.small_film import FOUND, PLAIN, process, small_film


@pytest.fixture
def board(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BoardFolder:
    """A board's folder, which is the current one."""
    board = small_film(tmp_path / "film")
    monkeypatch.chdir(board.folder)
    return board


Capture = pytest.CaptureFixture[str]


def film_facts(path: Path) -> tuple[int, tuple[int, int], Fraction]:
    """Return a film's frames, size and rate, by decoding it."""
    with av.open(str(path)) as container:
        stream = container.streams.video[0]
        assert stream.average_rate is not None
        count = sum(1 for _ in container.decode(stream))
        return count, (stream.width, stream.height), Fraction(stream.average_rate)


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_assemble_writes_film_captions_and_lists(board: BoardFolder, capsys: Capture) -> None:
    assert run(["assemble"]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    assert out.splitlines() == [
        "out/film.mp4",
        "out/film.vtt",
        "out/shots.csv",
        "out/shots.md",
        "out/sound.json",
        "3 shots, 72 frames at 24, 0:03.000, 160x90; 36 poses to set",
        # Clicks in silence stay soft: no film is made louder by more than 20 dB.
        "sound: -38.0 LUFS, range 0.0 LU, true peak -1.3 dBTP, limited by 9.3 dB;"
        " dialogue -38.0, effects -38.0, music silent",
        "Clear every piece of music and sound before anything is published.",
    ]
    folder = board.folder / "out"
    assert names(folder) == ["film.mp4", "film.vtt", "shots.csv", "shots.md", "sound.json"]
    assert film_facts(folder / "film.mp4") == (72, (160, 90), Fraction(24))
    assert (folder / "film.vtt").read_text(encoding="utf-8").startswith("WEBVTT\n")
    printed = process("shots", "--format", "csv", cwd=board.folder).stdout
    assert (folder / "shots.csv").read_bytes() == printed


def test_the_out_folder_lies_beside_the_board_wherever_one_stands(
    board: BoardFolder, capsys: Capture, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(["assemble", "film"]) == 0
    assert names(tmp_path) == ["film"]
    assert names(board.folder / "out")[0] == "film.mp4"
    assert capsys.readouterr().out.splitlines()[0] == "film/out/film.mp4"


@pytest.mark.parametrize(
    ("options", "files", "frames", "size"),
    [
        (["--from", "20"], ["film_20-30b.mp4", "film_20-30b.vtt"], 36, (160, 90)),
        (["--to", "20"], ["film_10-20.mp4", "film_10-20.vtt"], 60, (160, 90)),
        (["--from", "20", "--to", "20"], ["film_20-20.mp4", "film_20-20.vtt"], 24, (160, 90)),
        (
            ["--from", "20", "--to", "20", "--draft"],
            ["film_20-20_draft.mp4", "film_20-20_draft.vtt"],
            24,
            (128, 72),
        ),
        (
            ["--draft", "--size", "320x180"],
            ["film_draft.mp4", "film_draft.vtt", "shots.csv", "shots.md", "sound.json"],
            72,
            (320, 180),
        ),
        (
            ["--size", "256x144"],
            ["film.mp4", "film.vtt", "shots.csv", "shots.md", "sound.json"],
            72,
            (256, 144),
        ),
    ],
)
def test_parts_and_sizes(
    options: list[str],
    files: list[str],
    frames: int,
    size: tuple[int, int],
    board: BoardFolder,
    tmp_path: Path,
) -> None:
    folder = tmp_path / "deep" / "down"
    assert run(["assemble", "--out", str(folder), *options]) == 0
    assert names(folder) == files
    assert film_facts(folder / files[0]) == (frames, size, Fraction(24))
    assert names(board.folder) == ["a.jpg", "a.wav", "b.jpg", "board.yaml"]


def test_a_part_leaves_the_whole_films_lists_as_they_are(
    board: BoardFolder, capsys: Capture
) -> None:
    assert run(["assemble"]) == 0
    folder = board.folder / "out"
    before = {name: (folder / name).read_bytes() for name in names(folder)}
    assert run(["assemble", "--from", "20"]) == 0
    assert {name: (folder / name).read_bytes() for name in before} == before
    assert set(names(folder)) == {*before, "film_20-30b.mp4", "film_20-30b.vtt"}


def test_a_broken_board_leaves_the_last_film_as_it_was(board: BoardFolder, capsys: Capture) -> None:
    assert run(["assemble", "--to", "10"]) == 0
    folder = board.folder / "out"
    before = {name: (folder / name).read_bytes() for name in names(folder)}
    board.write(PLAIN.replace("b.jpg", "gone.jpg", 1))
    assert run(["assemble", "--to", "10"]) == 1
    assert {name: (folder / name).read_bytes() for name in names(folder)} == before


def test_what_there_is_to_mind_is_said_at_the_end(board: BoardFolder, capsys: Capture) -> None:
    board.write(FOUND)
    assert run(["assemble", "--to", "10"]) == 0
    assert capsys.readouterr().out.splitlines()[2:] == [
        "1 shot, 29 frames at 24, 0:01.208, 160x90; 15 poses to set",
        "2 findings to look at (poses 1, short 1): animatic check",
        "Caution: cuts this fast can flash, and flashing pictures can hurt people with"
        " photosensitive epilepsy; see docs/cautions.md.",
        "Clear every piece of music and sound before anything is published.",
    ]


def test_a_film_without_music_has_nothing_to_clear(board: BoardFolder, capsys: Capture) -> None:
    board.write(panels("- {shot: 10, photo: a.jpg, duration: 12f}"))
    assert run(["assemble"]) == 0
    assert capsys.readouterr().out.splitlines()[5:] == [
        "1 shot, 12 frames at 24, 0:00.500, 160x90; 6 poses to set",
        "sound: silent",
    ]


def test_shot_names_become_plain_in_file_names(board: BoardFolder) -> None:
    board.write(panels("- {shot: 10 / a?, photo: a.jpg, duration: 12f}"))
    assert run(["assemble", "--from", "10 / a?"]) == 0
    assert names(board.folder / "out") == ["film_10_a_-10_a_.mp4", "film_10_a_-10_a_.vtt"]


def test_the_same_board_makes_the_same_bytes(board: BoardFolder) -> None:
    assert run(["assemble", "--out", "one"]) == 0
    assert run(["assemble", "--out", "two"]) == 0
    for name in names(board.folder / "one"):
        one, two = (board.folder / folder / name for folder in ("one", "two"))
        assert one.read_bytes() == two.read_bytes(), name


def test_in_a_pipe_no_progress_is_drawn(board: BoardFolder) -> None:
    done = process("assemble", "--draft", cwd=board.folder)
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout.decode().splitlines()[0] == "out/film_draft.mp4"
