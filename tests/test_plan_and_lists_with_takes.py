"""Halfway through the shoot: the plan of what is left, and the takes in the lists for the edit."""

from __future__ import annotations

import json
from datetime import date
from io import BytesIO
from pathlib import Path

import icalendar
import opentimelineio as otio
import pytest
from PIL import Image
from pypdf import PdfReader

from animatic.cli import run
from tests.boards import BoardFolder, panels
from tests.small_film import small_film
from tests.takes_made import state_of_folder, take, video

Capture = pytest.CaptureFixture[str]
DONE = "left out as done: 1 shot that is shot, 20 poses in all; 1 shot is being shot"
EXPAND = (
    "takes with one picture a pose, and the lists for the edit count one a frame: expand them"
    " first, each pose to its frames on the exposure sheet (shot 30b)\n"
)
COUNTED = "* EACH SOURCE: ONE PICTURE A FRAME TO SHOOT, FIRST THE HANDLE"


@pytest.fixture
def board(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BoardFolder:
    """A board of shots 10, 20 and 30b of 36, 24 and 12 frames, whose folder is the current one."""
    board = small_film(tmp_path / "film")
    monkeypatch.chdir(board.folder)
    return board


@pytest.fixture
def folder(board: BoardFolder) -> Path:
    """Shot 10 is shot, and 20 is being shot: the first pose and the third of twelve are there."""
    folder = board.folder / "takes"
    take(folder / "10_take1", range(1, 37))
    take(folder / "20_take1", (1, 2, 5, 6))
    return folder


def plan_of(capsys: Capture, *more: str) -> dict[str, list[dict[str, object]]]:
    assert run(["plan", "--format", "json", *more]) == 0
    found: dict[str, list[dict[str, object]]] = json.loads(capsys.readouterr().out)
    return found


def test_the_plan_of_the_rest_has_what_the_takes_lack(folder: Path, capsys: Capture) -> None:
    before = state_of_folder(folder)
    assert run(["takes", "takes", "--format", "json"]) == 0
    left = json.loads(capsys.readouterr().out)["total"]["poses_left"]
    found = plan_of(capsys, "--takes", "takes")
    keys = ("shot", "first_pose", "last_pose", "poses", "frames_to_shoot")
    assert [tuple(row[key] for key in keys) for row in found["stints"]] == [
        ("20", 2, 2, 1, None),
        ("20", 4, 12, 9, 20),
        ("30b", 1, 6, 6, 12),
    ]
    total = found["total"]
    assert isinstance(total, dict)
    # 16 poses at 30 an hour, a tenth lost: 35.2 minutes.
    assert (total["poses"], total["minutes"]) == (left, 35) == (16, 35)
    assert found["done"] == {"shots": 1, "begun": 1, "poses": 20}
    assert state_of_folder(folder) == before


def test_without_takes_the_plan_is_as_before(folder: Path, capsys: Capture) -> None:
    found = plan_of(capsys)
    assert [row["shot"] for row in found["stints"]] == ["10", "20", "30b"]
    assert "done" not in found


def test_an_empty_folder_leaves_the_whole_plan(board: BoardFolder, capsys: Capture) -> None:
    (board.folder / "takes").mkdir()
    whole, found = plan_of(capsys), plan_of(capsys, "--takes", "takes")
    assert found.pop("done") == {"shots": 0, "begun": 0, "poses": 0}
    assert found == whole


def test_every_format_of_the_plan_is_of_the_rest(folder: Path, capsys: Capture) -> None:
    asked = ["plan", "--takes", "takes", "--start", "2027-03-01"]
    assert run(asked) == 0
    out, err = capsys.readouterr()
    assert DONE in out.splitlines()
    assert err == ""
    for form in ("csv", "pdf", "ics", "png"):
        assert run([*asked, "--format", form, "--file", f"plan.{form}"]) == 0
        assert capsys.readouterr().err == f"{DONE}\n"
    rows = Path("plan.csv").read_text("utf-8").splitlines()
    assert [row.split(",")[6] for row in rows[1:]] == ["20", "20", "30b"]
    sheet = "\n".join(page.extract_text() for page in PdfReader("plan.pdf").pages)
    assert "pose 4 to 12 of 12" in sheet
    assert "20 frames to shoot" in sheet
    assert "shot 1 of 3" not in sheet
    assert "shot 2 of 3" in sheet
    calendar = icalendar.Calendar.from_ical(Path("plan.ics").read_bytes())
    [event] = calendar.walk("VEVENT")
    assert event["DTSTART"].dt.date() == date(2027, 3, 1)
    assert "shot 20, poses: 9 (pose 4 to 12)" in event["DESCRIPTION"]
    assert "shot 10" not in event["DESCRIPTION"]
    assert Image.open(BytesIO(Path("plan.png").read_bytes())).width > 100


def test_dates_from_the_boards_first_day_are_named(
    board: BoardFolder, folder: Path, capsys: Capture
) -> None:
    board.write(board.file.read_text("utf-8") + "day: {first_day: 2027-03-01}\n")
    said = (
        "dates begin at the board's first_day, 2027-03-01, though some is shot; plan --start says"
        " on which day the rest begins\n"
    )
    assert run(["plan", "--takes", "takes"]) == 0
    assert capsys.readouterr().err == said
    assert run(["plan", "--takes", "takes", "--start", "2027-03-04"]) == 0
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize("form", ["table", "csv", "json", "pdf", "ics", "png"])
def test_where_all_is_shot_nothing_is_left_to_plan(
    form: str, board: BoardFolder, capsys: Capture
) -> None:
    for name, frames in (("10", 36), ("20", 24), ("30b", 12)):
        take(board.folder / "takes" / f"{name}_take1", range(1, frames + 1))
    assert run(["plan", "--takes", "takes", "--format", form]) == 0
    out, err = capsys.readouterr()
    assert "every shot is shot: nothing is left to plan" in out + err
    assert not (board.folder / "out").exists()
    if form == "json":
        assert json.loads(out)["stints"] == []
    if form == "csv":
        assert len(out.splitlines()) == 1


@pytest.mark.parametrize(
    "asked",
    [
        ["plan", "--takes", "takes", "--file", "takes/plan.csv", "--format", "csv"],
        ["plan", "--takes", "takes", "--format", "edl"],
        ["plan", "--takes", ".", "--format", "pdf"],
        ["shots", "--takes", "takes", "--format", "edl", "--file", "takes/cut.edl"],
        ["shots", "--takes", "takes"],
        ["plan", "--takes", "nowhere"],
    ],
)
def test_what_cannot_be_asked_is_refused(asked: list[str], folder: Path, capsys: Capture) -> None:
    before = state_of_folder(folder.parent)
    assert run(asked) == 2
    assert capsys.readouterr().out == ""
    assert state_of_folder(folder.parent) == before


def test_all_papers_are_of_the_rest_and_name_the_takes(
    board: BoardFolder, folder: Path, capsys: Capture
) -> None:
    take(folder / "30b_take2", range(6), times=[60 * n for n in range(6)])
    assert run(["assemble", "--all", "--takes", "takes", "--draft"]) == 0
    err = capsys.readouterr().err
    assert err.count(EXPAND) == 1
    assert "left out as done: 2 shots that are shot, 26 poses in all; 1 shot is being shot\n" in err
    rows = (board.folder / "out/plan.csv").read_text("utf-8").splitlines()
    assert [row.split(",")[6] for row in rows[1:]] == ["20", "20"]
    assert "* FROM CLIP NAME: 30b_take2\n" in (board.folder / "out/shots.edl").read_text("utf-8")
    assert "30b_take2" in (board.folder / "out/shots.otio").read_text("utf-8")


def test_a_take_with_one_picture_a_pose_is_named_and_said_in_the_edit_lists(
    folder: Path, capsys: Capture
) -> None:
    take(folder / "30b_take2", range(6), times=[60 * n for n in range(6)])
    video(folder / "20_take3.mov", range(24), size=(160, 90))
    for form in ("edl", "otio"):
        assert run(["shots", "--takes", "takes", "--format", form, "--file", f"cut.{form}"]) == 0
        assert capsys.readouterr().err == EXPAND
    lines = Path("cut.edl").read_text("utf-8").splitlines()
    assert [line for line in lines if line.startswith("*")] == [
        "* FROM CLIP NAME: 10_take1",
        COUNTED,
        "* FROM CLIP NAME: 20_take3.mov",
        "* FROM CLIP NAME: 30b_take2",
        "* 6 PICTURES, ONE A POSE: EXPAND TO 12 FRAMES FIRST",
    ]
    read = otio.adapters.read_from_file("cut.otio")
    clips = {clip.name: clip for clip in read.find_clips() if "poses" in str(clip.metadata)}
    assert clips["20"].media_reference.target_url == "20_take3.mov"
    assert "media" not in clips["20"].metadata["animatic"]
    said = ["6 pictures, one a pose: expand to 12 frames first"]
    assert list(clips["30b"].metadata["animatic"]["media"]) == said


def test_lists_without_takes_say_what_they_count_on(board: BoardFolder, capsys: Capture) -> None:
    assert run(["shots", "--format", "edl"]) == 0
    out, err = capsys.readouterr()
    assert out.count(f"* FROM CLIP NAME: 10_take1\n{COUNTED}\n") == out.count(COUNTED) == 1
    assert err == ""
    assert run(["shots", "--format", "otio"]) == 0
    said = json.loads(capsys.readouterr().out)["metadata"]["animatic"]["media"]
    assert f"* {said.upper()}" == COUNTED


def test_a_take_without_handles_says_where_it_begins(board: BoardFolder, capsys: Capture) -> None:
    rows = """
    - {shot: 10, photo: a.jpg, duration: 24f}
    - {shot: 20, photo: a.jpg, duration: 13f, transition: {dissolve: 7f}}
    """
    board.write(panels(rows, "board: 1\npicture: {size: 160x90}\nhandles: 4f\n"))
    # Shot 20 has 4 frames of handle and 3 of overlap before its 25 - 12 frames from cut to cut.
    take(board.folder / "takes" / "10_take1", range(1, 29))
    take(board.folder / "takes" / "20_take1", range(1, 14))
    assert run(["shots", "--takes", "takes", "--format", "edl"]) == 0
    out, err = capsys.readouterr()
    assert out.count("* BEGINS AT SOURCE FRAME 4\n") == 1
    assert out.count("* BEGINS AT SOURCE FRAME 7\n") == 1
    assert err.endswith("at which of its frames each begins (shot 10, 20)\n")
