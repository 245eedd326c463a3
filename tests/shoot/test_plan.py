"""The shooting plan: every pose once, days that hold what they can, and the clock."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from boards import BoardFolder, panels
from hypothesis import given, settings
from hypothesis import strategies as st

from animatic.board import read_board
from animatic.errors import BoardError
from animatic.shoot import Plan, plan_shoot
from animatic.shoot.estimate import work_in_day
from animatic.timeline import lay_out

DEMO = Path(__file__).parent.parent.parent / "demo_board"
HEAD = """board: 1
picture: {size: 160x90}
shoot_on: 2
pace: {poses_per_hour: 30, lost: 0, changes: {place: 30m, wall: 10m, light: 10m, camera: 5m}}
day: {start: 09:00, hours: 7, break_every: 1h, break_length: 10m}
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> BoardFolder:
    made = BoardFolder(tmp_path_factory.mktemp("plan"))
    made.photo()
    return made


def plan(folder: BoardFolder, text: str) -> Plan:
    board = folder.read(text)
    return plan_shoot(board, lay_out(board))


SETUPS = """setups:
  a: {place: Quay, opened: [wall], lights: [sun], rig: 1h}
  b: {place: Shed, lights: [bulb], rig: 30m}
  c: {place: Quay, lights: [sun], rig: 30m}
"""


def test_setups_alike_are_shot_one_after_the_other(folder: BoardFolder) -> None:
    rows = """
    - {shot: 10, photo: a.jpg, setup: a, duration: 48f}
    - {shot: 20, photo: a.jpg, setup: b, duration: 48f}
    - {shot: 30, photo: a.jpg, setup: c, duration: 48f}
    """
    found = plan(folder, panels(rows, HEAD + SETUPS))
    names = [setup.name for setup in found.setups]
    # a to c differ by one wall (10 min); either to b by place, lights and, from a, the wall.
    assert names in (["a", "c", "b"], ["b", "c", "a"])
    assert found.ordered.cost == 600 + 1800 + 2 * 600
    # 1 h + 30 min + 30 min of rig, the changes, and 72 poses at 30 an hour.
    assert found.work == 2 * 3600 + found.ordered.cost + Fraction(72, 30) * 3600


def test_first_last_and_after_are_kept(folder: BoardFolder) -> None:
    setups = """setups:
  a: {last: true}
  b: {after: [c]}
  c: {}
  d: {first: true}
"""
    rows = "\n".join(
        f"- {{shot: {i}, photo: a.jpg, setup: {name}, duration: 48f}}"
        for i, name in enumerate("abcd")
    )
    found = plan(folder, panels(rows, HEAD + setups))
    assert [setup.name for setup in found.setups] == ["d", "c", "b", "a"]


def test_setups_in_a_circle_are_a_fault_of_the_board(folder: BoardFolder) -> None:
    setups = "setups:\n  a: {after: [b]}\n  b: {after: [a]}\n"
    rows = """
    - {shot: 10, photo: a.jpg, setup: a}
    - {shot: 20, photo: a.jpg, setup: b}
    """
    with pytest.raises(BoardError) as caught:
        plan(folder, panels(rows, HEAD + setups))
    (problem,) = caught.value.problems
    assert problem.found == "these setups wait for each other: a after b, b after a"


def test_a_day_of_seven_hours_has_six_of_work(folder: BoardFolder) -> None:
    board = folder.read(panels("- {shot: 10, photo: a.jpg}", HEAD))
    # Six times an hour of work and ten minutes of break fill seven hours.
    assert work_in_day(board.content.day) == 6 * 3600


def test_a_shot_longer_than_a_day_is_cut_at_a_pose(folder: BoardFolder) -> None:
    rows = "- {shot: 10, photo: a.jpg, duration: 800f}"
    found = plan(folder, panels(rows, HEAD))
    # 180 poses go into six hours at 30 an hour.
    cuts = [(s.first_pose, s.end_pose) for day in found.days for s in day.stints]
    assert cuts == [(0, 180), (180, 360), (360, 400)]
    assert [day.clock(day.work, is_end=True) for day in found.days] == ["15:50", "15:50", "10:30"]


def test_a_short_shot_fills_a_day_that_the_next_does_not_fit(folder: BoardFolder) -> None:
    rows = """
    - {shot: 10, photo: a.jpg, duration: 300f}
    - {shot: 20, photo: a.jpg, duration: 100f}
    - {shot: 30, photo: a.jpg, duration: 40f}
    """
    found = plan(folder, panels(rows, HEAD))
    assert [[s.shot.name for s in day.stints if s.shot] for day in found.days] == [
        ["10", "30"],
        ["20"],
    ]


def test_dressing_and_a_pace_of_its_own_take_their_time(folder: BoardFolder) -> None:
    rows = "- {shot: 10, photo: a.jpg, duration: 20f, dress: 20m, poses_per_hour: 10}"
    found = plan(folder, panels(rows, HEAD))
    assert [(s.kind, s.length) for s in found.days[0].stints] == [("dress", 1200), ("shoot", 3600)]


@pytest.mark.parametrize(("dress", "left"), [("6h", 0), ("5h59m", 60), ("5h58m", 120)])
def test_a_rest_of_the_day_that_holds_no_pose_is_left(
    folder: BoardFolder, dress: str, left: int
) -> None:
    # A day has 6 h of work and a pose takes 120 s: the first two leave no room for one.
    rows = f"- {{shot: 10, photo: a.jpg, duration: 48f, dress: {dress}}}"
    found = plan(folder, panels(rows, HEAD))
    today = left // 120
    poses = [[(s.kind, s.poses) for s in day.stints] for day in found.days]
    shot_today = [("shoot", today)] if today else []
    assert poses == [[("dress", 0), *shot_today], [("shoot", 24 - today)]]
    assert found.days[0].work == 6 * 3600 - left % 120


lengths = st.lists(
    st.tuples(st.integers(1, 900), st.integers(0, 5), st.integers(1, 400)), min_size=1, max_size=25
)
"""Of shots: frames, setup, minutes to dress."""


@settings(max_examples=60, deadline=None)
@given(lengths, st.integers(1, 12), st.integers(5, 200))
def test_every_pose_is_planned_once(
    folder: BoardFolder, rows: list[tuple[int, int, int]], hours: int, pace: int
) -> None:
    head = (
        f"board: 1\npicture: {{size: 160x90}}\nday: {{hours: {hours}}}\n"
        f"pace: {{poses_per_hour: {pace}}}\nsetups:\n"
    ) + "".join(f"  s{i}: {{rig: {20 * i}m, place: P{i % 2}}}\n" for i in range(1, 7))
    text = "\n".join(
        f"- {{shot: {n}, photo: a.jpg, duration: {frames}f, setup: s{setup + 1}, dress: {dress}m}}"
        for n, (frames, setup, dress) in enumerate(rows)
    )
    board = folder.read(panels(text, head))
    timeline = lay_out(board)
    found = plan_shoot(board, timeline)
    assert found.poses == sum(shot.poses for shot in timeline.shots)
    for shot in timeline.shots:
        pieces = sorted(
            (s.first_pose, s.end_pose)
            for day in found.days
            for s in day.stints
            if s.kind == "shoot" and s.shot is not None and s.shot.name == shot.name
        )
        assert pieces[0][0] == 0
        assert pieces[-1][1] == shot.poses
        assert all(a[1] == b[0] for a, b in pairwise(pieces))
    stints = [stint for day in found.days for stint in day.stints]
    assert all(stint.length > 0 for stint in stints)
    assert all(stint.poses > 0 for stint in stints if stint.kind == "shoot")
    room = work_in_day(board.content.day)
    for day in found.days:
        assert day.work <= room or len(day.stints) == 1


def test_the_demo_is_planned() -> None:
    board = read_board(DEMO)
    timeline = lay_out(board)
    found = plan_shoot(board, timeline)
    assert found.poses == sum(shot.poses for shot in timeline.shots)
    assert found.ordered.is_best
