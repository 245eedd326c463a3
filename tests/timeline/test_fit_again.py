"""Fitting, changing and fitting again: an earlier fit leaves no trace in a later one."""

from __future__ import annotations

from fractions import Fraction

import pytest
from boards import BoardFolder, panels
from hypothesis import example, given, settings
from hypothesis import strategies as st
from test_fit import lengths, random_board, with_lengths

from animatic.board import Board
from animatic.board.keys.durations import parse_panel_duration
from animatic.timeline import lay_out
from animatic.timeline.fit import CannotFit, fit_length, limits
from animatic.timeline.least import parts


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> BoardFolder:
    made = BoardFolder(tmp_path_factory.mktemp("again"))
    made.photo()
    made.sound("line.wav", 60_000)
    return made


ROUNDED_ANEW = panels(
    """
    - {shot: 0, photo: a.jpg}
    - {photo: a.jpg, duration: 5.4s}
    - {photo: a.jpg, dialogue: [{who: Odd, line: The tide is late, voice: line.wav}]}
    """,
    "board: 1\nrate: 12\nshoot_on: 3\npicture: {size: 160x90}\n",
)
"""The recording is not written by a fit, but rounds to another pose once its shot has changed."""


def with_written(board: Board, index: int, text: str) -> Board:
    """Return the board after the film-maker gave a panel another length."""
    return with_lengths(board, {index: parse_panel_duration(text)})


@settings(max_examples=150, deadline=None)
@given(
    random_board(fitted=False),
    st.fractions(Fraction(1, 2), 3),
    st.tuples(st.integers(0, 13), st.sampled_from(["0.4s", "1s", "2.83s", "17f", "40f"])),
    st.fractions(Fraction(1, 2), 3),
)
@example(text=ROUNDED_ANEW, first=Fraction(1, 2), change=(0, "2.83s"), then=Fraction(3, 2))
def test_a_fit_before_a_change_leaves_no_trace_in_the_fit_after_it(
    folder: BoardFolder, text: str, first: Fraction, change: tuple[int, str], then: Fraction
) -> None:
    # What is locked keeps the frames it had when the change came.
    board = folder.read(text.replace(", lock: true", ""))
    index, length = change[0] % len(board.content.panels), change[1]
    plain = with_written(board, index, length)
    before = lay_out(board)
    wanted = max(1, int(before.frames * first))
    try:
        fitted = with_lengths(board, fit_length(board, before, wanted))
    except CannotFit:
        return
    changed = with_written(fitted, index, length)
    frames = max(1, int(before.frames * then))
    possible = limits(plain, lay_out(plain))
    assert limits(changed, lay_out(changed)) == possible
    if frames < possible.shortest or frames in (lay_out(plain).frames, lay_out(changed).frames):
        return
    if possible.longest is not None:
        return
    straight = with_lengths(plain, fit_length(plain, lay_out(plain), frames))
    after = with_lengths(changed, fit_length(changed, lay_out(changed), frames))
    assert [entry.duration for entry in after.content.panels] == [
        entry.duration for entry in straight.content.panels
    ]
    # And what is held has the length that it has without any fit, or what its line needs.
    film, ends = lay_out(plain), {shot.name: shot.end for shot in lay_out(plain).shots}
    for part, has in zip(parts(plain, film), lengths(lay_out(after)), strict=True):
        panel = film.panels[part.index]
        over = max([0, *(line.end_frame - ends[panel.shot] for line in panel.lines)])
        if not part.moves and (over < panel.shoot_on or part.held_by != "recorded dialogue"):
            assert has == panel.frames
        elif not part.moves:
            assert panel.frames <= has < panel.frames + over + panel.shoot_on


def test_a_recording_keeps_its_rounding_from_one_fit_to_the_next(folder: BoardFolder) -> None:
    # A recording of 53.3 frames behind a shot of 167.04: together they end at 220, on twos.
    folder.sound("late.wav", 53 * 2000 + 600)
    head = "board: 1\npicture: {size: 160x90}\nspeech: {lead: 0s, tail: 0s}\n"
    board = folder.read(
        panels(
            """
            - {shot: 10, photo: a.jpg, duration: 6.96s}
            - {shot: 20, photo: a.jpg, dialogue: [{who: Odd, line: Late, voice: late.wav}]}
            """,
            head,
        )
    )
    assert lengths(lay_out(board)) == [168, 52]
    fitted = with_lengths(board, fit_length(board, lay_out(board), 255))
    assert [str(entry.duration) for entry in fitted.content.panels] == ["6.96s ~203f", "~52f"]
    changed = with_written(fitted, 0, "1s")
    assert lengths(lay_out(changed)) == [24, 52]
    assert lengths(lay_out(with_written(board, 0, "1s"))) == [24, 54]
    again = with_lengths(changed, fit_length(changed, lay_out(changed), 100))
    assert [str(entry.duration) for entry in again.content.panels] == ["1s ~46f", "None"]
    assert lengths(lay_out(again)) == [46, 54]
