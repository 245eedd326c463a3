"""Boards laid on the frame grid, against exact fractions and against what design demands.

Nothing here uses the package to work out a time: seconds, counts and grids are computed anew
with Fractions.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import groupby, pairwise
from math import ceil, floor
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from animatic.errors import BoardError
from animatic.frames import RATES
from animatic.timeline import Timeline
from animatic.timeline.model import Box, Lettering, Mix, Move, Transition
from tests.boards import HEAD, BoardFolder, panels
from tests.strategies import untimed
from tests.timeline.plans import FPS, Length, Plan, plans


def test_the_rates_are_the_eight_of_the_board() -> None:
    assert sorted(FPS) == sorted(RATES)


@pytest.fixture(scope="module")
def board(tmp_path_factory: pytest.TempPathFactory) -> BoardFolder:
    """A folder with the one photo that all boards of this module hold up."""
    board = BoardFolder(tmp_path_factory.mktemp("film"))
    board.photo()
    return board


@pytest.mark.parametrize("rate", FPS)
def test_random_boards_keep_what_design_demands(rate: str, board: BoardFolder) -> None:
    @settings(untimed, max_examples=40)
    @given(plans())
    def check(plan: Plan) -> None:
        timeline = board.lay_out(plan.text(rate, {}))
        check_contiguity(plan, timeline)
        check_counts_and_grids(plan, timeline, rate)
        check_errors(plan, timeline, rate)

    check()


def check_contiguity(plan: Plan, timeline: Timeline) -> None:
    """Invariants 1 and 4: whole numbers, half-open ranges from 0 on, the total is the sum."""
    edges = [(panel.start, panel.end) for panel in timeline.panels]
    assert all(type(edge) is int for pair in edges for edge in pair)
    assert edges[0][0] == 0
    assert all(before[1] == after[0] for before, after in pairwise(edges))
    assert all(start < end for start, end in edges)
    assert timeline.frames == edges[-1][1] == sum(end - start for start, end in edges)
    assert timeline.frames == sum(shot.frames for shot in timeline.shots)
    assert [len(shot.panels) for shot in timeline.shots] == [len(shot) for shot in plan.shots]
    assert [shot.name for shot in timeline.shots] == [f"s{at}" for at in range(len(plan.shots))]
    assert [panel.shoot_on for panel in timeline.panels] == [on for _, _, on in plan.panels]


def runs(plan: Plan, timeline: Timeline) -> Iterator[tuple[int, list[tuple[Length, int, int]]]]:
    """Yield stretches of one `shoot_on` in one shot: it, and (length, start, end) of panels."""
    both = zip(plan.panels, timeline.panels, strict=True)
    for (_, on), group in groupby(both, lambda pair: (pair[0][0], pair[0][2])):
        yield on, [(length, panel.start, panel.end) for (_, length, _), panel in group]


def check_counts_and_grids(plan: Plan, timeline: Timeline, rate: str) -> None:
    """Invariant 2: counts are never altered, shots timed in seconds are whole poses."""
    for on, run in runs(plan, timeline):
        origin = run[0][1]
        for length, start, end in run:
            if length.seconds is None:
                assert end - start == length.frames(rate)
            else:
                assert (end - origin) % on == 0
        if all(length.seconds is not None for length, _, _ in run):
            assert (run[-1][2] - origin) % on == 0


def check_errors(plan: Plan, timeline: Timeline, rate: str) -> None:
    """Invariant 2: no cut is off by more than half a pose, and no error adds up.

    What holds exactly: with S the coarsest `shoot_on` of the panels timed in seconds so far,
    a cut lies less than S/2 frames before its exact place; and at most S/2 behind it, as long
    as no such panel is written shorter than a pose of its own. Every panel has a pose all the
    same, so that what such panels lack comes on top, until a longer one makes it good.
    """
    exact, late, coarsest, lacking = Fraction(0), Fraction(0), 1, Fraction(0)
    for (_, length, on), panel in zip(plan.panels, timeline.panels, strict=True):
        exact += length.frames(rate)
        before, late = late, panel.end - exact
        if length.seconds is None:
            assert late == before
            continue
        coarsest = max(coarsest, on)
        lacking += max(0, on - length.frames(rate))
        assert -Fraction(coarsest, 2) < late <= Fraction(coarsest, 2) + lacking
        if length.frames(rate) >= on + before:
            assert -Fraction(on, 2) < late <= Fraction(on, 2)


@settings(untimed, max_examples=80)
@given(plans(), st.sampled_from(list(FPS)), st.data())
def test_dissolves_move_no_cut_and_are_shot_at_both_sides(
    board: BoardFolder, plan: Plan, rate: str, data: st.DataObject
) -> None:
    """Invariant 3: frames to shoot are cut length, overlaps and handles; poses round up."""
    plain = board.lay_out(plan.text(rate, {}))
    dissolves = {
        after.index: data.draw(st.integers(0, min(before.frames, after.frames)))
        for before, after in pairwise(plain.shots)
    }
    timeline = board.lay_out(plan.text(rate, dissolves))
    assert [(p.start, p.end) for p in timeline.panels] == [(p.start, p.end) for p in plain.panels]
    for shot in timeline.shots:
        into, out = dissolves.get(shot.index, 0), dissolves.get(shot.index + 1, 0)
        assert shot.transition == Transition(dissolve=into)
        assert shot.overlap_head == into // 2
        assert shot.overlap_tail == ceil(Fraction(out, 2))
        assert shot.handles == plan.handles
        frames = shot.end - shot.start + into // 2 + ceil(Fraction(out, 2)) + 2 * plan.handles
        assert shot.frames_to_shoot == frames
        assert sum(exposed for exposed, _ in shot.exposures) == frames
        assert shot.poses == sum(ceil(Fraction(n, on)) for n, on in shot.exposures)
        if len({panel.shoot_on for panel in shot.panels}) == 1:
            assert shot.poses == ceil(Fraction(frames, shot.panels[0].shoot_on))


# -------------------------------------------------------------------- tables and single boards


@pytest.mark.parametrize(
    ("rate", "frames", "alone"),
    [("24", [31, 51, 16, 80, 30], 208), ("25", [33, 52, 18, 83, 31], 218)],
)
def test_positions_are_rounded_and_never_lengths(
    rate: str, frames: list[int], alone: int, board: BoardFolder
) -> None:
    """Cumulative rounding, half up, computed by hand; rounding each alone misses a frame at 25."""
    written = ["1.3", "2.1", "0.7", "3.33", "1.25"]
    lines = (f"- {{shot: s{at}, photo: a.jpg, duration: {s}s}}" for at, s in enumerate(written))
    timeline = board.lay_out(panels("\n".join(lines), f"{HEAD}rate: {rate}\nshoot_on: 1\n"))
    assert [panel.frames for panel in timeline.panels] == frames
    assert timeline.frames == {"24": 208, "25": 217}[rate]
    assert sum(floor(Fraction(s) * int(rate) + Fraction(1, 2)) for s in written) == alone


def test_half_a_frame_goes_up(board: BoardFolder) -> None:
    """1.3 s at 25 is 32.5 frames: half up gives 33, where Python's round() says 32."""
    head = f"{HEAD}rate: 25\nshoot_on: 1\n"
    timeline = board.lay_out(panels("- {shot: 10, photo: a.jpg, duration: 1.3s}", head))
    assert timeline.frames == 33
    assert round(32.5) == 32


def test_a_thousand_thirds_of_a_second_do_not_drift(board: BoardFolder) -> None:
    lines = (f"- {{shot: s{at}, photo: a.jpg, duration: 0.333s}}" for at in range(1000))
    head = f"{HEAD}rate: 29.97\n"
    timeline = board.lay_out(panels("\n".join(lines), head))
    exact = 333 * FPS["29.97"]
    assert abs(timeline.frames - exact) <= 1
    # Each alone is 9.98 frames, nearest to 10: rounding the lengths would add 20 frames.
    assert {panel.frames for panel in timeline.panels} == {8, 10}


def test_a_panel_shorter_than_a_pose_has_one_all_the_same(board: BoardFolder) -> None:
    text = panels(
        """
        - {shot: 10, photo: a.jpg, duration: 0.001s}
        - {photo: a.jpg, duration: 0.001s}
        - {photo: a.jpg, duration: 1s}
        """,
        f"{HEAD}shoot_on: 3\n",
    )
    assert [panel.frames for panel in board.lay_out(text).panels] == [3, 3, 18]


def test_a_count_off_the_grid_is_kept_and_the_next_panel_ends_on_the_grid(
    board: BoardFolder,
) -> None:
    text = panels(
        """
        - {shot: 10, photo: a.jpg, duration: 25f}
        - {photo: a.jpg, duration: 1s}
        - {shot: 20, photo: a.jpg, duration: 1s}
        """
    )
    timeline = board.lay_out(text)
    # Exact ends 25, 49, 73; 49 lies between the poses that end on 48 and 50, half goes up.
    assert [panel.end for panel in timeline.panels] == [25, 50, 74]


def test_shoot_on_holds_to_the_end_of_its_shot(board: BoardFolder) -> None:
    text = panels(
        """
        - {shot: 10, photo: a.jpg}
        - {photo: a.jpg, shoot_on: 1}
        - {photo: a.jpg}
        - {shot: 20, photo: a.jpg}
        - {photo: a.jpg}
        - {shot: 30, photo: a.jpg, shoot_on: 3}
        """
    )
    timeline = board.lay_out(text)
    assert [panel.shoot_on for panel in timeline.panels] == [2, 1, 1, 2, 2, 3]
    assert [panel.number for panel in timeline.panels] == [1, 2, 3, 1, 2, 1]
    assert [panel.index for panel in timeline.panels] == [0, 1, 2, 3, 4, 5]


def test_poses_are_rounded_up_in_every_run_with_overlaps_and_handles_at_the_ends(
    board: BoardFolder,
) -> None:
    text = panels(
        """
        - {shot: 10, photo: a.jpg, duration: 48f}
        - {shot: 20, photo: a.jpg, duration: 25f, transition: {dissolve: 7f}}
        - {photo: a.jpg, duration: 10f, shoot_on: 3}
        - {shot: 30, photo: a.jpg, duration: 48f, transition: {dissolve: 12f}}
        """,
        f"{HEAD}handles: 8f\n",
    )
    shot = board.lay_out(text).shots[1]
    # Head: 8 handle + 3 overlap + 25 on twos; tail: 10 + 6 overlap + 8 handle on threes.
    assert shot.exposures == ((36, 2), (24, 3))
    assert (shot.frames, shot.frames_to_shoot, shot.poses) == (35, 60, 18 + 8)


def test_everything_else_of_a_board_arrives_in_the_timeline(board: BoardFolder) -> None:
    text = """\
board: 1
title: Low Water
rate: 29.97
start: 01:00:00;00
picture: {size: 320x180, fit: contain}
handles: 0.5s
lettering: {shot: false, size: false}
mix: {duck: 12, duck_attack: 0.25s, duck_hold: 15f, duck_release: 1s, dialogue: -1,
  effects: -2.5, music: -6, loudness: -16.5}
setups: {quay: {place: Quay}}
panels:
  - shot: 10
    photo: a.jpg
    size: WS
    duration: 60f
    transition: {from_black: 10f}
    note: At dawn.
  - photo: a.jpg
    size: MS OTS
    setup: quay
    fit: cover
    duration: 60f
    crop: {left: 0.25, top: 0.125, width: 0.5, height: 0.75}
    move: {to: {width: 0.5}, ease: in, start: 10f, length: 40f}
    transition: {to_black: 12f}
"""
    timeline = board.lay_out(text)
    assert (timeline.title, timeline.rate.name, timeline.size) == ("Low Water", "29.97", (320, 180))
    # 01:00:00;00 is frame 107 892 (standard drop-frame count of an hour).
    assert (timeline.start, timeline.drop) == (107_892, True)
    assert timeline.label(0) == "01:00:00;00"
    assert timeline.lettering == Lettering(shot=False, size=False, dialogue=True, font=None)
    # 15 frames at 29.97 are 0.5005 s, 24 024 samples.
    assert timeline.mix == Mix(
        duck=12.0,
        duck_attack=12_000,
        duck_hold=24_024,
        duck_release=48_000,
        dialogue=-1.0,
        effects=-2.5,
        music=-6.0,
        loudness=-16.5,
    )
    (shot,) = timeline.shots
    assert (shot.name, shot.setup, shot.handles) == ("10", "quay", 15)
    assert shot.transition == Transition(dissolve=0, from_black=10, to_black=12)
    first, second = shot.panels
    assert (first.size, first.fit, first.crop, first.move) == ("WS", "contain", Box(), None)
    assert (first.note, second.note) == ("At dawn.", "")
    assert (second.size, second.fit) == ("MS OTS", "cover")
    assert second.crop == Box(0.25, 0.125, 0.5, 0.75)
    assert second.move == Move(Box(0.0, 0.0, 0.5, 1.0), "in", 10, 50)
    assert (first.photo, first.photo_size) == (board.folder / "a.jpg", (160, 90))


@pytest.mark.parametrize(
    ("move", "first", "last"),
    [
        ("{to: {width: 0.5}}", 0, 47),
        ("{to: {width: 0.5}, start: 12f}", 12, 47),
        ("{to: {width: 0.5}, length: 24f}", 0, 24),
        ("{to: {width: 0.5}, start: 24f, length: 24f}", 24, 47),
        ("{to: {width: 0.5}, length: 48f}", 0, 47),
        ("{to: {width: 0.5}, start: 0.5s, length: 1s}", 12, 36),
        ("{to: {width: 0.5}, start: 46f}", 46, 47),
    ],
)
def test_a_move_lies_in_its_panel(move: str, first: int, last: int, board: BoardFolder) -> None:
    text = panels(f"- {{shot: 10, photo: a.jpg, duration: 48f, move: {move}}}")
    assert board.lay_out(text).panels[0].move == Move(Box(0, 0, 0.5, 1), "both", first, last)


def test_a_size_holds_until_another_is_named(board: BoardFolder) -> None:
    text = panels(
        """
        - {shot: 10, photo: a.jpg}
        - {photo: a.jpg, size: MS}
        - {photo: a.jpg}
        - {photo: a.jpg, size: CU}
        - {shot: 20, photo: a.jpg}
        """
    )
    timeline = board.lay_out(text)
    # The panel before the first named size is of the shot's size: one set-up, cut to cut.
    assert [panel.size for panel in timeline.panels] == ["MS", "MS", "MS", "CU", ""]
    assert [shot.size for shot in timeline.shots] == ["MS", ""]


def test_a_film_without_title_has_its_folders_name(board: BoardFolder) -> None:
    timeline = board.lay_out(panels("- {shot: 10, photo: a.jpg}"))
    assert timeline.title == board.folder.name


def test_what_does_not_fit_is_told_all_at_once(board: BoardFolder) -> None:
    text = panels(
        """
        - {shot: 10, photo: a.jpg, duration: 10f, transition: {dissolve: 2f}}
        - {photo: a.jpg, duration: 10f, move: {to: {width: 0.5}, start: 10f}}
        """
    )
    with pytest.raises(BoardError) as fault:
        board.lay_out(text)
    assert len(fault.value.problems) == 2


def test_files_may_lie_outside_where_the_board_says_so(tmp_path: Path) -> None:
    board = BoardFolder(tmp_path / "film")
    board.photo("../photos/a.jpg")
    text = panels("- {shot: 10, photo: ../photos/a.jpg}", f"{HEAD}outside: allow\n")
    photo = board.lay_out(text).panels[0].photo
    assert photo.is_absolute()
    assert photo.samefile(tmp_path / "photos" / "a.jpg")
