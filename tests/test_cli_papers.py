"""Papers on the command line: which files come out, and what is refused in words."""

from __future__ import annotations

import csv
import json
from io import BytesIO, StringIO
from pathlib import Path

import icalendar
import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

from animatic.cli import run
from tests.boards import BoardFolder, panels
from tests.small_film import process, small_film


@pytest.fixture
def board(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BoardFolder:
    """A board's folder, which is the current one."""
    board = small_film(tmp_path / "film")
    monkeypatch.chdir(board.folder)
    return board


Capture = pytest.CaptureFixture[str]
PAPERS = [
    "cards.pdf",
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


@pytest.mark.parametrize("form", ["html", "edl", "otio", "md"])
def test_shots_are_the_same_in_a_pipe_and_in_a_file(
    form: str, board: BoardFolder, capsys: Capture
) -> None:
    target = board.folder / f"list.{form}"
    assert run(["shots", "--format", form, "--file", str(target)]) == 0
    assert capsys.readouterr().out == f"{target}\n"
    assert process("shots", "--format", form, cwd=board.folder).stdout == target.read_bytes()


BINARY = [
    ("shots", "xlsx", [], "shots.xlsx"),
    ("shots", "pdf", [], "shots.pdf"),
    ("exposure", "pdf", [], "exposure.pdf"),
    ("exposure", "pdf", ["--shot", "30b"], "exposure_30b.pdf"),
    ("plan", "pdf", [], "plan.pdf"),
    ("plan", "png", [], "plan.png"),
    ("lines", "pdf", [], "lines.pdf"),
]


@pytest.mark.parametrize(("command", "form", "more", "name"), BINARY)
def test_what_is_no_text_goes_into_the_out_folder(
    command: str, form: str, more: list[str], name: str, board: BoardFolder, capsys: Capture
) -> None:
    arguments = [command, str(board.folder), "--format", form, *more]
    assert run(arguments) == 0
    made = board.folder / "out" / name
    assert capsys.readouterr().out.splitlines()[0] == str(made)
    named = board.folder / "new" / f"named.{form}"
    assert run([*arguments, "--file", str(named)]) == 0
    assert capsys.readouterr().out.splitlines()[0] == str(named)
    assert named.read_bytes() == made.read_bytes()
    assert [path.name for path in (board.folder / "out").iterdir()] == [name]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (
            ["exposure", "--file", "x.csv", "--format", "pdf"],
            "--file x.csv and --format pdf disagree: name the file x.pdf, or say --format csv",
        ),
        (
            ["plan", "--file", "new/x.PDF"],
            "--file new/x.PDF and --format table disagree: name the file x.txt, or say"
            " --format pdf",
        ),
        (
            ["shots", "--format", "xlsx", "--file", "x.txt"],
            "--file x.txt and --format xlsx disagree: name the file x.xlsx",
        ),
        (
            ["lines", "--format", "md", "--file", "x.json"],
            "--file x.json and --format md disagree: name the file x.md, or say --format json",
        ),
        (
            ["takes", ".", ".", "--format", "csv", "--file", "x.png"],
            "--file x.png and --format csv disagree: name the file x.csv",
        ),
    ],
)
def test_a_file_that_is_named_as_another_format_is_refused(
    arguments: list[str], words: str, board: BoardFolder, capsys: Capture
) -> None:
    before = sorted(board.folder.iterdir())
    if arguments[0] != "takes":
        arguments = [arguments[0], ".", *arguments[1:]]
    assert run(arguments) == 2
    assert capsys.readouterr().err == f"{words}\n"
    assert sorted(board.folder.iterdir()) == before


@pytest.mark.parametrize("name", ["x.htm", "x.html", "x", "x.2"])
def test_names_that_say_no_other_format_are_taken(name: str, board: BoardFolder) -> None:
    assert run(["shots", "--format", "html", "--file", name]) == 0
    assert (board.folder / name).is_file()


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
    assert capsys.readouterr().err == "there is no shot 21; the shots are 10, 20, 30b\n"


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


NEEDED = (
    "needs the first day of the shoot: --start 2027-03-01, or day: {first_day: 2027-03-01} in the"
    " board"
)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--format", "ics"], f"a calendar {NEEDED}"),
        (["--days", "sat"], f"--days {NEEDED}"),
        (
            ["--days", "fri-mo"],
            "--days: fri-mo; allowed: mon tue wed thu fri sat sun, as mon-fri or mon,wed,sat",
        ),
        (["--start", "2027-02-30"], "--start: 2027-02-30; February 2027 has 28 days"),
        (["--start", "1.3.27"], "--start: 1.3.27; allowed: a date as 2027-03-01: year, month, day"),
    ],
)
def test_what_a_plan_cannot_do_is_said(
    arguments: list[str], words: str, board: BoardFolder, capsys: Capture
) -> None:
    assert run(["plan", *arguments]) == 2
    assert capsys.readouterr().err == f"{words}\n"


def test_a_fade_too_long_for_an_edit_list_is_named(tmp_path: Path, capsys: Capture) -> None:
    folder = BoardFolder(tmp_path)
    folder.photo()
    fade = "- {shot: 10, photo: a.jpg, duration: 1100f, transition: {from_black: 1000f}}"
    folder.write(panels(fade, "board: 1\npicture: {size: 160x90}\n"))
    words = (
        "the fade in of shot 10 has 1000 frames, and 999 in the edit decision list, which holds no"
        " more: lengthen it in the edit, or use the otio list\n"
    )
    assert run(["shots", str(tmp_path), "--format", "edl"]) == 0
    written, said = capsys.readouterr()
    assert said == words
    assert " D    999 " in written
    assert run(["shots", str(tmp_path), "--format", "otio"]) == 0
    assert capsys.readouterr().err == ""


def test_assemble_all_writes_every_paper(board: BoardFolder, capsys: Capture) -> None:
    assert run(["assemble", "--all"]) == 0
    out = capsys.readouterr().out.splitlines()
    folder = board.folder / "out"
    names = sorted(path.name for path in folder.iterdir())
    assert names == sorted(["film.mp4", "film.vtt", "sound.json", *PAPERS])
    assert sorted(line.removeprefix("out/") for line in out[: len(names)]) == names
    for form in ("html", "edl", "otio", "json"):
        printed = process("shots", "--format", form, cwd=board.folder).stdout
        assert (folder / f"shots.{form}").read_bytes() == printed
    for name in ("shots.xlsx", "shots.pdf", "exposure.pdf", "plan.pdf", "plan.png"):
        command, form = name.split(".")
        assert run([command, "--format", form, "--file", f"again.{form}"]) == 0
        assert (folder / name).read_bytes() == (board.folder / f"again.{form}").read_bytes()
    assert run(["cards", "--out", "again"]) == 0
    assert (folder / "cards.pdf").read_bytes() == Path("again/cards.pdf").read_bytes()
    sheet = load_workbook(folder / "shots.xlsx").active
    assert sheet["A7"].value == "3 shots"


@pytest.mark.parametrize("written", ["2027-03-06", '"2027-3-6"'])
def test_the_board_says_the_days_of_the_shoot(
    written: str, board: BoardFolder, capsys: Capture
) -> None:
    text = board.file.read_text("utf-8")
    board.write(text.replace("title:", f"day: {{first_day: {written}, days: sun}}\ntitle:"))

    def dates(*more: str) -> set[str]:
        capsys.readouterr()
        assert run(["plan", "--format", "json", *more]) == 0
        return {stint["date"] for stint in json.loads(capsys.readouterr().out)["stints"]}

    # The sixth of March 2027 is a Saturday.
    assert dates() == {"2027-03-07"}
    assert dates("--days", "sat") == {"2027-03-06"}
    assert dates("--start", "2027-03-08") == {"2027-03-14"}
    assert dates("--start", "2027-03-08", "--days", "mon-fri") == {"2027-03-08"}
    assert run(["assemble", "--all"]) == 0
    calendar = icalendar.Calendar.from_ical((board.folder / "out" / "plan.ics").read_bytes())
    assert [event["DTSTART"].dt.day for event in calendar.walk("VEVENT")] == [7]
    text = PdfReader(board.folder / "out" / "plan.pdf").pages[0].extract_text()
    assert "Sun 2027-03-07" in text


@pytest.mark.parametrize("more", [["--from", "20"], ["--to", "10"], ["--film", "gif"]])
def test_papers_are_those_of_the_whole_film(
    more: list[str], board: BoardFolder, capsys: Capture
) -> None:
    assert run(["assemble", "--all", *more]) == 2
    assert capsys.readouterr().err == (
        "--all is for the whole film: leave --from, --to, --images and --film out\n"
    )
    assert not (board.folder / "out").exists()
