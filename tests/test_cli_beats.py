"""fit --beats on the command line: which cuts move, and how near to their beats they come."""

from __future__ import annotations

from pathlib import Path

import pytest
from boards import BoardFolder, panels
from test_cli_timing import HEAD, ROWS

from animatic.cli import run


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    folder = BoardFolder(tmp_path)
    folder.photo()
    folder.sound("music.wav", 48_000 * 20)
    return folder


def test_fit_to_beats_says_which_cut_moved(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    board.write(panels(ROWS, HEAD + "music: [{file: music.wav, bpm: 72}]\n"))
    # Beats every 20 frames at 24; cuts at 48, 120 and 151.
    assert run(["fit", str(board.folder), "--beats", "--tolerance", "10"]) == 0
    assert capsys.readouterr().out == (
        "shot  before  after  change  poses\n"
        "10        48     40      -8     -4\n"
        "20        72     80      +8     +4\n"
        "film     199    199      +0     +0\n"
        "2 shots as before: 30, 40\n"
        "0:08.292 becomes 0:08.292\n"
        "cut to shot 20: -8 frames, now at frame 40, on a beat\n"
        "2 of 3 cuts lie on a beat\n"
        "nothing is written; --write puts the new lengths into the board\n"
    )


def test_one_frame_and_one_cut_are_said_as_one(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = """
    - {shot: 10, photo: a.jpg, duration: 47f}
    - {shot: 20, photo: a.jpg, duration: 2s}
    """
    board.write(panels(rows, HEAD + "music: [{file: music.wav, bpm: 60}]\n"))
    assert run(["fit", str(board.folder), "--beats", "--all"]) == 0
    assert capsys.readouterr().out.splitlines()[-4:-1] == [
        "cut to shot 20: +1 frame, now at frame 48, on a beat",
        "1 of 1 cut lies on a beat",
        # The film's length stays, and is odd.
        "1 shot ends within a pose: 20; the last pose is exposed for fewer frames",
    ]


def test_fit_to_beats_says_by_how_much_a_cut_misses_its_beat(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = "\n".join(f"- {{shot: {n}, photo: a.jpg, duration: 2s}}" for n in (10, 20, 30))
    music = "music: [{file: music.wav, bpm: 72, first_beat: 13f}]\n"
    board.write(panels(rows, HEAD + music))
    # Beats at 13, 33, 53, 73, 93 ...; on twos the cuts lie on even frames.
    assert run(["fit", str(board.folder), "--beats"]) == 0
    assert capsys.readouterr().out.splitlines()[-5:] == [
        "0:06.000 becomes 0:06.000",
        "cut to shot 20: +4 frames, now at frame 52, 1 frame (42 ms) before a beat",
        "cut to shot 30: -2 frames, now at frame 94, 1 frame (42 ms) after a beat",
        "2 of 2 cuts lie on a beat, 2 of them on the pose nearest to it: at most 1 frame (42 ms)"
        " off",
        "nothing is written; --write puts the new lengths into the board",
    ]
