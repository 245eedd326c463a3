"""The plan of what takes leave: those poses, each once, at their own paces."""

from __future__ import annotations

from fractions import Fraction

import pytest
from boards import BoardFolder, panels
from hypothesis import given, settings
from hypothesis import strategies as st

from animatic.shoot import plan_shoot
from animatic.shoot.posetimes import pose_times
from animatic.shoot.toshoot import to_shoot
from animatic.timeline import Timeline, lay_out

TEXT = panels(
    """
    - {shot: 10, photo: a.jpg, setup: a, duration: 33f, dress: 20m}
    - {photo: a.jpg, duration: 12f, shoot_on: 3, poses_per_hour: 5}
    - {shot: 20, photo: a.jpg, setup: b, duration: 21f, transition: {dissolve: 7f}, dress: 10m}
    - {shot: 30, photo: a.jpg, setup: a, duration: 10f}
    """,
    """board: 1
picture: {size: 160x90}
shoot_on: 2
handles: 3f
pace: {poses_per_hour: 20, lost: 0, changes: {place: 30m}}
day: {start: 09:00, hours: 2, break_every: 1h, break_length: 10m}
setups:
  a: {place: Quay, rig: 1h}
  b: {place: Shed, rig: 30m}
""",
)
RIGS = {"a": 3600, "b": 1800}
DRESS = {"10": 1200, "20": 600, "30": 0}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> BoardFolder:
    made = BoardFolder(tmp_path_factory.mktemp("rest"))
    made.photo()
    made.read(TEXT)
    return made


@settings(deadline=None, max_examples=40)
@given(data=st.data())
def test_each_pose_that_is_left_is_planned_once(folder: BoardFolder, data: st.DataObject) -> None:
    board = folder.read(TEXT)
    film = lay_out(board)
    left = {
        shot.name: data.draw(
            st.one_of(st.just(shot.pose_starts), st.sets(st.sampled_from(shot.pose_starts))).map(
                lambda starts: tuple(sorted(starts))
            )
        )
        for shot in film.shots
    }
    plan = plan_shoot(board, film, left)
    stints = [stint for day in plan.days for stint in day.stints]
    found: dict[str, list[int]] = {shot.name: [] for shot in film.shots}
    for stint in stints:
        if stint.kind == "shoot" and stint.shot is not None:
            found[stint.shot.name] += range(stint.first_pose, stint.end_pose)
    for shot in film.shots:
        starts = [shot.pose_starts[pose] for pose in found[shot.name]]
        assert tuple(starts) == left[shot.name]
    # Each pose on its own, and what is rigged and dressed for any of them.
    work = Fraction(plan.ordered.cost)
    for shot in film.shots:
        times = pose_times(board, shot)
        work += sum(times.seconds(pose, pose + 1) for pose in found[shot.name])
        work += DRESS[shot.name] if left[shot.name] else 0
    work += sum(RIGS[s] for s in {shot.setup for shot in film.shots if left[shot.name]})
    assert plan.work == work
    assert plan.done is not None
    assert plan.done.poses == sum(shot.poses for shot in film.shots) - plan.poses
    assert plan.done.shots == sum(not starts for starts in left.values())


def test_a_pose_of_a_take_that_lies_elsewhere_is_that_of_the_sheet(folder: BoardFolder) -> None:
    film: Timeline = folder.lay_out(TEXT)
    shot = film.shots[2]
    # From -3 on in twos: the handle's last frame is one pose with the first of the cut.
    assert [start - shot.start for start in shot.pose_starts[:3]] == [-3, -1, 1]
    found = to_shoot(shot, [shot.start, shot.start + 2, shot.start + 8])
    assert found.runs == ((1, 3), (5, 6))
    assert (found.poses, found.frames) == (3, 6)


def test_the_last_pose_may_be_shorter(folder: BoardFolder) -> None:
    shot = folder.lay_out(TEXT).shots[0]
    assert to_shoot(shot).frames == shot.frames_to_shoot
    assert to_shoot(shot, []).runs == ()
