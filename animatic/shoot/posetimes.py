"""How long the poses of a shot take: each goes at the pace of the panel that it is set in.

`poses_per_hour` holds from its panel to the end of the shot, as `shoot_on` does; before it, the
board's pace does. A pose belongs to the panel of its first frame; overlaps and handles belong to
the first and the last panel.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from animatic.board import Board
from animatic.timeline.model import Shot

__all__ = ["NO_POSES", "PoseTimes", "lost_factor", "pose_times", "seconds_of_poses"]


@dataclass(frozen=True, slots=True)
class PoseTimes:
    """Runs of poses that take equally long: (poses, seconds of work for each), in order.

    Poses count from 0, and ranges are half-open.
    """

    runs: tuple[tuple[int, Fraction], ...] = ()

    def seconds(self, first: int, end: int) -> Fraction:
        """Return the seconds that the poses from `first` to `end` take.

        >>> two = PoseTimes(((10, Fraction(60)), (10, Fraction(600))))
        >>> int(two.seconds(8, 11))
        720
        """
        runs = self._from(first)
        return sum(
            (min(end - at, poses) * each for at, poses, each in runs if at < end), Fraction()
        )

    def reached(self, first: int, seconds: Fraction) -> int:
        """Return the pose that is being set after so many seconds, begun at pose `first`.

        >>> two = PoseTimes(((10, Fraction(60)), (10, Fraction(600))))
        >>> two.reached(8, Fraction(719)), two.reached(8, Fraction(720))
        (10, 11)
        """
        end = first
        for _, poses, each in self._from(first):
            done = min(poses, int(seconds // each))
            end, seconds = end + done, seconds - done * each
            if done < poses:
                break
        return end

    def _from(self, first: int) -> Iterator[tuple[int, int, Fraction]]:
        """Yield the runs from a pose on: their first pose, how many, and seconds for each."""
        at = 0
        for poses, each in self.runs:
            if (begin := max(at, first)) < at + poses:
                yield begin, at + poses - begin, each
            at += poses


NO_POSES = PoseTimes()


def pose_times(board: Board, shot: Shot) -> PoseTimes:
    """Return how long the poses of a shot take."""
    each = _seconds_at(board, shot, shot.pose_starts)
    return PoseTimes(tuple((len(list(run)), seconds) for seconds, run in groupby(each)))


def seconds_of_poses(board: Board, shot: Shot, starts: tuple[int, ...]) -> Fraction:
    """Return the seconds that poses of a shot take, by the film frames that they begin at."""
    return sum(_seconds_at(board, shot, starts), Fraction(0))


def lost_factor(board: Board) -> Fraction:
    """Return by how much work takes longer for the time that is lost to everything else."""
    return 1 + board.content.pace.lost / 100


def _seconds_at(board: Board, shot: Shot, starts: tuple[int, ...]) -> Iterator[Fraction]:
    """Yield the seconds that a pose takes, for poses that begin at rising film frames."""
    pace, lost = board.content.pace.poses_per_hour, lost_factor(board)
    panels = iter(shot.panels)
    end, last = shot.first_to_shoot, shot.panels[-1].end
    seconds = Fraction(0)
    for start in starts:
        # What lies behind the shot's end goes on at the last panel's pace.
        while end <= min(start, last - 1):
            panel = next(panels)
            pace = board.content.panels[panel.index].poses_per_hour or pace
            end, seconds = panel.end, 3600 / pace * lost
        yield seconds
