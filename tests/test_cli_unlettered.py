"""Names in characters that the font lacks: said on the way, and still told apart on paper."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from animatic.cli import run
from tests.boards import HEAD, BoardFolder, panels
from tests.own_font import save_own_font

Capture = pytest.CaptureFixture[str]
FAR = "\n".join(f"- {{shot: {name}, photo: a.jpg, duration: 10f}}" for name in ("日本", "東京"))


@pytest.mark.parametrize("command", ["exposure", "shots", "plan"])
def test_what_the_font_lacks_is_said_once(tmp_path: Path, capsys: Capture, command: str) -> None:
    folder = BoardFolder(tmp_path)
    folder.photo()
    file = tmp_path / "paper.pdf"
    arguments = [command, str(folder.write(panels(FAR))), "--format", "pdf", "--file", str(file)]
    assert run(arguments) == 0
    said = capsys.readouterr().err
    assert said.count("日本東京") == 1
    assert "lettering: {font:" in said
    if command != "plan":
        words = " ".join(
            page.extract_text() for page in PdfReader(BytesIO(file.read_bytes())).pages
        )
        assert "shot 1 of 2" in words
        assert "shot 2 of 2" in words


def test_what_the_font_has_is_passed_over(tmp_path: Path, capsys: Capture) -> None:
    folder = BoardFolder(tmp_path)
    folder.photo()
    board = str(folder.write(panels(FAR.replace("日本", "Ёлка").replace("東京", "Ἅλς"))))
    assert run(["exposure", board, "--file", str(tmp_path / "paper.pdf")]) == 0
    assert capsys.readouterr().err == ""


def test_the_cards_say_it_too(tmp_path: Path, capsys: Capture) -> None:
    folder = BoardFolder(tmp_path)
    folder.photo()
    assert run(["cards", str(folder.write(panels(FAR)))]) == 0
    assert capsys.readouterr().err.count("日本東京") == 1


def test_the_script_for_the_voices_has_the_letters_of_the_font_of_the_board(
    tmp_path: Path, capsys: Capture
) -> None:
    folder = BoardFolder(tmp_path)
    folder.photo()
    row = "- {shot: 10, photo: a.jpg, dialogue: [{who: Odd, line: 東京 日本}]}"

    def script(head: str) -> str:
        folder.write(panels(row, f"{head}speech: {{scratch: false}}\n"))
        assert run(["lines", str(tmp_path)]) == 0
        pages = PdfReader(tmp_path / "out" / "lines.pdf").pages
        return "".join(page.extract_text() for page in pages)

    assert "?? ??" in script(HEAD)
    assert capsys.readouterr().err.count("東京日本") == 1
    save_own_font(folder.path("own.ttf"), "日本東京")
    assert "東京 日本" in script(f"{HEAD}lettering: {{font: own.ttf}}\n")
    assert capsys.readouterr().err == ""
