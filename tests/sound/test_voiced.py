"""Voiced spans of a recording, and the mouth chart of a board on the command line."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import numpy as np
import pytest
from boards import HEAD, BoardFolder, panels
from pypdf import PdfReader

from animatic.cli import run
from animatic.sound.voiced import voiced_length, voiced_spans
from tests.sound.films import sine, write

RATE = 48_000


def made(path: Path, *spans: tuple[float, float], length: float, noise: float = 1e-4) -> Path:
    """Write noise with tones between these seconds."""
    sound = np.random.default_rng(3).normal(0, noise, int(length * RATE))
    for start, end in spans:
        tone = sine(end - start, 200, -12)
        at = int(start * RATE)
        sound[at : at + len(tone)] += tone
    return write(path, sound.astype(np.float32))


def test_spans_begin_and_end_with_the_voice(tmp_path: Path) -> None:
    path = made(tmp_path / "a.wav", (0.5, 1.2), (1.6, 2.4), length=3)
    found = voiced_spans(path)
    assert len(found) == 2
    for span, (start, end) in zip(found, ((0.5, 1.2), (1.6, 2.4)), strict=True):
        assert span == pytest.approx((start * RATE, end * RATE), abs=RATE // 100)


def test_the_length_is_from_the_first_voice_to_the_last(tmp_path: Path) -> None:
    path = made(tmp_path / "a.wav", (0.5, 1.2), (1.6, 2.4), length=5)
    assert voiced_length(path) == pytest.approx(1.9 * RATE, abs=RATE // 50)
    assert voiced_length(write(tmp_path / "b.wav", np.zeros(RATE, np.float32))) == 0


def test_check_measures_the_speech_in_a_recording(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    board = BoardFolder(tmp_path)
    board.photo()
    path = made(board.path("line.wav"), (1.0, 1.9), length=4)
    line = "{who: Odd, line: one two three four five six, voice: line.wav}"
    board.write(panels(f"- {{shot: 10, photo: a.jpg, dialogue: [{line}]}}"))
    # 0.9 s of speech and 0.3 s of pause, in a file of four seconds; the second time from memory.
    for _ in range(2):
        assert run(["check", str(board.file)]) == 0
        assert "6 words in 1.20 s are 300 words a minute" in capsys.readouterr().out
    made(path, (1.0, 2.8), length=4.5)
    assert run(["check", str(board.file)]) == 0
    assert "words a minute" not in capsys.readouterr().out


def test_the_closure_of_a_consonant_is_no_pause(tmp_path: Path) -> None:
    path = made(tmp_path / "a.wav", (0.5, 1.0), (1.1, 1.5), (1.7, 2.0), length=3)
    starts = [start / RATE for start, _ in voiced_spans(path)]
    assert starts == [pytest.approx(0.5, abs=0.01), pytest.approx(1.7, abs=0.01)]


def test_a_click_is_no_voice(tmp_path: Path) -> None:
    path = made(tmp_path / "a.wav", (0.2, 0.21), (0.5, 1.0), length=1.5)
    assert len(voiced_spans(path)) == 1


@pytest.mark.parametrize("rate", [8000, 22_050, 44_100])
def test_any_rate(tmp_path: Path, rate: int) -> None:
    sound = np.concatenate([np.zeros(rate // 2), sine(0.5, 200, -12, rate=rate)])
    (span,) = voiced_spans(write(tmp_path / "a.flac", sound, rate))
    assert span == pytest.approx((24_000, 48_000), abs=480)


def test_silence_and_next_to_nothing(tmp_path: Path) -> None:
    assert voiced_spans(write(tmp_path / "a.wav", np.zeros(RATE, np.float32))) == ()
    assert voiced_spans(write(tmp_path / "b.wav", np.array([0.5], np.float32))) == ()


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    folder = BoardFolder(tmp_path)
    folder.photo()
    made(folder.path("odd.wav"), (0.25, 0.75), (1.25, 1.75), length=2)
    folder.write(
        panels(
            """
- {shot: 10, photo: a.jpg, duration: 1s}
- shot: 20
  photo: a.jpg
  dialogue:
    - {who: Odd, line: "qrx, qrs!", voice: odd.wav, at: 0f}
    - {who: Pim, line: "=zz", at: 3s}
""",
            f"{HEAD}handles: 4f\n",
        )
    )
    return folder


def test_the_chart_counts_frames_in_the_film_and_in_the_shot(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["mouths", str(board.folder), "--format", "csv"]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out, newline="")))
    keys = ("line", "who", "shot", "word", "frame", "film_frame", "frames", "at", "from")
    # Shot 20 begins at film frame 24; its frames to shoot count from 1, four of handle first.
    assert [tuple(row[key] for key in keys) for row in rows] == [
        ("1", "Odd", "20", "qrx,", "11", "30", "12", "01:00:01:06", "recording"),
        ("1", "Odd", "20", "qrs!", "35", "54", "12", "01:00:02:06", "recording"),
        ("2", "Pim", "20", "'=zz", "77", "96", "9", "01:00:04:00", "estimate"),
    ]


def test_the_exposure_sheet_has_the_words_where_the_chart_has_them(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["exposure", str(board.folder), "--format", "csv"]) == 0
    sheet = capsys.readouterr().out
    rows = list(csv.DictReader(io.StringIO(sheet, newline="")))
    shown = [
        (row["frame"], row["film_frame"], row["dialogue"])
        for row in rows
        if row["dialogue"] not in ("", "|")
    ]
    # The tones of the recording begin 0.25 s and 1.25 s after the line, at 24 frames a second.
    assert shown == [("11", "30", "Odd: qrx,"), ("35", "54", "qrs!"), ("77", "96", "Pim: =zz")]
    assert run(["assemble", str(board.folder), "--all"]) == 0
    assert (board.folder / "out" / "exposure.csv").read_bytes().decode() == sheet
    words = PdfReader(board.folder / "out" / "exposure.pdf").pages[1].extract_text().split("\n")
    assert "Odd: qrx," in [word.strip() for word in words]


def test_every_format_has_every_word(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    for form in ("table", "md", "json"):
        assert run(["mouths", str(board.folder), "--format", form]) == 0
        shown = capsys.readouterr().out
        assert all(word in shown for word in ("qrx,", "qrs!", "=zz"))
        if form == "json":
            first = json.loads(shown)["lines"][0]
            assert (first["shot"], first["from"]) == ("20", "recording")
            assert first["words"][1] == {
                "word": "qrs!",
                "syllables": 1,
                "shot": "20",
                "frame": 35,
                "film_frame": 54,
                "frames": 12,
                "mouth": [],
            }


def test_a_board_in_which_nobody_speaks(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    board.write(panels("- {shot: 1, photo: a.jpg}"))
    assert run(["mouths", str(board.folder)]) == 0
    words = f"{board.file}: nobody speaks in this board\n"
    assert capsys.readouterr() == (words, "")
    assert run(["mouths", str(board.folder), "--format", "csv"]) == 0
    head = "line,who,shot,word,frame,frames,film_frame,at,from,mouth\r\n"
    assert capsys.readouterr() == (head, words)
    file = board.folder / "mouths.json"
    assert run(["mouths", str(board.folder), "--format", "json", "--file", str(file)]) == 0
    assert capsys.readouterr() == (f"{file}\n", words)
    assert json.loads(file.read_text("utf-8"))["lines"] == []
    assert run(["mouths", str(board.folder), "--file", str(file)]) == 2
    assert capsys.readouterr().err == (
        f"--file {file} and --format table disagree: name the file mouths.txt,"
        " or say --format json\n"
    )
