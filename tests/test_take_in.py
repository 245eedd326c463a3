"""take-in on the command line: files that came back, set in the board and nothing else."""

from __future__ import annotations

import wave
from pathlib import Path

import numpy as np
import pyloudnorm
import pytest
import soundfile
from boards import HEAD, BoardFolder, panels
from spoken import spoken

from animatic.cli import run
from animatic.timeline import lay_out

ROWS = """
- shot: 10   # the quay
  photo: a.jpg
  dialogue:
    - {who: Odd, line: The tide is late., note: quiet}   # keep
    - {who: Pim, line: "Is it?", voice: pim_old.wav}
- {shot: 20, photo: a.jpg, duration: 24f}
"""


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    folder = BoardFolder(tmp_path / "board")
    folder.photo()
    folder.tone("pim_old.wav", 24_000)
    folder.write(panels(ROWS, HEAD))
    return folder


@pytest.fixture
def back(tmp_path: Path) -> BoardFolder:
    return BoardFolder(tmp_path / "back")


def test_recordings_find_their_lines_and_the_rest_of_the_board_stays(
    board: BoardFolder, back: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    files = [spoken(back, "01_odd.wav", 2.0), spoken(back, "Pim.wav", 1.0)]
    originals = [file.read_bytes() for file in files]
    before = board.file.read_bytes()
    assert run(["take-in", str(board.folder), str(back.folder)]) == 0
    text = before.decode()
    text = text.replace("late., note: quiet", "late., voice: sound/lines/01_odd.wav, note: quiet")
    text = text.replace("pim_old.wav", "sound/lines/02_pim.wav")
    assert board.file.read_text() == text
    assert [file.read_bytes() for file in files] == originals
    out = capsys.readouterr().out
    # 2.16 s (the tone and two pads) against 4 words at 160 a minute, 1.5 s.
    assert 'line 1, Odd "The tide is late.": 01_odd.wav is now sound/lines/01_odd.wav\n' in out
    assert "  2.16 s, 1.50 s estimated, 16 frames longer; 1.84 s of silence off, " in out
    assert "  1.16 s, 0.50 s before, 16 frames longer; 1.84 s of silence off, " in out
    film = next(row for row in out.splitlines() if row.startswith("film"))
    assert film.split() == ["film", "98", "130", "+32", "+16", "+1.333"]
    assert f"animatic undo {board.folder} brings it back" in out
    for name in ("01_odd.wav", "02_pim.wav"):
        with wave.open(str(board.folder / "sound" / "lines" / name)) as made:
            shape = (made.getnchannels(), made.getsampwidth(), made.getframerate())
            assert shape == (1, 3, 48_000)
    assert run(["undo", str(board.folder)]) == 0
    assert board.file.read_bytes() == before


def test_the_new_lengths_drive_the_timing(board: BoardFolder, back: BoardFolder) -> None:
    spoken(back, "01_odd.wav", 2.0)
    assert run(["take-in", str(board.folder), str(back.folder)]) == 0
    first = lay_out(board.read(board.file.read_bytes())).lines[0]
    assert first.end - first.start == pytest.approx(2.16 * 48_000, abs=960)
    assert first.voice == board.folder / "sound/lines/01_odd.wav"


def test_taking_in_twice_changes_nothing(
    board: BoardFolder, back: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    spoken(back, "01_odd.wav")
    assert run(["take-in", str(board.folder), str(back.folder)]) == 0
    once = board.file.read_bytes()
    assert run(["take-in", str(board.folder), str(back.folder)]) == 0
    assert board.file.read_bytes() == once
    assert capsys.readouterr().out.endswith(
        "the board has all of them already\nevery line has a recording\n"
    )
    lines = board.folder / "sound" / "lines"
    assert sorted(path.name for path in lines.iterdir()) == ["01_odd.wav"]


def test_a_better_take_is_written_beside_the_one_before(
    board: BoardFolder, back: BoardFolder
) -> None:
    spoken(back, "01_odd.wav")
    assert run(["take-in", str(board.folder), str(back.folder)]) == 0
    old = (board.folder / "sound/lines/01_odd.wav").read_bytes()
    spoken(back, "01_odd.wav", 1.5)
    assert run(["take-in", str(board.folder), str(back.folder)]) == 0
    assert (board.folder / "sound/lines/01_odd.wav").read_bytes() == old
    assert "voice: sound/lines/01_odd_2.wav" in board.file.read_text()


def test_what_fits_no_line_is_named_and_the_rest_is_taken(
    board: BoardFolder, back: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    spoken(back, "01_odd.wav")
    spoken(back, "02 Odd.wav")
    spoken(back, "hum.wav")
    back.path("02_pim.wav").write_text("no sound at all")
    back.path("read me.txt").write_text("hello")
    back.path(".hidden.wav").write_text("")
    assert run(["take-in", str(board.folder), str(back.folder)]) == 0
    folder = back.folder
    assert capsys.readouterr().err == (
        f"{folder}/02 Odd.wav: left; its name says Odd, and line 2 is spoken by Pim\n"
        f"{folder}/02_pim.wav: left; this is text and no sound; allowed: wav, aiff, flac, mp3,"
        " m4a, ogg or opus; export it again\n"
        f"{folder}/hum.wav: left; neither the number of a line nor a speaker is in its name;"
        " name it as 01_odd.wav is named for line 1\n"
        f"{folder}/read me.txt: left; this is no sound\n"
    )
    assert "sound/lines/01_odd.wav" in board.file.read_text()
    assert "voice: pim_old.wav" in board.file.read_text()


def test_nothing_is_written_where_nothing_fits(
    board: BoardFolder, back: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    spoken(back, "hum.wav")
    before = board.file.read_bytes()
    assert run(["take-in", str(board.folder), str(back.folder)]) == 1
    assert capsys.readouterr().out == "nothing is taken in\n"
    assert board.file.read_bytes() == before
    assert not (board.folder / "sound").exists()


def test_a_folder_without_recordings_is_wrong_usage(
    board: BoardFolder, back: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    back.path("read me.txt").write_text("hello")
    assert run(["take-in", str(board.folder), str(back.folder)]) == 2
    assert capsys.readouterr().err == f"{back.folder}: there is no recording in this folder\n"
    board.write(panels("- {shot: 1, photo: a.jpg}"))
    assert run(["take-in", str(board.folder), str(back.folder)]) == 2
    assert capsys.readouterr().err == "the board has no lines to take recordings for\n"


def test_a_recording_that_the_board_cannot_hold_leaves_it_as_it_was(
    board: BoardFolder, back: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    text = ROWS.split("    - {who: Pim")[0] + "  transition: {to_black: 48f}\n"
    head = HEAD + "defaults: {duration: 2s, shortest: 2f}\n"
    before = board.write(panels(text, head)).read_bytes()
    spoken(back, "01_odd.wav", 0.2)
    assert run(["take-in", str(board.folder), str(back.folder)]) == 1
    told = capsys.readouterr()
    assert board.file.read_bytes() == before
    assert told.out == (
        f"the board is as it was; the recordings are in {board.folder}/sound/lines\n"
    )
    assert "of 48 frames in shot 10, which has 28 frames for it; allowed: at most 28f" in told.err


def test_lines_are_as_loud_as_those_that_the_cut_was_judged_by(
    board: BoardFolder, back: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    spoken(back, "01_odd.wav", 2.0)
    usual = heard(board.path("pim_old.wav"))
    assert run(["take-in", str(board.folder), str(back.folder)]) == 0
    assert heard(board.folder / "sound/lines/01_odd.wav") == pytest.approx(usual, abs=0.6)
    assert "as loud as those that the board has\n" in capsys.readouterr().out


def test_another_loudness_says_what_it_does_to_the_balance(
    board: BoardFolder, back: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    spoken(back, "01_odd.wav", 2.0)
    usual = round(heard(board.path("pim_old.wav")))
    asked = ["--loudness", str(usual - 6)]
    assert run(["take-in", str(board.folder), str(back.folder), *asked]) == 0
    assert heard(board.folder / "sound/lines/01_odd.wav") == pytest.approx(usual - 6, abs=0.2)
    assert (
        f"lines are brought to {usual - 6} LUFS; they were at {usual}, so speech is 6 dB softer"
        " against the rest\n"
    ) in capsys.readouterr().out


def test_lines_without_a_recording_are_named(
    board: BoardFolder, back: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    board.write(panels(ROWS.replace(", voice: pim_old.wav", ""), HEAD))
    spoken(back, "02_pim.wav")
    assert run(["take-in", str(board.folder), str(back.folder)]) == 0
    out = capsys.readouterr().out
    assert "lines are brought to -23 LUFS; --loudness sets another level\n" in out
    assert 'still to come: 1 line: 1 (Odd "The tide is late.")\n' in out


def test_a_new_length_that_a_panel_holds_moves_no_cut(
    board: BoardFolder, back: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    board.write(panels(ROWS.replace("photo: a.jpg\n", "photo: a.jpg\n  duration: 5s\n"), HEAD))
    spoken(back, "01_odd.wav", 1.1)
    assert run(["take-in", str(board.folder), str(back.folder)]) == 0
    out = capsys.readouterr().out
    assert "frames shorter" in out
    assert "no cut moves: the panels hold their lines' new lengths\n" in out


def test_lines_that_run_over_their_panels_are_told_as_check_tells_them(
    board: BoardFolder, back: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    board.write(panels(ROWS.replace("photo: a.jpg\n", "photo: a.jpg\n  duration: 2s\n"), HEAD))
    spoken(back, "01_odd.wav", 2.0)
    assert run(["take-in", str(board.folder), str(back.folder)]) == 0
    out = capsys.readouterr().out
    assert "no cut moves\n" in out
    assert "hold their lines' new lengths" not in out
    assert run(["check", str(board.folder)]) == 0
    found = [row for row in capsys.readouterr().out.splitlines() if "over its panel's end" in row]
    # The panel has 48 frames; the line begins on the 7th and lasts 2.16 s, 52 frames.
    assert "the line of Odd runs 11 frames over its panel's end; the panel needs 59f" in found[0]
    assert "the line of Pim runs " in found[1]
    assert [row for row in out.splitlines() if "over its panel's end" in row] == found


def test_a_clipped_recording_is_told(
    board: BoardFolder, back: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    loud = 60_000 * np.sin(np.arange(48_000) / 20)
    loud[12_000:36_000] /= 4
    silence = np.zeros(24_000)
    sound = np.concatenate([silence, loud, silence]).clip(-32_768, 32_767)
    back.wave("01_odd.wav", sound.astype("<i2"), 48_000)
    spoken(back, "02_pim.wav")
    assert run(["take-in", str(board.folder), str(back.folder)]) == 0
    out = capsys.readouterr().out
    assert (
        "  it is clipped in 2 places, the first at 0.50 s: that cannot be mended; ask for it"
        " again, recorded softer\n"
    ) in out
    assert out.count("it is clipped") == 1


def test_an_empty_file_is_damaged_and_in_nobodys_way(
    board: BoardFolder, back: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    spoken(back, "01_odd.wav")
    back.path("odd 1.wav").write_bytes(b"")
    back.path("01_odd.flac").write_bytes(b"fLaC" + bytes(9000))
    assert run(["take-in", str(board.folder), str(back.folder)]) == 0
    assert "voice: sound/lines/01_odd.wav" in board.file.read_text()
    assert capsys.readouterr().err == (
        f"{back.folder}/01_odd.flac: left; the file is damaged or no sound; allowed: wav, aiff,"
        " flac, mp3, m4a, ogg or opus; export it again\n"
        f"{back.folder}/odd 1.wav: left; this file is damaged: it is empty; have it sent again\n"
    )


def test_a_room_too_near_to_the_voice_is_told_and_a_threshold_cuts_it(
    board: BoardFolder, back: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    sound = np.random.default_rng(3).normal(0, 600, 3 * 48_000)
    sound[48_000 : 2 * 48_000] += 6000 * np.sin(np.arange(48_000) / 20)
    back.wave("01_odd.wav", sound.astype("<i2"), 48_000)
    near = "  it has no silence around the line, or its room is too near to the voice to tell"
    assert run(["take-in", str(board.folder), str(back.folder)]) == 0
    out = capsys.readouterr().out
    assert near in out
    assert "; 0.00 s of silence off" in out
    assert run(["take-in", str(board.folder), str(back.folder), "--threshold", "12"]) == 0
    out = capsys.readouterr().out
    assert near not in out
    assert "; 1.84 s of silence off" in out


def test_the_board_may_be_left_out_where_one_stands_in_its_folder(
    board: BoardFolder,
    back: BoardFolder,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    spoken(back, "01_odd.wav")
    monkeypatch.chdir(board.folder)
    assert run(["take-in", "../back"]) == 0
    assert "voice: sound/lines/01_odd.wav" in board.file.read_text()
    told = "name the folder with the recordings after it: animatic take-in BOARD FOLDER\n"
    for named in (".", "board.yaml"):
        capsys.readouterr()
        assert run(["take-in", named]) == 2
        assert capsys.readouterr().err == f"{named}: this is a board; {told}"
    assert run(["take-in"]) == 2
    assert "Missing argument 'FOLDER'." in capsys.readouterr().err
    assert run(["take-in", "../nowhere"]) == 2
    assert capsys.readouterr().err == (
        "../nowhere: there is no such folder; name the folder with the recordings\n"
    )
    monkeypatch.chdir(back.folder)
    assert run(["take-in", "."]) == 2
    assert capsys.readouterr().err == (
        "there is no board in the current folder; name it before .: animatic take-in BOARD FOLDER\n"
    )


def heard(file: Path) -> float:
    """Return the loudness on both sides by pyloudnorm; a short one is repeated, as it measures."""
    samples, rate = soundfile.read(file)
    times = 1 if len(samples) > rate else 8
    both = np.repeat(np.tile(samples, times)[:, None], 2, axis=1)
    return float(pyloudnorm.Meter(rate).integrated_loudness(both))
