"""The pace of a panel holds to the end of its shot: work, days, breaks and costs by hand."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from boards import BoardFolder, panels
from hypothesis import given, settings
from hypothesis import strategies as st
from takes_made import take

from animatic.shoot import Plan, plan_shoot
from animatic.shoot.callsheet import aims
from animatic.shoot.planchange import shooting_change
from animatic.shoot.posetimes import pose_times
from animatic.shoot.takerows import state_of, text
from animatic.shoot.takes import look_over
from animatic.timeline import lay_out

HEAD = """board: 1
picture: {size: 160x90}
shoot_on: 2
pace: {poses_per_hour: 30, lost: 0}
day: {start: 09:00, hours: 7, break_every: 1h, break_length: 10m}
"""
TWO_PACES = """
- {shot: 10, photo: a.jpg, duration: 48f, poses_per_hour: 60}
- {photo: a.jpg, duration: 48f, poses_per_hour: 6}
"""
"""24 poses of a minute, and 24 of ten: 24 min and 4 h."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> BoardFolder:
    made = BoardFolder(tmp_path_factory.mktemp("paces"))
    made.photo()
    return made


def plan(folder: BoardFolder, rows: str, head: str = HEAD) -> Plan:
    board = folder.read(panels(rows, head))
    return plan_shoot(board, lay_out(board))


def runs(folder: BoardFolder, rows: str, head: str = HEAD) -> list[tuple[int, int]]:
    """Return (poses, minutes for each) of the first shot."""
    board = folder.read(panels(rows, head))
    return [(n, int(each / 60)) for n, each in pose_times(board, lay_out(board).shots[0]).runs]


def test_two_paces_in_one_shot(folder: BoardFolder) -> None:
    assert plan(folder, TWO_PACES).work == (24 + 240) * 60
    lost = HEAD.replace("lost: 0", "lost: 10")
    assert plan(folder, TWO_PACES, lost).work == Fraction((24 + 240) * 60 * 11, 10)


@pytest.mark.parametrize(
    ("paces", "expected"),
    [
        # 12 poses each; the board's own pace is two minutes a pose.
        (("60", "", ""), [(36, 1)]),
        (("", "6", ""), [(12, 2), (24, 10)]),
        (("60", "", "6"), [(24, 1), (12, 10)]),
        (("60", "6", "60"), [(12, 1), (12, 10), (12, 1)]),
        (("", "", ""), [(36, 2)]),
    ],
)
def test_a_pace_holds_to_the_end_of_its_shot(
    folder: BoardFolder, paces: tuple[str, str, str], expected: list[tuple[int, int]]
) -> None:
    keys = [f", poses_per_hour: {pace}" if pace else "" for pace in paces]
    rows = "\n".join(
        f"- {{{'shot: 10, ' if not n else ''}photo: a.jpg, duration: 24f{own}}}"
        for n, own in enumerate(keys)
    )
    after = "\n- {shot: 20, photo: a.jpg, duration: 24f}"
    assert runs(folder, rows + after) == expected
    board = folder.read(panels(rows + after, HEAD))
    # No pace goes over the cut into the next shot.
    assert pose_times(board, lay_out(board).shots[1]).runs == ((12, Fraction(120)),)


def test_overlaps_and_handles_go_at_the_pace_beside_them(folder: BoardFolder) -> None:
    rows = f"""
    {TWO_PACES.strip()}
    - {{shot: 20, photo: a.jpg, duration: 48f, transition: {{dissolve: 12f}}}}
    """
    rows = "\n".join(line.strip() for line in rows.strip().splitlines())
    # Shot 10: handles of 8 frames at both ends, and 6 of overlap at its end.
    assert runs(folder, rows, HEAD + "handles: 8f\n") == [((8 + 48) // 2, 1), ((48 + 14) // 2, 10)]


@pytest.mark.parametrize(
    ("first", "expected"),
    [
        # On twos 47 and 49 frames: the 24th pose begins in the first panel, and ends in the other.
        (47, [(24, 1), (24, 10)]),
        (48, [(24, 1), (24, 10)]),
        (49, [(25, 1), (23, 10)]),
    ],
)
def test_a_pose_belongs_to_the_panel_of_its_first_frame(
    folder: BoardFolder, first: int, expected: list[tuple[int, int]]
) -> None:
    rows = f"""
    - {{shot: 10, photo: a.jpg, duration: {first}f, poses_per_hour: 60}}
    - {{photo: a.jpg, duration: {96 - first}f, poses_per_hour: 6}}
    """
    assert runs(folder, rows) == expected


def test_days_are_cut_where_that_many_poses_are_done(folder: BoardFolder) -> None:
    # A day has 6 h of work: 60 poses are an hour, 30 of the slow ones are five, the rest is left.
    rows = TWO_PACES.replace("48f", "120f")
    found = plan(folder, rows)
    cuts = [(s.first_pose, s.end_pose, s.length / 60) for day in found.days for s in day.stints]
    assert cuts == [(0, 90, 360), (90, 120, 300)]
    # With a minute more before it, the last slow pose does not end in time.
    dressed = rows.replace("60}", "60, dress: 1m}")
    stints = [s for day in plan(folder, dressed).days for s in day.stints if s.kind == "shoot"]
    assert [(s.first_pose, s.end_pose, s.length / 60) for s in stints] == [
        (0, 89, 350),
        (89, 120, 310),
    ]


def test_the_call_sheet_says_what_is_done_when_breaks_begin(folder: BoardFolder) -> None:
    day = plan(folder, TWO_PACES).days[0]
    # After an hour: 24 poses of a minute, 3 of ten, and the 28th is being set; then 6 an hour.
    assert aims(day, day.stints[0]) == (
        "pose 27 done when the break begins at 10:00, 33 at 11:10, 39 at 12:20, 45 at 13:30"
    )


def test_what_a_slower_panel_costs_is_told_and_planned(folder: BoardFolder) -> None:
    one = folder.read(panels(TWO_PACES.replace("poses_per_hour: 6}", "poses_per_hour: 60}"), HEAD))
    two = folder.read(panels(TWO_PACES, HEAD))
    old, new = (one, lay_out(one)), (two, lay_out(two))
    # 24 poses of ten minutes instead of one.
    assert shooting_change(old, new) == 24 * 9 * 60
    assert plan_shoot(*new).work - plan_shoot(*old).work == 24 * 9 * 60


@pytest.mark.parametrize(
    ("shot", "minutes"),
    [
        # Frames on twos: 60 frames are all fast poses and 6 slow ones, 30 are 15 fast ones.
        (96, 0),
        (60, 18 * 10),
        (30, 9 * 1 + 24 * 10),
        (0, 24 * 1 + 24 * 10),
    ],
)
def test_days_left_are_those_of_the_poses_that_lack(
    folder: BoardFolder, tmp_path: Path, shot: int, minutes: int
) -> None:
    (tmp_path / "takes").mkdir()
    if shot:
        take(tmp_path / "takes" / "10_take1", range(1, shot + 1))
    board = folder.read(panels(TWO_PACES, HEAD))
    state = state_of(board, look_over(lay_out(board), tmp_path / "takes"))
    assert state.days_left_by_board == Fraction(minutes, 6 * 60)
    assert "at the board's pace of 30 poses an hour, or a panel's own" in text(state)


def test_holes_are_told_by_the_pace_of_where_they_are(folder: BoardFolder, tmp_path: Path) -> None:
    numbers = [n for n in range(1, 105) if n not in (9, 10, 99, 100)]
    take(tmp_path / "takes" / "10_take1", numbers)
    board = folder.read(panels(TWO_PACES, HEAD + "handles: 4f\n"))
    state = state_of(board, look_over(lay_out(board), tmp_path / "takes"))
    # Frame 9 is the fifth of the shot behind a handle of four, frame 99 its 95th.
    assert state.shoot.shots[0].left == (4, 94)
    assert state.days_left_by_board == Fraction(1 + 10, 6 * 60)


shots = st.lists(
    st.tuples(st.integers(1, 120), st.sampled_from([None, 7, 40, 90]), st.integers(1, 4)),
    min_size=1,
    max_size=6,
)
"""Panels of a shot: frames, poses an hour, shoot_on."""


@settings(max_examples=60, deadline=None)
@given(shots, st.integers(0, 9))
def test_work_is_the_sum_over_frames_that_begin_a_pose(
    folder: BoardFolder, rows: list[tuple[int, int | None, int]], handles: int
) -> None:
    text = "\n".join(
        f"- {{{'shot: 10, ' if not n else ''}photo: a.jpg, duration: {frames}f, shoot_on: {on}"
        f"{f', poses_per_hour: {pace}' if pace else ''}}}"
        for n, (frames, pace, on) in enumerate(rows)
    )
    board = folder.read(panels(text, f"{HEAD}handles: {handles}f\n"))
    # Frame by frame: what is exposed at which pace, with the handles at the ends.
    exposed: list[tuple[int, int]] = []
    held = 30
    for n, (frames, pace, on) in enumerate(rows):
        held = pace or held
        beside = handles * ((n == 0) + (n == len(rows) - 1))
        exposed += [(on, held)] * (frames + beside)
    work, left, before = Fraction(0), 0, 0
    for on, pace in exposed:
        left = 0 if on != before else left
        before = on
        if not left:
            work, left = work + Fraction(3600, pace), on
        left -= 1
    (shot,) = lay_out(board).shots
    assert pose_times(board, shot).seconds(0, shot.poses) == work
    assert sum(n for n, _ in pose_times(board, shot).runs) == shot.poses
    stints = [s for day in plan_shoot(board, lay_out(board)).days for s in day.stints]
    assert sum(stint.length for stint in stints) == work
