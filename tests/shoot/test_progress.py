"""The pace of a shoot by the times of its frames, and the days that are left, reckoned by hand."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

import pytest

from animatic.shoot.progress import Pace, measured_pace
from animatic.shoot.takerows import State, rows, state_of, text
from animatic.shoot.takes import look_over
from animatic.timeline import lay_out
from tests.boards import BoardFolder, panels
from tests.takes_made import take

HEAD = """board: 1
picture: {size: 160x90}
shoot_on: 2
pace: {poses_per_hour: 30, lost: 20}
day: {hours: 7, break_every: 1h, break_length: 10m}
"""
# 7 h are six rounds of 60 + 10 minutes: 6 h of work, 21600 s, in a day.
ROWS = """
- {shot: 10, photo: a.jpg, duration: 24f}
- {shot: 20, photo: a.jpg, duration: 100f}
- {shot: 30, photo: a.jpg, duration: 20f, poses_per_hour: 15}
"""


def state(board: BoardFolder, folder: Path) -> State:
    read = board.read(panels(ROWS, HEAD))
    return state_of(read, look_over(lay_out(read), folder))


def sums(gaps: Sequence[int]) -> list[int]:
    return [sum(gaps[:n]) for n in range(len(gaps) + 1)]


def test_the_days_that_are_left_by_hand(board: BoardFolder, tmp_path: Path) -> None:
    # Ten pictures, one a pose, of the 50 of shot 20. Nine times between them; in order: 80 90
    # 100 100 100 110 120 300 5400. Their median is 100; 5400 is over four times that, a pause.
    # Of the other eight the lower middle one is 100 s: 36 poses an hour.
    gaps = [100, 80, 110, 5400, 100, 90, 300, 100, 120]
    take(tmp_path / "takes" / "20_take1", range(1, 11), times=sums(gaps))
    found = state(board, tmp_path / "takes")
    assert found.pace == Pace(Fraction(100), 8, 1)
    assert found.pace.poses_per_hour == 36
    assert [one.poses_left for one in found.shoot.shots] == [12, 40, 10]
    # 62 poses at 100 s, a fifth more for what is lost, in days of 21600 s: 0.344.
    assert found.days_left == Fraction(62 * 100 * 120, 100 * 21600)
    # At the board's pace 52 poses take 120 s and 10 take 240 s, a fifth more: 0.48.
    assert found.days_left_by_board == Fraction((52 * 120 + 10 * 240) * 120, 100 * 21600)
    shown = [(row["status"], row["poses_left"], str(row["days_left"])) for row in rows(found)]
    assert shown == [("to do", 12, "0.07"), ("shooting", 40, "0.22"), ("to do", 10, "0.06")]
    assert "(median of 8 times from pose to pose, 1 pause left out)" in text(found)


def test_one_pose_that_is_left_is_one_pose(board: BoardFolder, tmp_path: Path) -> None:
    for name, frames in (("10", 24), ("20", 98), ("30", 10)):
        take(tmp_path / "takes" / f"{name}_take1", range(1, frames + 1))
    assert "1 shooting, 0 to do; 1 pose left" in text(state(board, tmp_path / "takes"))


def test_the_cameras_clock_comes_before_that_of_the_files(
    board: BoardFolder, tmp_path: Path
) -> None:
    folder = tmp_path / "takes" / "20_take1"
    take(folder, range(1, 9), exif=[30 * n for n in range(8)], times=[90 * n for n in range(8)])
    found = state(board, folder.parent)
    assert found.pace == Pace(Fraction(30), 7, 0)
    # One picture without it, and the files' times are taken for all.
    take(folder, range(8, 9), pictures=[7], times=[90 * 7])
    assert state(board, folder.parent).pace == Pace(Fraction(90), 7, 0)


def test_the_time_of_a_pose_is_that_of_its_first_frame(board: BoardFolder, tmp_path: Path) -> None:
    # Frames on twos, the second of a pose two seconds after the first.
    times = [n // 2 * 50 + n % 2 * 2 for n in range(20)]
    take(tmp_path / "takes" / "20_take1", range(1, 21), times=times)
    found = state(board, tmp_path / "takes")
    assert found.pace == Pace(Fraction(50), 9, 0)
    assert found.shoot.shots[1].poses_left == 40


def test_no_time_is_measured_across_a_hole_or_from_take_to_take(
    board: BoardFolder, tmp_path: Path
) -> None:
    numbers = [1, 2, 3, 4, 6, 7, 8, 9]
    take(tmp_path / "takes" / "20_take1", numbers, times=[60 * n for n in numbers])
    take(tmp_path / "takes" / "20_take2", range(1, 4), times=[9000, 9060, 9120])
    # Three and three times in the first take, two in the second.
    assert state(board, tmp_path / "takes").pace == Pace(Fraction(60), 8, 0)


@pytest.mark.parametrize(
    "times",
    [[0, 60, 120, 180, 240], [n / 100 for n in range(20)], [0] * 20],
    ids=["too few", "copied", "copied at once"],
)
def test_no_pace_where_times_say_nothing(
    times: list[float], board: BoardFolder, tmp_path: Path
) -> None:
    take(tmp_path / "takes" / "20_take1", range(1, len(times) + 1), times=times)
    found = state(board, tmp_path / "takes")
    assert found.pace is None
    assert found.days_left is None
    assert measured_pace(found.shoot) is None
    assert rows(found)[0]["days_left"] is None
