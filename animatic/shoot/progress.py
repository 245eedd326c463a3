"""How far the shoot is and how fast it goes, by the times of the frames themselves.

The measured pace is the median of the times from one pose to the next within takes. What is
longer than four medians is a pause and is left out, and the median of the rest is taken. A
median is not moved by the few poses that took an hour.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from animatic.board import Board
from animatic.frames import round_half_up
from animatic.shoot.estimate import work_in_day
from animatic.shoot.judging import Seen
from animatic.shoot.posetimes import lost_factor, seconds_of_poses
from animatic.shoot.takes import Shoot
from animatic.shoot.ways import LEAST_GAP, median

__all__ = ["Pace", "days_at_board_pace", "days_left", "hundredths", "measured_pace"]

PAUSE = 4
"""A time between poses longer than so many medians is a pause (common practice, no source)."""
FEWEST = 5
"""Times between poses that a pace is measured from at least (common practice, no source)."""
_SECOND = 1_000_000_000


@dataclass(frozen=True, slots=True)
class Pace:
    """Seconds from pose to pose, from how many times, and how many more were pauses."""

    seconds: Fraction
    measured: int
    pauses: int

    @property
    def poses_per_hour(self) -> Fraction:
        """Poses an hour while work goes on."""
        return 3600 / self.seconds


def measured_pace(shoot: Shoot) -> Pace | None:
    """Return the pace of a shoot; None where there are too few times, or files were copied."""
    gaps = [gap for one in shoot.shots for _, seen in one.takes for gap in _gaps(seen)]
    if len(gaps) < FEWEST:
        return None
    usual = median(gaps)
    work = [gap for gap in gaps if gap <= PAUSE * usual]
    middle = median(work)
    if middle < LEAST_GAP:
        return None
    return Pace(Fraction(middle, _SECOND), len(work), len(gaps) - len(work))


def _gaps(seen: Seen) -> Iterator[int]:
    """Yield the times (ns) from each pose to the next, where both are there."""
    way, before = seen.way, None
    last_pose = -1
    for frame, pose in enumerate(way.poses):
        if pose == last_pose:
            continue
        last_pose, picture = pose, way.picture(frame)
        time = None
        if picture in seen.there and picture < len(seen.times):
            time = seen.times[picture]
        if time is not None and before is not None and time > before:
            yield time - before
        before = time


def days_left(board: Board, poses: int, pace: Pace | None) -> Fraction | None:
    """Return the days that poses take at the measured pace, with the board's share lost."""
    if pace is None:
        return None
    return poses * pace.seconds * lost_factor(board) / work_in_day(board.content.day)


def days_at_board_pace(board: Board, shoot: Shoot) -> Fraction:
    """Return the days that the poses left take at the board's pace, each at its panel's."""
    each = (seconds_of_poses(board, one.shot, one.left) for one in shoot.shots)
    return sum(each, Fraction(0)) / work_in_day(board.content.day)


def hundredths(value: Fraction) -> Decimal:
    """Return a number to two places, half up.

    >>> hundredths(Fraction(1, 8))
    Decimal('0.13')
    """
    return Decimal(round_half_up(value * 100)).scaleb(-2)
