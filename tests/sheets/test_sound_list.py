"""The cue list: places, lengths, loudness, licences, and what is still to buy."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import numpy as np
import pytest
from boards import HEAD, BoardFolder, panels

from animatic.cli import run
from animatic.errors import BoardError

HEAD_WITH_MUSIC = (
    HEAD
    + "music:\n"
    + "  - {file: tune.wav, from: shot 20, fade_out: 1s, level: -6, licence: to buy}\n"
    + "  - {file: drone.wav}\n"
)
ROWS = """
- shot: 10
  photo: a.jpg
  duration: 2s
  sounds:
    - {file: bell.wav, at: 12f, licence: bought R-1041}
    - {file: bell.wav, at: 1s, skip: 0.5s, length: 0.5s, licence: free CC0}
- shot: 20
  photo: a.jpg
  duration: 1s
  dialogue: [{who: Odd, line: Yes., voice: yes.wav, licence: own, at: 0f}]
"""


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    folder = BoardFolder(tmp_path)
    folder.photo()
    folder.tone("tune.wav", 48_000 * 5, hertz=1000, height=10 ** (-23 / 20))
    folder.sound("drone.wav", 48_000)
    folder.tone("bell.wav", 96_000)
    folder.tone("yes.wav", 9_600)
    folder.write(panels(ROWS, HEAD_WITH_MUSIC))
    return folder


def listed(board: BoardFolder, capsys: pytest.CaptureFixture[str]) -> list[dict[str, str]]:
    assert run(["sounds", str(board.folder), "--format", "csv"]) == 0
    return list(csv.DictReader(io.StringIO(capsys.readouterr().out, newline="")))


def test_each_cue_has_its_place_and_its_lengths(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    keys = ("file", "shot", "in", "out", "frames", "seconds", "length", "licence")
    assert [tuple(row[key] for key in keys) for row in listed(board, capsys)] == [
        ("drone.wav", "10", "01:00:00:00", "01:00:01:00", "24", "1.00", "1.00", "not said"),
        ("bell.wav", "10", "01:00:00:12", "01:00:02:12", "48", "2.00", "2.00", "bought R-1041"),
        ("bell.wav", "10", "01:00:01:00", "01:00:01:12", "12", "0.50", "2.00", "free CC0"),
        ("yes.wav", "20", "01:00:02:00", "01:00:02:05", "5", "0.20", "0.20", "own"),
        ("tune.wav", "20", "01:00:02:00", "01:00:03:00", "24", "1.00", "5.00", "to buy"),
    ]


def test_loudness_is_that_of_the_part_that_is_used(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    by_file = {row["file"]: row for row in listed(board, capsys)}
    # EBU Tech 3341: 1 kHz at -23 dBFS on both sides is -23 LUFS; fades and level are not in.
    assert by_file["tune.wav"]["lufs"] == "-23.0"
    assert by_file["tune.wav"]["level"] == "-6.0"
    assert by_file["drone.wav"]["lufs"] == ""  # silence
    assert by_file["yes.wav"]["lufs"] == ""  # under 400 ms


def test_what_is_to_buy_stands_on_top(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["sounds", str(board.folder)]) == 0
    shown = capsys.readouterr().out
    assert shown.startswith("still to buy: tune.wav\nno licence is said for: drone.wav\n\nno  bus")
    assert shown.endswith("Clear every piece of music and sound before anything is published.\n")
    assert run(["sounds", str(board.folder), "--format", "md"]) == 0
    assert "- still to buy: tune.wav\n- no licence is said for" in capsys.readouterr().out
    assert run(["sounds", str(board.folder), "--format", "json"]) == 0
    content = json.loads(capsys.readouterr().out)
    assert content["to_buy"] == ["tune.wav"]
    assert len(content["sounds"]) == 5
    board.write(panels(ROWS, HEAD))
    assert run(["sounds", str(board.folder)]) == 0
    assert capsys.readouterr().out.startswith("nothing is left to buy\n\nno  bus")


def test_a_file_bought_in_one_place_and_not_in_another_is_to_buy(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    board.write(panels(ROWS.replace("free CC0", "to buy"), HEAD))
    assert run(["sounds", str(board.folder)]) == 0
    assert capsys.readouterr().out.startswith("still to buy: bell.wav\n\nno  bus")
    board.write(panels(ROWS.replace("free CC0", "to buy").replace(", licence: bought R-1041", "")))
    assert run(["sounds", str(board.folder)]) == 0
    assert capsys.readouterr().out.startswith("still to buy: bell.wav\n\nno  bus")


def test_a_recorded_voice_has_a_licence_too(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    board.write(panels(ROWS.replace("voice: yes.wav, licence: own", "voice: yes.wav"), HEAD))
    assert run(["sounds", str(board.folder)]) == 0
    assert "no licence is said for: yes.wav\n" in capsys.readouterr().out


def test_what_is_skipped_is_not_measured(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    tone = 2000 * np.sin(2 * np.pi * 1000 * np.arange(96_000) / 48_000)
    tone[:48_000] *= 10
    board.wave("bell.wav", tone.astype("<i2"), 48_000)
    board.write(panels(ROWS.replace("skip: 0.5s, length: 0.5s", "skip: 1s")))
    whole, part = (float(row["lufs"]) for row in listed(board, capsys)[:2])
    # A sine of 2000 of 32 768 is -24.3 dB; the loud second stands 20 dB above it.
    assert part == pytest.approx(-24.3, abs=0.1)
    assert whole > -10


def test_stems_are_written_beside_the_board(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["sounds", str(board.folder), "--stems"]) == 0
    out = board.folder / "out"
    shown = capsys.readouterr().out
    assert f"{out}/dialogue.wav: " in shown
    for bus in ("dialogue", "music", "effects"):
        assert (out / f"{bus}.wav").stat().st_size > 144_000 * 6
    assert run(["sounds", str(board.folder), "--stems", "--format", "json"]) == 0
    told = capsys.readouterr()
    assert json.loads(told.out)["title"]
    assert f"{out}/music.wav: " in told.err


def test_a_board_without_sounds(board: BoardFolder, capsys: pytest.CaptureFixture[str]) -> None:
    board.write(panels("- {shot: 1, photo: a.jpg}"))
    assert run(["sounds", str(board.folder)]) == 0
    words = f"{board.file}: the board has no sounds\n"
    assert capsys.readouterr() == (words, "")
    assert run(["sounds", str(board.folder), "--format", "csv"]) == 0
    head = "number,bus,file,shot,in,out,frames,seconds,length,lufs,level,licence\r\n"
    assert capsys.readouterr() == (head, words)
    assert run(["sounds", str(board.folder), "--format", "json"]) == 0
    told = capsys.readouterr()
    found = json.loads(told.out)
    assert (found["sounds"], found["to_buy"], told.err) == ([], [], words)


def test_the_list_goes_into_a_file_whose_ending_fits(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    file = board.folder / "sent" / "sounds.csv"
    assert run(["sounds", str(board.folder), "--format", "csv"]) == 0
    shown = capsys.readouterr().out
    assert run(["sounds", str(board.folder), "--format", "csv", "--file", str(file)]) == 0
    assert (capsys.readouterr().out, file.read_bytes()) == (f"{file}\n", shown.encode())
    assert run(["sounds", str(board.folder), "--format", "json", "--file", str(file)]) == 2
    assert capsys.readouterr().err == (
        f"--file {file} and --format json disagree: name the file sounds.json,"
        " or say --format csv\n"
    )


_ALLOWED = "to buy, bought with a receipt as bought R-1041, own, or free with terms as free CC0"


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("bought", f"found bought; allowed: {_ALLOWED}; add the receipt or order"),
        ("free", f"found free; allowed: {_ALLOWED}; add the terms, as free CC0"),
        ("owned", f"found owned; allowed: {_ALLOWED}; did you mean own?"),
        ("To buy", f"To buy; allowed: {_ALLOWED}; did you mean to buy?"),
        ("cleared", f"found cleared; allowed: {_ALLOWED}"),
        ("own work", f"own work; allowed: {_ALLOWED}"),
    ],
)
def test_a_licence_says_one_of_four_things(board: BoardFolder, written: str, words: str) -> None:
    text = panels(ROWS.replace("free CC0", written), HEAD)
    with pytest.raises(BoardError) as fault:
        board.read(text)
    said = str(fault.value).split("licence (shot 10): ", 1)[1]
    assert said == words
