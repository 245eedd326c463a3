"""The voice script: what an actor far away is told, in every format."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from boards import HEAD, BoardFolder, panels
from pypdf import PdfReader

from animatic.cli import run
from animatic.errors import UsageError
from animatic.sheets import lines as sheet
from animatic.sheets import linespdf
from animatic.timeline import lay_out

ROWS = """
- shot: 10
  photo: a.jpg
  dialogue:
    - {who: Odd, line: "The <tide> is | late.", note: "quiet & slow"}
    - {who: Pim, line: "=Yes.", voice: yes.wav}
- shot: 20
  photo: a.jpg
  duration: 4s
  dialogue:
    - {who: Odd, line: One two three four., at: 12f}
    - {who: Pim, line: Five six., at: 2s}
- shot: 30
  photo: a.jpg
  duration: 1s
  dialogue: [{who: Odd, line: One two three four five six., over: next}]
- {shot: 40, photo: a.jpg, duration: 2s}
"""


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    folder = BoardFolder(tmp_path)
    folder.photo()
    folder.sound("yes.wav", 36_000)
    folder.write(panels(ROWS, HEAD + "speech: {words_per_minute: 120}\n"))
    return folder


def script(board: BoardFolder, who: str | None = None) -> list[sheet.Row]:
    read = board.read(board.file.read_bytes())
    return sheet.rows(read, lay_out(read), who)


def test_the_rows_say_all_there_is_to_know(board: BoardFolder) -> None:
    first, second, *_ = script(board)
    assert {key: str(value) for key, value in first.items()} == {
        "number": "1",
        "who": "Odd",
        "line": "The <tide> is | late.",
        "note": "quiet & slow",
        "seconds": "2.00",  # 4 words at 120 a minute
        "room": "picture waits",
        "at": "01:00:00:07",  # the lead of 0.3 s is 7.2 frames
        "shot": "10",
        "file": "01_odd.wav",
        "recorded": "",
    }
    assert (second["file"], second["recorded"], str(second["seconds"])) == (
        "02_pim.wav",
        "yes.wav",
        "0.75",
    )
    # The picture waits for both; only the line without a recording is a guess.
    assert second["room"] == "as recorded"


def test_the_time_allowed_ends_where_something_else_begins(board: BoardFolder) -> None:
    allowed = [(str(row["seconds"]), row["room"]) for row in script(board)[2:]]
    # 1.5 s up to the next line's own time, 2 s up to the panel's end, and for the line that
    # runs on, 0.3 s into shot 30, up to the film's end 3 s after the shot's start.
    assert allowed == [("1.50", "at most"), ("2.00", "at most"), ("2.70", "at most")]


def test_lines_that_follow_one_another_share_what_is_left(board: BoardFolder) -> None:
    text = ROWS.replace("duration: 4s", "duration: 3s").replace(", at: 2s", "")
    board.write(panels(text, HEAD + "speech: {words_per_minute: 120}\n"))
    # 0.5 + 2 + 0.3 + 1 s is 0.8 s more than the panel has: either must lose that much.
    assert [str(row["seconds"]) for row in script(board)[2:4]] == ["1.20", "0.20"]


def test_the_seconds_are_explained_as_far_as_they_occur(board: BoardFolder) -> None:
    rows = script(board)
    fits = 'where it says "at most" the line must fit into that time'
    recorded = (
        'where it says "as recorded" that is how long the recording is; a new one may take its own'
        " time"
    )
    guess = 'where it says "picture waits" the time is a guess and your own pace is better'
    assert sheet.guide(rows)[-1] == f"Seconds: {fits}; {recorded}; {guess}."
    assert sheet.guide(rows[:1])[-1] == f"Seconds: {guess}."
    assert sheet.guide(rows[1:2])[-1] == f"Seconds: {recorded}."


def test_one_speakers_lines_keep_their_numbers(board: BoardFolder) -> None:
    assert [row["number"] for row in script(board, "Pim")] == [2, 4]
    with pytest.raises(UsageError) as fault:
        script(board, "Pin")
    assert str(fault.value) == (
        "nobody called Pin speaks; the speakers are Odd, Pim; did you mean Pim?"
    )


def test_csv_runs_no_formula_and_json_keeps_every_word(board: BoardFolder) -> None:
    read = board.read(board.file.read_bytes())
    timeline = lay_out(read)
    rows = sheet.rows(read, timeline)
    listed = list(csv.DictReader(io.StringIO(sheet.as_comma(rows), newline="")))
    assert [row["line"] for row in listed[:2]] == ["The <tide> is | late.", "'=Yes."]
    content = json.loads(sheet.as_list(timeline, rows))
    assert list(content) == ["title", "rate", "guide", "lines"]
    assert content["lines"][1]["line"] == "=Yes."
    assert content["lines"][2]["seconds"] == 1.5


def test_the_page_escapes_what_would_be_markup(board: BoardFolder) -> None:
    read = board.read(board.file.read_bytes())
    page = sheet.as_page(lay_out(read), sheet.rows(read, lay_out(read)))
    row = next(line for line in page.splitlines() if "tide" in line)
    assert r"The \<tide\> is \| late." in row
    assert "named as listed, as 01_odd.wav." in page


@pytest.mark.parametrize(("paper", "size"), [("a4", (595.28, 841.89)), ("letter", (612, 792))])
def test_the_pdf_holds_every_line_and_is_the_same_twice(
    board: BoardFolder, paper: linespdf.Paper, size: tuple[float, float]
) -> None:
    read = board.read(board.file.read_bytes())
    timeline = lay_out(read)
    rows = sheet.rows(read, timeline) * 12
    made = linespdf.write(timeline, rows, paper)
    assert made == linespdf.write(timeline, rows, paper)
    pages = PdfReader(io.BytesIO(made)).pages
    assert len(pages) > 2
    for page in pages:
        box = (float(page.mediabox.width), float(page.mediabox.height))
        assert box == pytest.approx(size, abs=0.01)
    text = " ".join(" ".join(page.extract_text().split()) for page in pages)
    assert text.count("The <tide> is | late. quiet & slow") == 12
    assert text.count("05_odd.wav") == 12
    assert "one second of silence in the room" in text


def test_a_line_longer_than_a_page_goes_on_over_it(board: BoardFolder) -> None:
    board.write(panels(ROWS.replace("Five six.", "five " * 2000), HEAD))
    read = board.read(board.file.read_bytes())
    made = linespdf.write(lay_out(read), sheet.rows(read, lay_out(read)))
    text = "".join(page.extract_text() for page in PdfReader(io.BytesIO(made)).pages)
    assert text.count("five") == 2001  # One stands in the line of shot 30.


def test_the_command(board: BoardFolder, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["lines", str(board.folder)]) == 0
    made = board.folder / "out" / "lines.pdf"
    assert capsys.readouterr().out == f"{made}\n5 lines\n"
    assert made.read_bytes().startswith(b"%PDF")
    assert run(["lines", str(board.folder), "--format", "csv", "--who", "Pim"]) == 0
    assert capsys.readouterr().out.count("\n") == 3
    assert run(["lines", str(board.folder), "--who", "Pim"]) == 0
    assert (board.folder / "out" / "lines_Pim.pdf").is_file()
    capsys.readouterr()
    sent = board.folder / "sent" / "pim.md"
    assert run(["lines", str(board.folder), "--format", "md", "--file", str(sent)]) == 0
    assert sent.read_text("utf-8").startswith("# ")


def test_a_board_without_lines(board: BoardFolder, capsys: pytest.CaptureFixture[str]) -> None:
    board.write(panels("- {shot: 1, photo: a.jpg}"))
    words = f"{board.file}: the board has no lines\n"
    for form, more in (("pdf", []), ("md", []), ("md", ["--who", "Pim"])):
        assert run(["lines", str(board.folder), "--format", form, *more]) == 0
        assert capsys.readouterr() == (words, "")
    assert run(["lines", str(board.folder), "--format", "csv", "--who", "Pim"]) == 0
    head = "number,who,line,note,seconds,room,at,shot,file,recorded\r\n"
    assert capsys.readouterr() == (head, words)
    assert run(["lines", str(board.folder), "--format", "json"]) == 0
    told = capsys.readouterr()
    assert (json.loads(told.out)["lines"], told.err) == ([], words)
