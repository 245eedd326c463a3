"""fit, compare, pace and watch on the command line."""

from __future__ import annotations

import importlib
import json
import shutil
import subprocess
import threading
import time
from pathlib import Path

import pytest
from boards import BoardFolder, panels

from animatic.board.history import copies, replace_board
from animatic.cli import run
from animatic.cli.assemble import Wanted
from animatic.cli.watching import keep_watching
from animatic.timeline import lay_out

HEAD = "board: 1   # the head stays\npicture: {size: 160x90}\n"
ROWS = """
- {shot: 10, photo: a.jpg, duration: 2s}   # first
- shot: 20
  photo: a.jpg

  # a pause
  duration: 3s
- {shot: 30, photo: a.jpg, duration: 31f}
- {shot: 40, photo: a.jpg}
"""


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    folder = BoardFolder(tmp_path)
    folder.photo()
    folder.write(panels(ROWS, HEAD))
    return folder


def test_fit_shows_and_writes_only_when_told(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    before = board.file.read_bytes()
    assert run(["fit", str(board.folder), "--frames", "180"]) == 0
    assert capsys.readouterr().out == (
        "shot  before  after  change  poses\n"
        "10        48     42      -6     -3\n"
        "20        72     64      -8     -4\n"
        "40        48     43      -5     -2\n"
        "film     199    180     -19     -9\n"
        "1 shot as before: 30\n"
        "0:08.292 becomes 0:07.500\n"
        "1 shot ends within a pose: 40; the last pose is exposed for fewer frames\n"
        "nothing is written; --write puts the new lengths into the board\n"
    )
    assert board.file.read_bytes() == before
    assert run(["fit", str(board.folder), "--frames", "180", "--write"]) == 0
    text = board.file.read_text()
    assert text == panels(
        """
- {shot: 10, photo: a.jpg, duration: 2s ~42f}   # first
- shot: 20
  photo: a.jpg

  # a pause
  duration: 3s ~64f
- {shot: 30, photo: a.jpg, duration: 31f}
- {shot: 40, photo: a.jpg, duration: ~43f}
""",
        HEAD,
    )
    capsys.readouterr()
    assert run(["fit", str(board.folder), "--frames", "180"]) == 0
    assert capsys.readouterr().out == "nothing to change: 180 frames, 0:07.500\n"
    # Another length at once, and the first one again: all is as it was written.
    assert run(["fit", str(board.folder), "--frames", "240", "--write"]) == 0
    assert board.lay_out(board.file.read_text()).frames == 240
    assert run(["fit", str(board.folder), "--frames", "199", "--write"]) == 0
    assert board.file.read_bytes() == before
    assert run(["undo", str(board.folder)]) == 0
    assert board.lay_out(board.file.read_text()).frames == 240


def test_a_fit_that_is_refused_says_what_would_do(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["fit", str(board.folder), "--frames", "180", "--all", "--write"]) == 0
    capsys.readouterr()
    assert run(["fit", str(board.folder), "--frames", "99"]) == 1
    said = capsys.readouterr().err.splitlines()
    assert said[-2:] == [
        "with --all, which also moves counts such as 60f and recorded dialogue,"
        " shortest: 96 frames (4.00 s); longest: 24 hours",
        f"if a fit --all has written these counts: animatic undo {board.folder} brings the former"
        " ones back",
    ]


@pytest.mark.parametrize(
    ("words", "within"),
    [
        (["fit", "BOARD", "--frames", "240", "--write"], "animatic.timeline.fit.fit_length"),
        (
            ["arrange", "BOARD", "2", "1", "3", "4", "--write"],
            "animatic.board.edits.arrange.arranged",
        ),
    ],
)
def test_a_board_that_is_changed_meanwhile_is_not_written_over(
    board: BoardFolder,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    words: list[str],
    within: str,
) -> None:
    """Another program writes while the command works."""
    module, _, name = within.rpartition(".")
    true = getattr(importlib.import_module(module), name)

    def meanwhile(*arguments: object, **more: object) -> object:
        board.write(panels(ROWS.replace("31f", "33f"), HEAD))
        return true(*arguments, **more)

    monkeypatch.setattr(within, meanwhile)
    assert run([word.replace("BOARD", str(board.folder)) for word in words]) == 2
    assert "another program changed the board just now; try again" in capsys.readouterr().err
    assert "33f" in board.file.read_text()
    assert not (board.folder / ".animatic").exists()


def test_fit_finds_the_sound_beside_the_board_too(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    board.sound("tune.wav", samples=48_000 * 12)
    assert run(["fit", str(board.folder), "--to", "tune.wav"]) == 0
    assert "0:12.000" in capsys.readouterr().out
    assert run(["fit", str(board.folder), "--to", "tide.wav"]) == 2
    assert capsys.readouterr().err == (
        f"--to: there is no file tide.wav, neither here nor in {board.folder}\n"
    )


def test_fit_takes_the_length_of_a_sound(board: BoardFolder) -> None:
    sound = board.sound("tune.wav", 48_000 * 10)
    assert run(["fit", str(board.folder), "--to", str(sound), "--write"]) == 0
    assert board.lay_out(board.file.read_text()).frames == 240


@pytest.mark.parametrize(
    ("options", "code", "words"),
    [
        ([], 2, "say one of --length, --frames, --to and --beats\n"),
        (["--frames", "9", "--beats"], 2, "say one of --length, --frames, --to and --beats\n"),
        (
            ["--length", "72"],
            2,
            "--length: the bare number 72; allowed: 2.5s, 60f, 2s12f, 1m4s, 3+08 (35 mm"
            " feet+frames) or 00:00:02:12; write 72s for seconds or 72f for frames\n",
        ),
        (
            ["--length", "2s"],
            1,
            "the film cannot have 48 frames (2.00 s)\n"
            "shortest: 103 frames (4.29 s); longest: 24 hours\n"
            "what holds it:\n"
            "  shot 30, panel 1: 31 frames by an explicit count (31f)\n"
            "  shot 10, panel 1: 24 frames by shortest\n"
            "  shot 20, panel 1: 24 frames by shortest\n"
            "  shot 40, panel 1: 24 frames by shortest\n"
            "with --all, which also moves counts such as 60f and recorded dialogue,"
            " shortest: 96 frames (4.00 s); longest: 24 hours\n",
        ),
        (
            ["--beats"],
            1,
            "no music in the film has beats; write bpm (and first_beat), or beats: FILE,"
            " under it\n",
        ),
    ],
)
def test_fit_says_what_is_wrong(
    board: BoardFolder,
    capsys: pytest.CaptureFixture[str],
    options: list[str],
    code: int,
    words: str,
) -> None:
    assert run(["fit", str(board.folder), *options]) == code
    assert capsys.readouterr().err == words


def test_the_table_of_a_fit_keeps_its_columns_whatever_stands_in_them(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    name = "the quay at low water"
    board.write(panels(f"- {{shot: {name}, photo: a.jpg, duration: 2s}}", HEAD))
    assert run(["fit", str(board.folder), "--frames", "1000001"]) == 0
    assert capsys.readouterr().out.splitlines()[:3] == [
        "shot                   before    after   change    poses",
        "the quay at low water      48  1000001  +999953  +499977",
        "film                       48  1000001  +999953  +499977",
    ]


@pytest.mark.parametrize("rate", ["24", "29.97"])
def test_a_film_lasts_a_day_at_most(
    board: BoardFolder, capsys: pytest.CaptureFixture[str], rate: str
) -> None:
    board.write(panels(ROWS, f"rate: {rate}\n{HEAD}"))
    day = round(86_400 * 24 if rate == "24" else 86_400 * 30_000 / 1001)
    assert run(["fit", str(board.folder), "--frames", str(day)]) == 0
    assert "becomes 24:00:00.0" in capsys.readouterr().out
    for frames in (day + 1, 10**12):
        assert run(["fit", str(board.folder), "--frames", str(frames)]) == 1
        assert "; longest: 24 hours\n" in capsys.readouterr().err


def test_compare_with_the_last_copy_and_with_a_revision(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["compare", str(board.folder)]) == 2
    assert "no older copy is kept" in capsys.readouterr().err
    assert run(["fit", str(board.folder), "--frames", "219", "--write"]) == 0
    capsys.readouterr()
    assert run(["compare", str(board.folder), "--format", "json"]) == 0
    changed = json.loads(capsys.readouterr().out)
    assert changed["total"]["frames_after"] == 219
    assert changed["plan"]["days_after"] == 1
    if shutil.which("git") is None:
        pytest.skip("git is not on this machine")
    for command in (
        ["init", "-q"],
        ["-c", "user.name=a", "-c", "user.email=a@b", "commit", "-q", "--allow-empty", "-m", "x"],
        ["add", "board.yaml"],
        ["-c", "user.name=a", "-c", "user.email=a@b", "commit", "-q", "-m", "fitted"],
    ):
        subprocess.run(["git", "-C", str(board.folder), *command], check=True)
    # The photo that the old board names is gone by now.
    board.photo("b.jpg")
    (board.folder / "a.jpg").unlink()
    board.write(panels(ROWS.replace("a.jpg", "b.jpg"), HEAD))
    assert run(["compare", str(board.folder), "--since", "HEAD"]) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[-3].split() == ["film", "219", "199", "-20", "-10", "-0.833"]
    # 10 poses at 30 an hour, and the tenth that is lost; there is nothing to rig or to dress.
    assert said[-2] == "saves 10 poses, 0 h 22 min of shooting"
    assert said[-1] == "plan: 1 day as before, 0 h 22 min less work with rigging and dressing"
    assert said[3].split() == ["30", "changed", "(photo)", "31", "31", "+0", "+0", "+0.000"]
    assert run(["compare", str(board.folder), "--since", "nowhere"]) == 2
    assert capsys.readouterr().err.startswith("git has no board.yaml at nowhere: ")


def test_boards_are_compared_though_the_old_one_has_no_plan(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    """Kept copies may be older than the rule that setups do not wait for each other."""
    setups = "setups:\n  quay: {after: [shed]}\n  shed: {after: [quay]}\n"
    board.write(panels(ROWS, HEAD + setups))
    was = board.file.read_bytes()
    replace_board(board.file, panels(ROWS, HEAD).encode(), was=was)
    (kept,) = copies(board.file)
    assert run(["compare", str(board.folder)]) == 0
    out, err = capsys.readouterr()
    assert "film" in out
    assert "plan" not in out
    assert err == (
        f"the plans are not compared, the old board has none: {kept}:4:18: setups.quay.after[1]:"
        " these setups wait for each other: quay after shed, shed after quay; take one of them out"
        " of its after\n"
    )
    assert run(["compare", str(board.folder), "--format", "json"]) == 0
    assert "plan" not in json.loads(capsys.readouterr().out)
    # Of two boards that are named, each is to be whole; which one is not is said.
    (board.folder / "old.yaml").write_text(panels(ROWS, HEAD + setups))
    old = str(board.folder / "old.yaml")
    for named in ([old, str(board.file)], [str(board.file), old]):
        assert run(["compare", *named]) == 1
        assert capsys.readouterr().err.startswith(f"{old}:4:18: setups.quay.after[1]: these setups")


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        # What is asked for is not there: wrong usage.
        (["undo", "BOARD"], 2, "no older copy is kept, so there is nothing to undo"),
        (["undo", "BOARD", "--forward"], 2, "nothing was undone just now"),
        (["compare", "BOARD"], 2, "no older copy is kept; name two boards, or say --since REV"),
        (["set", "BOARD", "99", "--duration", "2s"], 2, "there is no shot 99"),
        (["arrange", "BOARD", "9"], 2, "there is no such card"),
        (["beats", "BOARD/gone.wav"], 2, "there is no such file"),
        # What is in a file, named by the board or by the command, is at fault.
        (["beats", "BOARD/still.wav"], 1, "no steady beat was found"),
        (["beats", "BOARD/board.yaml"], 1, "board.yaml: this is text and no sound"),
        (["fit", "BOARD", "--to", "BOARD/board.yaml"], 1, "board.yaml: this is text and no sound"),
        (["fit", "BOARD", "--beats"], 1, "no music in the film has beats"),
        (["fit", "BOARD", "--length", "1s"], 1, "the film cannot have 24 frames"),
    ],
)
def test_exit_codes_follow_one_rule(
    board: BoardFolder, capsys: pytest.CaptureFixture[str], words: list[str], code: int, said: str
) -> None:
    board.tone("still.wav", 48_000 * 8)
    board.write(panels(ROWS, HEAD + "music: [{file: still.wav, from: shot 40, until: shot 40}]\n"))
    assert run([word.replace("BOARD", str(board.folder)) for word in words]) == code
    assert said in capsys.readouterr().err


def test_pace_writes_its_charts(board: BoardFolder, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["pace", str(board.folder)]) == 0
    said = capsys.readouterr().out
    assert "longest: shot 20, 3.00 s\nshortest: shot 30, 1.29 s\n" in said
    assert sorted(p.name for p in (board.folder / "out").iterdir()) == ["pace.png", "pace.svg"]
    assert run(["pace", str(board.folder), "--format", "json"]) == 0
    assert json.loads(capsys.readouterr().out)["longest"] == "20"


def wait_for(what: str, capsys: pytest.CaptureFixture[str], said: list[str]) -> None:
    for _ in range(300):
        captured = capsys.readouterr()
        said.append(captured.out + captured.err)
        if what in "".join(said):
            return
        time.sleep(0.1)
    raise AssertionError(f"{what!r} was never said; but: {''.join(said)}")


def test_watch_assembles_again_and_survives_a_half_written_board(
    board: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    stop, said = threading.Event(), list[str]()
    watcher = threading.Thread(target=keep_watching, args=(board.file, Wanted(draft=True), stop))
    watcher.start()
    try:
        wait_for("watching", capsys, said)
        film = board.folder / "out" / "film_draft.mp4"
        first = film.read_bytes()
        board.file.write_text(panels(ROWS, HEAD)[:-30] + "{")
        wait_for("waiting for the next change", capsys, said)
        assert film.read_bytes() == first
        board.write(panels(ROWS.replace("duration: 2s", "duration: 4s"), HEAD))
        wait_for("247 frames", capsys, said)
        assert "10    longer             48            96     +48" in "".join(said)
        after: list[str] = []
        board.photo(colour=(0, 200, 0))
        wait_for("a.jpg has changed", capsys, after)
        wait_for("247 frames", capsys, after)
        assert "different" not in "".join(after)
    finally:
        stop.set()
        watcher.join(20)
    assert not watcher.is_alive()
    assert lay_out(board.read(board.file.read_bytes())).frames == 247


def test_watch_ends_in_peace(
    board: BoardFolder, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(*arguments: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("animatic.cli.watching.keep_watching", stopped)
    assert run(["watch", str(board.folder)]) == 0
    assert capsys.readouterr().out == "\nended; the last whole film stays\n"
