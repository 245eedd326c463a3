"""Fitting shots of several panels: what holds a whole shot, case by case."""

from __future__ import annotations

import pytest
from boards import BoardFolder, panels
from test_fit import lengths, with_lengths

from animatic.timeline import lay_out
from animatic.timeline.beats import fit_beats
from animatic.timeline.fit import CannotFit, fit_length, limits

HEAD = """
board: 1
shoot_on: {}
picture: {{size: 160x90}}
lettering: {{dialogue: false}}
speech: {{words_per_minute: 60, lead: 0s, gap: 0s, tail: 0s, scratch: false}}
defaults: {{shortest: 2f}}
music: [{{file: music.wav, bpm: {}, first_beat: {}s}}]
"""
"""A second has 24 frames, a word is spoken in a second, and nothing is short but by need."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> BoardFolder:
    made = BoardFolder(tmp_path_factory.mktemp("shots"))
    made.photo()
    made.sound("music.wav", 48_000 * 60)
    return made


def film(rows: str, shoot_on: int = 1, bpm: int = 60, first: float = 2.75) -> str:
    return panels(rows, HEAD.format(shoot_on, bpm, first).lstrip())


OVER_TWO_PANELS = """
- {{shot: 10, photo: a.jpg, duration: 1s, dialogue: [{{who: Odd, line: one two three{}}}]}}
- {{photo: a.jpg, duration: 2s}}
- {{shot: 20, photo: a.jpg, duration: 3s}}
"""


def test_a_line_over_two_panels_holds_the_cut_behind_them(folder: BoardFolder) -> None:
    board = folder.read(film(OVER_TWO_PANELS.format("")))
    before = lay_out(board)
    assert before.panels[0].lines[0].end_frame == before.shots[0].end == 72
    # The nearest beat, at frame 66, is in the line; the next one is too far away.
    assert fit_beats(board, before, 10) == {}
    after = lay_out(with_lengths(board, fit_length(board, before, 96)))
    assert [shot.frames for shot in after.shots] == [72, 24]
    with pytest.raises(CannotFit) as caught:
        fit_length(board, before, 72)
    assert str(caught.value).splitlines()[1:] == [
        "shortest: 74 frames (3.08 s); longest: 24 hours",
        "what holds it:",
        "  shot 10, panel 2: 48 frames by a line of panel 1",
        "  shot 10, panel 1: 24 frames by its dialogue",
        "  shot 20, panel 1: 2 frames by shortest",
    ]


def test_a_line_that_may_run_over_the_cut_does_not_hold_it(folder: BoardFolder) -> None:
    board = folder.read(film(OVER_TWO_PANELS.format(", over: next")))
    before = lay_out(board)
    after = lay_out(with_lengths(board, fit_beats(board, before, 10)))
    assert [shot.start for shot in after.shots] == [0, 66]
    assert limits(board, before).shortest == 6


def test_a_line_that_begins_late_holds_the_panels_from_its_own_on(folder: BoardFolder) -> None:
    board = folder.read(
        film(
            """
            - {shot: 10, photo: a.jpg, duration: 4s}
            - {photo: a.jpg, duration: 1s, dialogue: [{who: Odd, line: one, at: 12f}]}
            - {photo: a.jpg, duration: 1s}
            - {shot: 20, photo: a.jpg, duration: 2s}
            """
        )
    )
    before = lay_out(board)
    # The line ends 36 frames behind its panel's start; the panel itself has 24 now.
    assert limits(board, before).shortest == 2 + 36 + 2
    after = lay_out(with_lengths(board, fit_length(board, before, 40)))
    assert lengths(after) == [2, 24, 12, 2]


def test_a_fade_may_be_longer_than_the_panel_it_begins_in(folder: BoardFolder) -> None:
    board = folder.read(
        film(
            """
            - {shot: 10, photo: a.jpg, duration: 6f, transition: {from_black: 1s}}
            - {photo: a.jpg, duration: 2s}
            - {shot: 20, photo: a.jpg, duration: 3s}
            """
        )
    )
    before = lay_out(board)
    with pytest.raises(CannotFit) as caught:
        fit_length(board, before, 25)
    assert str(caught.value).splitlines()[1:4] == [
        "shortest: 26 frames (1.08 s); longest: 24 hours",
        "what holds it:",
        "  shot 10, panel 2: 18 frames by its shot's transitions",
    ]
    after = lay_out(with_lengths(board, fit_length(board, before, 26)))
    assert lengths(after) == [6, 18, 2]


def test_beats_leave_room_for_a_fade_over_two_panels(folder: BoardFolder) -> None:
    rows = """
        - {shot: 10, photo: a.jpg, duration: 6f, transition: {from_black: 40f}}
        - {photo: a.jpg, duration: 1.5s}
        - {shot: 20, photo: a.jpg, duration: 3s}
        """
    # The cut lies at 42 and the beat at 36, where the fade would not have ended.
    board = folder.read(film(rows, first=1.5))
    assert fit_beats(board, lay_out(board), 10) == {}


def test_what_a_fit_made_room_for_keeps_it_in_the_next_one(folder: BoardFolder) -> None:
    """A fade and a move that the written lengths have no room for."""
    rows = """
        - {shot: 10, photo: a.jpg, duration: 1s ~48f, transition: {from_black: 40f}}
        - shot: 20
          photo: a.jpg
          duration: 1s ~48f
          move: {to: {width: 0.5, height: 0.5}, length: 30f}
        - {shot: 30, photo: a.jpg, duration: 2s}
        """
    board = folder.read(film(rows))
    before = lay_out(board)
    assert limits(board, before).shortest == 72
    # 96 frames is what was written, but it cannot be laid out.
    assert lengths(lay_out(with_lengths(board, fit_length(board, before, 96)))) == [40, 30, 26]


def test_a_recording_that_goes_back_to_its_length_leaves_room_for_a_fade(
    folder: BoardFolder,
) -> None:
    folder.sound("line.wav", 60_000)
    rows = """
        - shot: 10
          photo: a.jpg
          duration: ~60f
          dialogue: [{who: Odd, line: Late, voice: line.wav}]
          transition: {from_black: 40f}
        - {shot: 20, photo: a.jpg, duration: 2s}
        """
    board = folder.read(film(rows))
    before = lay_out(board)
    # Without the fit the recording's panel has 30 frames, and the board cannot be laid out.
    assert lengths(lay_out(with_lengths(board, fit_length(board, before, 90)))) == [40, 50]


def test_a_move_needs_more_than_a_written_length_beside_a_long_fade(folder: BoardFolder) -> None:
    rows = """
        - shot: 10
          photo: a.jpg
          duration: 1s ~48f
          move: {to: {width: 0.5, height: 0.5}, length: 40f}
          transition: {from_black: 60f}
        - {photo: a.jpg, duration: 3s}
        - {shot: 20, photo: a.jpg, duration: 2s}
        """
    board = folder.read(film(rows))
    before = lay_out(board)
    assert limits(board, before).shortest == 62
    after = lay_out(with_lengths(board, fit_length(board, before, 62)))
    assert lengths(after) == [40, 20, 2]
