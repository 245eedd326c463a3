"""What is still to be shot of a shot, as poses: all of them, or those that its takes lack."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from animatic.timeline.model import Shot

__all__ = ["Done", "ToShoot", "to_shoot"]

Runs = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class ToShoot:
    """A shot and the runs [first, end) of its poses, from 0, that are still to be set."""

    shot: Shot
    runs: Runs

    @property
    def poses(self) -> int:
        """Poses to set."""
        return sum(end - first for first, end in self.runs)

    @property
    def end(self) -> int:
        """The pose after the last."""
        return self.runs[-1][1]

    @property
    def frames(self) -> int:
        """Frames to shoot of these poses."""
        shot = self.shot
        starts = [*shot.pose_starts, shot.first_to_shoot + shot.frames_to_shoot]
        return sum(starts[end] - starts[first] for first, end in self.runs)

    @property
    def is_all(self) -> bool:
        """Whether nothing is shot yet."""
        return self.poses == self.shot.poses


@dataclass(frozen=True, slots=True)
class Done:
    """What a plan leaves out: shots that are shot, how many more are being shot, poses done."""

    shots: int
    begun: int
    poses: int


def to_shoot(shot: Shot, starts: Sequence[int] | None = None) -> ToShoot:
    """Return what is to be shot: all poses, or those within which these film frames lie.

    A take may lie over the shot with poses that begin elsewhere; the pose of the plan counts.
    """
    if starts is None:
        return ToShoot(shot, ((0, shot.poses),))
    begins = shot.pose_starts
    runs: list[tuple[int, int]] = []
    for pose in sorted({bisect_right(begins, start) - 1 for start in starts}):
        if runs and runs[-1][1] == pose:
            runs[-1] = (runs[-1][0], pose + 1)
        else:
            runs.append((pose, pose + 1))
    return ToShoot(shot, tuple(runs))
