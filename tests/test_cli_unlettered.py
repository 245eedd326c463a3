"""Names in characters that the font lacks: said on the way, and still told apart on paper."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from animatic.cli import run
from tests.boards import BoardFolder, panels

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
