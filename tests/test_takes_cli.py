"""takes, and assemble with takes, on the command line: files, words, exit codes."""

from __future__ import annotations

import csv
import json
import os
from io import StringIO
from pathlib import Path

import av
import pytest

from animatic.cli import run
from animatic.shoot.takes import look_over
from tests.boards import BoardFolder, panels
from tests.small_film import small_film
from tests.takes_made import number_in, state_of_folder, take, video

Capture = pytest.CaptureFixture[str]


@pytest.fixture
def board(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BoardFolder:
    """A board of shots 10, 20 and 30b of 36, 24 and 12 frames, whose folder is the current one."""
    board = small_film(tmp_path / "film")
    text = board.file.read_text("utf-8").replace("dialogue: false", "dialogue: false, shot: false")
    board.write(text.replace("shot: false", "shot: false, size: false"))
    monkeypatch.chdir(board.folder)
    return board


@pytest.fixture
def folder(board: BoardFolder) -> Path:
    """Shot 10 as shot, 20 being shot, 30b to do; another take of 10 is damaged."""
    folder = board.folder / "takes"
    take(folder / "10_take1", range(1, 37), pictures=range(1, 37), times=[*range(0, 3600, 100)])
    take(folder / "10_take2", range(1, 37))
    (folder / "10_take2" / "IMG_0005.jpg").write_bytes(b"")
    take(folder / "20_take1", (1, 2, 5, 6))
    return folder


def test_takes_are_called_as_the_lists_for_the_edit_call_them(tmp_path: Path) -> None:
    board = BoardFolder(tmp_path)
    board.photo()
    rows = "- {shot: 20/2, photo: a.jpg, duration: 4f}"
    head = "board: 1\npicture: {size: 160x90}\nmedia: '{shot}-t{take}.mov'\n"
    board.write(panels(rows, head))
    assert run(["shots", str(tmp_path), "--format", "edl", "--file", str(tmp_path / "a.edl")]) == 0
    assert "* FROM CLIP NAME: 20_2-t1.mov\n" in (tmp_path / "a.edl").read_text("utf-8")
    takes = tmp_path / "takes"
    takes.mkdir()
    film = board.lay_out(board.file.read_text())
    video(takes / "20_2-t1.mov", range(1, 5 + 2 * film.shots[0].handles))
    assert set(look_over(film, takes).takes()) == {"20/2"}


@pytest.mark.parametrize(
    "asked",
    [
        ["takes", ".", "takes", "--format", "csv", "--file", "takes/state.csv"],
        ["assemble", ".", "--takes", "takes", "--out", "takes/10_take1"],
        ["assemble", ".", "--takes", "takes", "--images", "takes/images"],
    ],
)
def test_nothing_is_written_among_takes(folder: Path, asked: list[str], capsys: Capture) -> None:
    before = state_of_folder(folder)
    assert run(asked) == 2
    assert (
        "this lies in the takes (takes), where nothing is ever written" in capsys.readouterr().err
    )
    assert state_of_folder(folder) == before


@pytest.mark.parametrize(
    ("takes", "asked"),
    [
        ("out", ["assemble", "."]),
        ("out/old", ["assemble", ".", "--all", "--out", "out/old/new"]),
        (".", ["assemble", "."]),
        (".", ["assemble", ".", "--images", "pictures"]),
        ("..", ["assemble", ".", "--film", "gif"]),
        ("..", ["takes", ".", "..", "--file", "state.table"]),
        (".", ["takes", ".", ".", "--file", "state.table"]),
        ("linked", ["assemble", ".", "--out", "takes/10_take1"]),
        ("with_link", ["assemble", ".", "--out", "takes/10_take1/film"]),
    ],
)
def test_no_place_is_taken_that_lies_in_the_takes(
    folder: Path, takes: str, asked: list[str], capsys: Capture
) -> None:
    film = folder.parent
    (film / "out" / "old").mkdir(parents=True)
    (film / "with_link").mkdir()
    (film / "with_link" / "10_take3").symlink_to(folder / "10_take1")
    (film / "linked").symlink_to(folder)
    before = state_of_folder(film)
    assert run([*asked, *(["--takes", takes] if asked[0] == "assemble" else [])]) == 2
    out, err = capsys.readouterr()
    assert f"in the takes ({takes}), where nothing is ever written; choose another place" in err
    assert ("with --out" in err) == (not {"--out", "--images", "--file"} & set(asked))
    assert out == ""
    assert state_of_folder(film) == before


def test_a_board_among_takes_is_shown_and_made_elsewhere(folder: Path, capsys: Capture) -> None:
    """The takes may lie beside the board itself, as long as nothing is written there."""
    film = folder.parent
    for name in ("10_take1", "20_take1"):
        (folder / name).rename(film / name)
    before = state_of_folder(film)
    assert run(["takes", ".", "."]) == 0
    assert run(["assemble", ".", "--takes", ".", "--images", "../pictures"]) == 0
    assert "1 shot as shot" in capsys.readouterr().err
    assert (film.parent / "pictures").is_dir()
    assert state_of_folder(film) == before


TABLE = """\
shot  status    take  takes  frames  wanted  missing    poses  poses left  days left
10    shot         1  1, 2       36      36                18           0       0.00
20    shooting     1  1           4      24  0003-0004     12          10       0.10
30b   to do                       0      12                 6           6       0.06

takes/10_take2: shot 10: left out; IMG_0005.jpg: the file is empty
takes/20_take1: shot 20: missing: 0003-0004

1 shot, 1 shooting, 1 to do; 16 poses left
0.16 days at the measured pace of 18 poses an hour (median of 17 times from pose to pose)
0.10 days at the board's pace of 30 poses an hour
days of shooting alone: what rigging takes is in animatic plan
"""
# 36 frames every 100 s are 18 poses every 200 s: 18 an hour. 16 poses, a tenth lost, at 200 s
# are 3520 s of a day of 21600 s; at 30 an hour 2112 s.


def test_the_table(folder: Path, capsys: Capture) -> None:
    assert run(["takes", ".", "takes"]) == 0
    out, err = capsys.readouterr()
    assert out == TABLE
    assert err == ""


def test_the_other_formats_say_the_same(folder: Path, capsys: Capture) -> None:
    said = {}
    for form in ("csv", "md", "json"):
        assert run(["takes", ".", "takes", "--format", form]) == 0
        said[form], err = capsys.readouterr()
        found = [line for line in TABLE.splitlines() if line.startswith("takes/")]
        assert err.splitlines() == (found if form == "csv" else [])
    listed = json.loads(said["json"])
    read = list(csv.DictReader(StringIO(said["csv"], newline="")))
    assert [(row["shot"], row["status"]) for row in read] == [
        ("10", "shot"),
        ("20", "shooting"),
        ("30b", "to do"),
    ]
    assert [row.pop("findings") for row in read] == [
        "10_take2: left out; IMG_0005.jpg: the file is empty",
        "20_take1: missing: 0003-0004",
        "",
    ]
    for row, shot in zip(read, listed["shots"], strict=True):
        plain = {key: "" if value is None else str(value) for key, value in shot.items()}
        assert {**row, "days_left": float(row["days_left"])} == {
            **plain,
            "days_left": shot["days_left"],
        }
    assert listed["total"] == {
        "shot": 1,
        "shooting": 1,
        "to_do": 1,
        "frames": 40,
        "wanted": 72,
        "poses": 36,
        "poses_left": 16,
        "poses_per_hour": 18.0,
        "times_measured": 17,
        "pauses": 0,
        "days_left": 0.16,
        "days_left_at_board_pace": 0.1,
    }
    assert [(one["kind"], one["shot"], one["left_out"]) for one in listed["findings"]] == [
        ("damaged", "10", True),
        ("missing", "20", False),
    ]
    assert [(one["shot"], one["take"], one["whole"]) for one in listed["takes"]] == [
        ("10", 1, True),
        ("10", 2, False),
        ("20", 1, False),
    ]
    assert "| 20   | shooting |    1 | 1     |      4 |     24 | 0003-0004 |" in said["md"]
    assert "1 shot, 1 shooting, 1 to do; 16 poses left" in said["md"]


def test_the_list_goes_into_a_file(folder: Path, board: BoardFolder, capsys: Capture) -> None:
    assert run(["takes", ".", "takes", "--file", "state.txt"]) == 0
    assert capsys.readouterr().out == "state.txt\n"
    assert (board.folder / "state.txt").read_text("utf-8") == TABLE


def numbers(path: Path) -> list[int]:
    with av.open(str(path)) as film:
        return [number_in(frame.to_ndarray(format="gray")) for frame in film.decode(video=0)]


def test_the_film_fills_up_and_what_is_left_out_is_said(
    folder: Path, board: BoardFolder, capsys: Capture
) -> None:
    before = state_of_folder(folder)
    assert run(["assemble", "--takes", "takes"]) == 0
    out, err = capsys.readouterr()
    assert err == (
        "takes/10_take2: shot 10: left out; IMG_0005.jpg: the file is empty\n"
        "takes/20_take1: shot 20: missing: 0003-0004\n"
        "1 shot as shot, 2 as photos\n"
    )
    assert out.splitlines()[0] == "out/film.mp4"
    # The photos are flat and dark: no bar is bright.
    assert numbers(board.folder / "out/film.mp4") == [*range(1, 37), *[0] * 36]
    assert state_of_folder(folder) == before


def test_what_is_being_shot_is_shown_on_demand(
    folder: Path, board: BoardFolder, capsys: Capture
) -> None:
    take(folder / "20_take1", (1, 2, 5, 6), pictures=(1, 2, 5, 6))
    assert run(["assemble", "--takes", "takes", "--unfinished"]) == 0
    assert capsys.readouterr().err.endswith("2 shots as shot, 1 as photos\n")
    found = numbers(board.folder / "out/film.mp4")
    assert found == [*range(1, 37), 1, 2, 2, 2, 5, 6, *[0] * 30]


def test_a_part_of_the_film_has_its_takes_and_its_words(
    folder: Path, board: BoardFolder, capsys: Capture
) -> None:
    video(folder / "30b_take1.mov", range(1, 13), size=(160, 90))
    assert run(["assemble", "--takes", "takes", "--from", "30b"]) == 0
    assert capsys.readouterr().err == "1 shot as shot, 0 as photos\n"
    assert numbers(board.folder / "out/film_30b-30b.mp4") == [*range(1, 13)]


def test_all_takes_damaged_still_make_a_film_of_photos(board: BoardFolder, capsys: Capture) -> None:
    (board.folder / "takes" / "10_take1").mkdir(parents=True)
    (board.folder / "takes" / "20_take1.mov").write_bytes(b"no video")
    assert run(["assemble", "--takes", "takes"]) == 0
    err = capsys.readouterr().err.splitlines()
    assert err[0].startswith("takes/10_take1: shot 10: left out; there are no numbered pictures")
    assert err[1].startswith("takes/20_take1.mov: shot 20: left out; the video cannot be read")
    assert err[2] == "0 shots as shot, 3 as photos"
    assert numbers(board.folder / "out/film.mp4") == [0] * 72


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["takes"], "Missing argument 'FOLDER'."),
        (["assemble", "--unfinished"], "--unfinished goes with --takes FOLDER"),
    ],
)
def test_wrong_usage(arguments: list[str], words: str, board: BoardFolder, capsys: Capture) -> None:
    assert run(arguments) == 2
    assert words in capsys.readouterr().err


def test_names_that_are_no_text_do_no_harm(board: BoardFolder, capsys: Capture) -> None:
    folder = board.folder / "takes"
    folder.mkdir()
    os.mkdir(os.fsencode(folder) + b"/10_take1\xff")
    (folder / "10\n_take1").mkdir()
    for form in ("table", "csv", "md", "json"):
        assert run(["takes", ".", "takes", "--format", form, "--file", f"state.{form}"]) == 0
    table = (board.folder / "state.table").read_text("utf-8")
    assert "takes/10 _take1: left out; it is of no shot of the board; " in table
    assert "takes/10_take1\N{REPLACEMENT CHARACTER}: left out; it is of no shot of the" in table
    assert len(json.loads((board.folder / "state.json").read_bytes())["findings"]) == 2
