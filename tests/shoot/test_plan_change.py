"""What a change in the board does to the plan, worked out by hand."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from boards import BoardFolder, panels

from animatic.shoot import Plan, plan_shoot
from animatic.shoot.planchange import plan_change, shooting_change
from animatic.timeline import lay_out

HEAD = """board: 1
picture: {size: 160x90}
shoot_on: 1
pace: {poses_per_hour: 24, lost: 0, changes: {place: 30m, wall: 10m, light: 10m, camera: 5m}}
day: {start: 09:00, hours: 7, break_every: 1h, break_length: 10m}
setups:
  a: {place: Quay}
  b: {place: Shed}
"""
"""A pose takes 2 min 30 s, and a day has 6 h of work: 144 poses."""


@pytest.fixture
def folder(tmp_path: Path) -> BoardFolder:
    made = BoardFolder(tmp_path)
    made.photo()
    return made


def plan(folder: BoardFolder, frames: tuple[int, int, int], head: str = HEAD) -> Plan:
    rows = f"""
    - {{shot: 10, photo: a.jpg, setup: a, duration: {frames[0]}f}}
    - {{shot: 20, photo: a.jpg, setup: a, duration: {frames[1]}f}}
    - {{shot: 30, photo: a.jpg, setup: b, duration: {frames[2]}f}}
    """
    board = folder.read(panels(rows, head))
    return plan_shoot(board, lay_out(board))


def test_nothing_changed_is_said_so(folder: BoardFolder) -> None:
    was = plan(folder, (72, 48, 96))
    assert plan_change(was, was).is_none
    assert plan_change(was, was).lines() == ["plan: as before"]


def test_a_longer_shot_pushes_the_next_to_another_day(folder: BoardFolder) -> None:
    was, now = plan(folder, (72, 72, 96)), plan(folder, (72, 96, 96))
    change = plan_change(was, now)
    # 24 poses more are an hour; 72 and 96 poses are 7 h, more than a day.
    assert change.work[1] - change.work[0] == 3600
    assert change.days == (2, 3)
    assert change.moved == (("20", 1, 2), ("30", 2, 3))
    assert change.lines() == [
        "plan: 3 days, not 2, 1 h 00 min more work with rigging and dressing",
        "shot 20 is now on day 2, was on day 1",
        "shot 30 is now on day 3, was on day 2",
    ]
    assert change.as_dict()["minutes_after"] == (72 + 96 + 96) * 5 // 2 + 30


def test_another_order_of_setups_is_said(folder: BoardFolder) -> None:
    was = plan(folder, (24, 24, 24))
    now = plan(folder, (24, 24, 24), HEAD.replace("{place: Shed}", "{place: Shed, first: true}"))
    change = plan_change(was, now)
    assert change.setups == (("a", "b"), ("b", "a"))
    assert change.lines() == [
        "plan: 1 day as before, as much work with rigging and dressing",
        "setups are now in this order: b, a",
    ]


def test_another_place_costs_its_change(folder: BoardFolder) -> None:
    was = plan(folder, (24, 24, 24), HEAD.replace("{place: Shed}", "{place: Quay}"))
    now = plan(folder, (24, 24, 24))
    change = plan_change(was, now)
    assert change.changing == (0, 1800)
    assert change.work[1] - change.work[0] == Fraction(1800)
    assert "going from setup to setup takes 0 h 30 min more" in change.lines()


@pytest.mark.parametrize(
    ("pace", "own", "hours"),
    [
        # 48 poses more are two hours at 24 an hour.
        ("poses_per_hour: 24, lost: 0", "", 2),
        ("poses_per_hour: 24, lost: 50", "", 3),
        ("poses_per_hour: 24, lost: 50", ", poses_per_hour: 6", 12),
    ],
)
def test_the_cost_and_the_plan_agree(folder: BoardFolder, pace: str, own: str, hours: int) -> None:
    head = HEAD.replace("poses_per_hour: 24, lost: 0", pace)
    row = "- {{shot: 10, photo: a.jpg, setup: a, duration: {}f{}}}"
    old, new = (folder.read(panels(row.format(count, own), head)) for count in (24, 72))
    both = (old, lay_out(old)), (new, lay_out(new))
    plans = plan_shoot(*both[0]), plan_shoot(*both[1])
    assert shooting_change(*both) == hours * 3600
    # Nothing is rigged or dressed otherwise, so all the work that comes to the plan is this.
    assert plans[1].work - plans[0].work == hours * 3600


def test_a_change_of_pace_alone_is_a_change_of_hours(folder: BoardFolder) -> None:
    rows = "- {shot: 10, photo: a.jpg, setup: a, duration: 24f}"
    heads = HEAD, HEAD.replace("lost: 0", "lost: 50")
    old, new = (folder.read(panels(rows, head)) for head in heads)
    # An hour of shooting, and a half more.
    assert shooting_change((old, lay_out(old)), (new, lay_out(new))) == 1800
