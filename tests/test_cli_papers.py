"""Papers on the command line: which files come out, and what is refused in words."""

from __future__ import annotations

import csv
import json
import os
import pty
import subprocess
import sys
from io import BytesIO, StringIO
from pathlib import Path

import icalendar
import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

from animatic.cli import run
from tests.boards import BoardFolder
from tests.small_film import process, small_film


@pytest.fixture
def board(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BoardFolder:
    """A board's folder, which is the current one."""
    board = small_film(tmp_path / "film")
    monkeypatch.chdir(board.folder)
    return board


Capture = pytest.CaptureFixture[str]
PAPERS = [
    "exposure.csv",
    "exposure.pdf",
    "plan.csv",
    "plan.json",
    "plan.pdf",
    "plan.png",
    "shots.csv",
    "shots.edl",
    "shots.html",
    "shots.json",
    "shots.md",
    "shots.otio",
    "shots.pdf",
    "shots.xlsx",
]


@pytest.mark.parametrize("form", ["xlsx", "pdf", "html", "edl", "otio", "md"])
def test_shots_are_the_same_in_a_pipe_and_in_a_file(
    form: str, board: BoardFolder, capsys: Capture
) -> None:
    target = board.folder / f"list.{form}"
    assert run(["shots", "--format", form, "--file", str(target)]) == 0
    assert capsys.readouterr().out == f"{target}\n"
    assert process("shots", "--format", form, cwd=board.folder).stdout == target.read_bytes()


def test_a_workbook_on_a_terminal_is_refused(board: BoardFolder) -> None:
    code = "import sys; from animatic.cli import run; sys.exit(run(['shots', '--format', 'xlsx']))"
    ours, theirs = pty.openpty()
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=board.folder, stdout=theirs, stderr=subprocess.PIPE
    )
    os.close(ours)
    os.close(theirs)
    assert done.returncode == 2
    assert done.stderr.decode() == ("xlsx is nothing to show on a terminal: say --file FILE.xlsx\n")


def test_exposure_sheets_of_all_shots_or_one(board: BoardFolder, capsys: Capture) -> None:
    assert run(["exposure", "--format", "csv", "--file", "all.csv"]) == 0
    assert run(["exposure", "--format", "csv", "--file", "one.csv", "--shot", "20"]) == 0
    assert run(["exposure", "--file", "all.pdf", "--paper", "letter"]) == 0
    every, one = (
        list(csv.DictReader(StringIO((board.folder / name).read_text("utf-8"), newline="")))
        for name in ("all.csv", "one.csv")
    )
    assert [row for row in every if row["shot"] == "20"] == one
    pages = PdfReader(BytesIO((board.folder / "all.pdf").read_bytes())).pages
    assert len(pages) == 3
    assert (pages[0].mediabox.width, pages[0].mediabox.height) == (612, 792)
    capsys.readouterr()
    assert run(["exposure", "--shot", "21"]) == 2
    assert capsys.readouterr().err == ("there is no shot 21; the shots are 10, 20, 30b\n")


def test_the_plan_in_its_formats(board: BoardFolder, capsys: Capture) -> None:
    assert run(["plan"]) == 0
    assert "36 poses" in capsys.readouterr().out
    dates = ["--start", "2027-03-06", "--days", "sun"]
    for form in ("json", "pdf", "ics", "png"):
        assert run(["plan", "--format", form, "--file", f"plan.{form}", *dates]) == 0
    content = json.loads((board.folder / "plan.json").read_text("utf-8"))
    assert content["total"]["poses"] == 36
    # The sixth of March 2027 is a Saturday.
    assert {stint["date"] for stint in content["stints"]} == {"2027-03-07"}
    calendar = icalendar.Calendar.from_ical((board.folder / "plan.ics").read_bytes())
    assert len(calendar.walk("VEVENT")) == 1
    text = PdfReader(board.folder / "plan.pdf").pages[0].extract_text()
    assert "Sun 2027-03-07" in text
    assert (board.folder / "plan.png").read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--format", "ics"], "a calendar needs the first day of the shoot: --start 2027-03-01"),
        (
            ["--days", "fri-mo"],
            "--days: found fri-mo; allowed: mon tue wed thu fri sat sun, as mon-fri or mon,wed,sat",
        ),
    ],
)
def test_what_a_plan_cannot_do_is_said(
    arguments: list[str], words: str, board: BoardFolder, capsys: Capture
) -> None:
    assert run(["plan", *arguments]) == 2
    assert capsys.readouterr().err == f"{words}\n"


def test_assemble_all_writes_every_paper(board: BoardFolder, capsys: Capture) -> None:
    assert run(["assemble", "--all"]) == 0
    out = capsys.readouterr().out.splitlines()
    folder = board.folder / "out"
    names = sorted(path.name for path in folder.iterdir())
    assert names == sorted(["film.mp4", "film.vtt", "sound.json", *PAPERS])
    assert sorted(line.removeprefix("out/") for line in out[: len(names)]) == names
    for form in ("xlsx", "pdf", "html", "edl", "otio", "json"):
        printed = process("shots", "--format", form, cwd=board.folder).stdout
        assert (folder / f"shots.{form}").read_bytes() == printed
    sheet = load_workbook(folder / "shots.xlsx").active
    assert sheet["A7"].value == "3 shots"


@pytest.mark.parametrize("more", [["--from", "20"], ["--to", "10"], ["--film", "gif"]])
def test_papers_are_those_of_the_whole_film(
    more: list[str], board: BoardFolder, capsys: Capture
) -> None:
    assert run(["assemble", "--all", *more]) == 2
    assert capsys.readouterr().err == (
        "--all is for the whole film: leave --from, --to, --images and --film out\n"
    )
    assert not (board.folder / "out").exists()
