"""still and cache on the command line, and the forms that a film can take."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import av
import numpy as np
import pytest
from boards import BoardFolder, panels
from PIL import Image

from animatic.cli import run
from animatic.film.cache import cache_folder

COLOURS = [(200, 40, 40), (40, 180, 60), (50, 60, 200)]
ROWS = """
- {shot: 10, photo: p0.png, duration: 12f}
- {shot: 20, photo: p1.png, duration: 10f}
- {photo: p2.png, duration: 14f}
"""
HEAD = "board: 1\npicture: {size: 160x90}\nlettering: {shot: false}\n"


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    folder = BoardFolder(tmp_path)
    for number, colour in enumerate(COLOURS):
        folder.photo(f"p{number}.png", colour)
    folder.write(panels(ROWS, HEAD))
    return folder


def middle(path: Path) -> tuple[int, ...]:
    with Image.open(path) as picture:
        return tuple(int(c) for c in np.asarray(picture.convert("RGB"))[45, 80])


@pytest.mark.parametrize(
    ("asked", "frame", "label", "shot", "colour"),
    [
        (["--at", "01:00:00:11"], 11, "01:00:00:11", "10", 0),
        (["--shot", "20"], 12, "01:00:00:12", "20", 1),
        (["--shot", "20", "--frame", "10"], 22, "01:00:00:22", "20", 2),
        (["--frame", "35"], 35, "01:00:01:11", "20", 2),
    ],
)
def test_still_writes_the_frame_asked_for(
    board: BoardFolder,
    capsys: pytest.CaptureFixture[str],
    asked: list[str],
    frame: int,
    label: str,
    shot: str,
    colour: int,
) -> None:
    assert run(["still", str(board.folder), *asked]) == 0
    path = board.folder / "out" / f"still_{frame:06}.png"
    assert capsys.readouterr().out == f"{path}\nframe {frame}, {label}, shot {shot}\n"
    assert middle(path) == COLOURS[colour]


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ([], "say which frame: --at 01:00:12:05, or --shot 40 --frame 3"),
        (["--shot", "20", "--frame", "24"], "--frame 24: shot 20 has frames 0 to 23"),
        (["--shot", "30"], "there is no shot 30; the shots are 10, 20"),
        (
            ["--at", "02:00:00:00"],
            "--at 02:00:00:00 lies after it ends: the film runs from 01:00:00:00 to 01:00:01:11"
            " (frames 0 to 35)",
        ),
        (
            ["--at", "00:00:00:11"],
            "--at 00:00:00:11 lies before it begins: the film runs from 01:00:00:00 to"
            " 01:00:01:11 (frames 0 to 35)",
        ),
        (["--frame", "36"], "frame 36: the film has frames 0 to 35, 01:00:00:00 to 01:00:01:11"),
        (["--at", "1:00"], "--at: 1:00 is no timecode; it looks like 01:00:00:00"),
        (["--at", "01:00:00:00", "--frame", "3"], "say --at, or --shot and --frame"),
    ],
)
def test_a_frame_that_is_not_there_is_wrong_usage(
    board: BoardFolder, capsys: pytest.CaptureFixture[str], asked: list[str], words: str
) -> None:
    assert run(["still", str(board.folder), *asked]) == 2
    assert capsys.readouterr().err == f"{words}\n"


def test_images_are_numbered_from_0_and_exact(board: BoardFolder) -> None:
    images = board.folder / "frames"
    assert run(["assemble", str(board.folder), "--images", str(images)]) == 0
    names = sorted(path.name for path in images.iterdir())
    assert names == [f"{frame:06}.png" for frame in range(36)]
    expected = [COLOURS[0]] * 12 + [COLOURS[1]] * 10 + [COLOURS[2]] * 14
    assert [middle(images / name) for name in names] == expected


def test_a_gif_is_written_in_place_of_the_film(board: BoardFolder) -> None:
    assert run(["assemble", str(board.folder), "--film", "gif"]) == 0
    assert [path.name for path in (board.folder / "out").iterdir()] == ["film.gif"]
    with Image.open(board.folder / "out" / "film.gif") as gif:
        lengths = []
        for number in range(getattr(gif, "n_frames", 1)):
            gif.seek(number)
            lengths.append(gif.info["duration"])
    assert sum(lengths) == 1500


@pytest.mark.parametrize(
    ("lettering", "more", "pictures"),
    [
        ("shot: false", [], 3),
        ("shot: false", ["--counter"], 36),
        ("shot: false, counter: shot", [], 36),
        ("shot: false, counter: shot", ["--no-counter"], 3),
    ],
)
def test_a_gif_counts_the_frames_as_the_film_does(
    board: BoardFolder, lettering: str, more: list[str], pictures: int
) -> None:
    board.write(panels(ROWS, HEAD.replace("shot: false", lettering)))
    assert run(["assemble", str(board.folder), "--film", "gif", *more]) == 0
    with Image.open(board.folder / "out" / "film.gif") as gif:
        assert getattr(gif, "n_frames", 1) == pictures


@pytest.mark.parametrize(
    ("more", "size"),
    [
        (["gif"], "480x270"),
        (["webm"], "640x360"),
        (["webm", "--size", "1280x720"], "1280x720"),
        (["gif", "--size", "320x180", "--draft"], "320x180"),
        (["webm", "--draft", "--from", "20"], "640x360"),
    ],
)
def test_what_is_said_of_a_small_film_is_what_is_in_it(
    board: BoardFolder, capsys: pytest.CaptureFixture[str], more: list[str], size: str
) -> None:
    board.write(panels(ROWS, HEAD.replace("160x90", "1920x1080")))
    assert run(["assemble", str(board.folder), "--film", *more]) == 0
    path, said = capsys.readouterr().out.splitlines()[:2]
    with av.open(path) as film:
        picture = film.streams.video[0]
        assert f"{picture.width}x{picture.height}" == size
    assert f", {size};" in said


def test_images_and_film_are_not_both_to_be_had(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["assemble", str(board.folder), "--images", "x", "--film", "gif"]
    assert run(arguments) == 2
    assert capsys.readouterr().err == "say --images or --film, not both\n"


def test_the_counter_is_the_boards_and_can_be_asked_for(board: BoardFolder) -> None:
    board.write(panels(ROWS, HEAD.replace("shot: false", "shot: false, counter: shot")))
    pictures = []
    for more in ([], ["--no-counter"], ["--counter"]):
        target = board.folder / "still.png"
        assert run(["still", str(board.folder), "--frame", "3", "--file", str(target), *more]) == 0
        pictures.append(target.read_bytes())
    assert pictures[0] == pictures[2]
    assert pictures[0] != pictures[1]


def test_the_cache_can_be_sized_and_emptied(
    board: BoardFolder, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(board.folder / "cache"))
    assert run(["assemble", str(board.folder)]) == 0
    capsys.readouterr()
    assert run(["cache"]) == 0
    said = capsys.readouterr().out
    assert " kB of at most 2000.0 MB\n" in said
    assert ": 0.0 kB;" not in said
    assert run(["cache", "--clear"]) == 0
    assert capsys.readouterr().out.endswith(" kB removed\n")
    assert run(["cache", "--size"]) == 0
    empty = ": 0.0 kB; coded pictures and sound are 0.0 kB of at most 2000.0 MB\n"
    assert capsys.readouterr().out.endswith(empty)


def test_all_that_is_kept_is_counted_and_removed_and_nothing_else(
    board: BoardFolder, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(board.folder / "cache"))
    folder = cache_folder()
    long_ago = 1_000_000
    ours = [
        *(folder / name for name in ("media.json", "light.json", "level.json", "takes.json")),
        folder / "voices" / f"{'0a' * 16}.wav",
        folder / "ab" / ("ab" * 32),
        folder / ".animatic-0123456789ab.part",
        folder / "voices" / ".animatic-0123456789ab.part",
    ]
    others = [
        *(folder / name for name in ("notes.txt", "mine.json", "0a.wav", "voices.wav")),
        *(folder / "voices" / name for name in ("mine.wav", "media.json")),
        folder / "films" / ("ab" * 32),
        folder / ".animatic-ba9876543210.part",
    ]
    for path in (*ours, *others):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(bytes(100))
    for path in (*ours, *others[:-1]):
        os.utime(path, (long_ago, long_ago))
    assert run(["cache"]) == 0
    coded = "coded pictures and sound are 0.1 kB of at most 2000.0 MB"
    assert capsys.readouterr().out == f"{folder}: 0.8 kB; {coded}\n"
    assert run(["cache", "--clear"]) == 0
    assert capsys.readouterr().out == f"{folder}: 0.8 kB removed\n"
    assert not any(path.exists() for path in ours)
    assert all(path.exists() for path in others)


def test_what_a_run_keeps_is_all_counted(
    board: BoardFolder, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(board.folder / "cache"))
    head = HEAD + "setups: {quay: {level: even}}\n"
    board.write(panels(ROWS.replace("10,", "10, setup: quay,", 1), head))
    assert run(["assemble", str(board.folder)]) == 0
    take = board.folder / "shot" / "10_take1"
    take.mkdir(parents=True)
    shutil.copy(board.folder / "p0.png", take / "0001.png")
    assert run(["takes", str(board.folder), str(take.parent)]) == 0
    kept = {path.name for path in cache_folder().iterdir()}
    assert {"media.json", "light.json", "takes.json"} <= kept
    assert run(["cache", "--clear"]) == 0
    assert [path for path in cache_folder().rglob("*") if path.is_file()] == []


def test_a_still_is_a_png_by_its_name_too(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = ["still", str(board.folder), "--shot", "10", "--file", str(board.path("a still.jpg"))]
    assert run(asked) == 2
    assert capsys.readouterr().err.endswith("a frame is written as PNG: name it a still.png\n")
    assert not board.path("a still.jpg").exists()
