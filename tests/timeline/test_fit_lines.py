"""Fitting where lines run over the cut behind them: they get what they need, or why not is said."""

from __future__ import annotations

import pytest
from boards import BoardFolder, panels
from test_fit import lengths, with_lengths

from animatic.cli import run
from animatic.timeline import lay_out
from animatic.timeline.findings import findings
from animatic.timeline.fit import CannotFit, fit_length, limits

HEAD = """board: 1
picture: {size: 160x90}
lettering: {dialogue: false}
speech: {lead: 0.5s, tail: 0.5s, scratch: false}
"""
"""On twos at 24 frames a second. A recording of 3.5 s ends 96 frames behind its panel's start."""
ROWS = """
- {{shot: 10, photo: a.jpg, duration: 3s}}
- {{shot: 20, photo: a.jpg, duration: {}, dialogue: [{{who: Odd, line: Late, voice: late.wav}}]}}
- {{shot: 30, photo: a.jpg, duration: 4s}}
"""


@pytest.fixture
def folder(tmp_path_factory: pytest.TempPathFactory) -> BoardFolder:
    made = BoardFolder(tmp_path_factory.mktemp("lines"))
    made.photo()
    made.sound("late.wav", 7 * 24_000)
    return made


@pytest.mark.parametrize("written", ["3s", "3s ~75f", "~60f"])
@pytest.mark.parametrize("frames", [240, 241, 264])
def test_a_panel_gets_what_a_longer_recording_needs(
    folder: BoardFolder, written: str, frames: int
) -> None:
    board = folder.read(panels(ROWS.format(written), HEAD))
    before = lay_out(board)
    assert [one.kind for one in findings(board, before)].count("dialogue") == 1
    changes = fit_length(board, before, frames)
    fitted = with_lengths(board, changes)
    after = lay_out(fitted)
    assert after.frames == frames
    # The one that has the line's length by itself has the pause behind it too.
    assert lengths(after)[1] == (108 if written == "~60f" else 96)
    assert [one.kind for one in findings(fitted, after)].count("dialogue") == 0
    assert fit_length(fitted, after, frames) == {}


def test_the_length_that_the_film_has_is_shared_anew_for_a_line_that_runs_over(
    folder: BoardFolder,
) -> None:
    board = folder.read(panels(ROWS.format("3s ~76f"), HEAD))
    before = lay_out(board)
    changes = fit_length(board, before, before.frames)
    assert {index: str(length) for index, length in changes.items()} == {
        0: "3s ~64f",
        1: "3s ~96f",
        2: "4s ~84f",
    }
    # Where the pause behind the line is all that is lacking, what was written stays.
    board = folder.read(panels(ROWS.format("4s"), HEAD))
    assert fit_length(board, lay_out(board), lay_out(board).frames) == {}


def test_a_line_without_a_recording_is_heard_to_its_end_too(folder: BoardFolder) -> None:
    rows = ROWS.replace(", voice: late.wav", "").replace("line: Late", "line: one two three four")
    head = HEAD.replace("speech: {", "speech: {words_per_minute: 60, ")
    board = folder.read(panels(rows.format("3s"), head))
    # Half a second of pause, and four words of a second each.
    assert lengths(lay_out(with_lengths(board, fit_length(board, lay_out(board), 240))))[1] == 108


def test_a_line_that_needs_more_than_the_film_has_is_named(folder: BoardFolder) -> None:
    board = folder.read(panels(ROWS.format("3s"), HEAD))
    with pytest.raises(CannotFit) as caught:
        fit_length(board, lay_out(board), 120)
    assert str(caught.value).splitlines()[1:4] == [
        "shortest: 144 frames (6.00 s); longest: 24 hours",
        "what holds it:",
        "  shot 20, panel 1: 96 frames by recorded dialogue",
    ]


@pytest.mark.parametrize("everything", [False, True])
def test_what_is_locked_or_counted_keeps_its_frames(folder: BoardFolder, everything: bool) -> None:
    locked = folder.read(panels(ROWS.format("3s, lock: true"), HEAD))
    fitted = with_lengths(locked, fit_length(locked, lay_out(locked), 220, everything))
    assert lengths(lay_out(fitted))[1] == 72
    rows = ROWS.replace(", voice: late.wav", "").replace("line: Late", "line: one two three four")
    head = HEAD.replace("speech: {", "speech: {words_per_minute: 60, ")
    counted = folder.read(panels(rows.format("72f"), head))
    fitted = with_lengths(counted, fit_length(counted, lay_out(counted), 240, everything))
    assert lengths(lay_out(fitted))[1] == (108 if everything else 72)


def test_panels_of_one_shot_hold_a_line_together(folder: BoardFolder) -> None:
    """A line may go on over a change of picture: no cut goes into it."""
    rows = ROWS.format("2s") + "- {photo: a.jpg, duration: 1.5s}\n"
    rows = rows.replace("- {shot: 30, photo: a.jpg, duration: 4s}\n", "")
    board = folder.read(panels(rows + "- {shot: 30, photo: a.jpg, duration: 4s}", HEAD))
    after = lay_out(with_lengths(board, fit_length(board, lay_out(board), 252)))
    assert after.shots[1].frames == 96
    assert limits(board, lay_out(board)).shortest == 24 + 96 + 24


def test_fit_says_which_line_still_runs_over_and_why(
    folder: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    over = "shot 20: the line of Odd runs 24 frames over its panel's end; the panel needs 96f at 24"
    folder.write(panels(ROWS.format("3s, lock: true"), HEAD))
    locked = f"{over}: lock holds it; take out lock: true"
    assert run(["fit", str(folder.folder), "--frames", "240"]) == 0
    assert capsys.readouterr().out.splitlines() == [
        "nothing to change: 240 frames, 0:10.000",
        locked,
    ]
    assert run(["fit", str(folder.folder), "--frames", "260"]) == 0
    assert capsys.readouterr().out.splitlines()[-3:] == [
        "0:10.000 becomes 0:10.833",
        locked,
        "nothing is written; --write puts the new lengths into the board",
    ]
    folder.write(panels(ROWS.format("72f").replace(", voice: late.wav", ""), HEAD))
    assert run(["fit", str(folder.folder), "--frames", "260"]) == 0
    assert "runs" not in capsys.readouterr().out
    words = "line: one two three four five six seven eight nine"
    folder.write(
        panels(
            ROWS.format("72f").replace(", voice: late.wav", "").replace("line: Late", words), HEAD
        )
    )
    assert run(["fit", str(folder.folder), "--frames", "260"]) == 0
    # Nine words at 160 a minute are 81 frames, behind a pause of 12.
    assert (
        "needs 93f at 24: an explicit count (72f) holds it; --all moves it, or write a longer one"
        in capsys.readouterr().out
    )
    assert run(["fit", str(folder.folder), "--frames", "260", "--all"]) == 0
    assert "runs" not in capsys.readouterr().out


def test_fit_names_the_shots_that_stay(
    folder: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = "".join(f"- {{shot: {n}, photo: a.jpg, duration: 30f}}\n" for n in range(1, 15))
    folder.write(panels(f"{rows}- {{shot: 20, photo: a.jpg, duration: 2s}}", HEAD))
    assert run(["fit", str(folder.folder), "--frames", "480"]) == 0
    assert capsys.readouterr().out.splitlines()[3] == (
        "14 shots as before: 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12 and 2 more"
    )


def test_a_count_of_ones_own_stays_though_a_recording_lies_in_its_panel(
    folder: BoardFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    text = panels(ROWS.format("60f"), HEAD)
    board = folder.read(text)
    before = lay_out(board)
    assert 1 not in fit_length(board, before, 264)
    # With `--all` it gets what its line needs.
    assert str(fit_length(board, before, 264, everything=True)[1]) == "96f"
    folder.write(text)
    assert run(["fit", str(folder.folder), "--frames", "264"]) == 0
    said = capsys.readouterr().out
    assert "an explicit count (60f) holds it; --all moves it, or write a longer one" in said
