"""How the pictures of a take lie over the frames to shoot: how many each, and from where on.

A take holds all frames to shoot as the exposure sheet numbers them (handle, overlap, shot,
overlap, handle), or leaves the handles out, or goes from cut to cut; and it holds a picture a
frame, or a picture a pose. Which it is follows from the number of its pictures; where that
says two things, or nothing, from whether pictures come in runs of one pose.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from animatic.timeline.model import Shot

__all__ = [
    "Grouping",
    "Way",
    "grouping",
    "grouping_by_looks",
    "median",
    "pick_way",
    "pose_numbers",
    "pose_way",
    "ways_of",
]

Grouping = Literal["runs", "single", "unknown"]
"""Pictures of one pose come in runs, or each is a pose, or nothing tells."""
_SECOND = 1_000_000_000
CLOSER = 4
"""Pictures of one pose are taken so many times closer together than poses are."""
FEWEST_COMPARED = 8
"""Neighbours that are compared by their looks at least (common practice, no source)."""
LEAST_GAP = 2 * _SECOND
"""Pictures closer than this on average (ns) were copied, not shot; their times say nothing."""


@dataclass(frozen=True, slots=True)
class Way:
    """A way to lie over frames: `head` of them are before the cut at the shot's start."""

    words: str
    """What is left out of the frames to shoot; empty where nothing is."""
    head: int
    poses: tuple[int, ...]
    """The pose of each frame, from 0."""
    shoot_on: tuple[int, ...]
    """What each frame is shot on."""
    one_a_pose: bool

    @property
    def frames(self) -> int:
        """Frames it covers."""
        return len(self.poses)

    @property
    def pictures(self) -> int:
        """Pictures that it takes."""
        return self.poses[-1] + 1 if self.one_a_pose else self.frames

    def picture(self, frame: int) -> int:
        """Return which picture, from 0, a frame shows; frames count from the way's first."""
        return self.poses[frame] if self.one_a_pose else frame

    def left(self, there: frozenset[int]) -> tuple[int, ...]:
        """Return the first frame of each pose that lacks a picture, `there` being those it has."""
        lacking = {p for f, p in enumerate(self.poses) if self.picture(f) not in there}
        return tuple(bisect_left(self.poses, pose) for pose in sorted(lacking))


def pose_numbers(shot: Shot) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Return pose (from 0) and `shoot_on` of each frame to shoot of a shot."""
    poses: list[int] = []
    shoot_on: list[int] = []
    for frames, on in shot.exposures:
        first = poses[-1] + 1 if poses else 0
        poses += [first + frame // on for frame in range(frames)]
        shoot_on += [on] * frames
    return tuple(poses), tuple(shoot_on)


def ways_of(shot: Shot) -> tuple[Way, ...]:
    """Return the ways in which a take of a shot may be whole; all frames to shoot come first."""
    bare = replace(shot, handles=0)
    found: list[Way] = []
    for words, plan in (
        ("", shot),
        ("without handles", bare),
        ("from cut to cut", replace(bare, overlap_head=0, overlap_tail=0)),
    ):
        poses, on = pose_numbers(plan)
        if any(len(poses) == way.frames for way in found):
            continue
        head = plan.handles + plan.overlap_head
        found.append(Way(words, head, poses, on, False))
        if poses[-1] + 1 < len(poses):
            found.append(Way(words, head, poses, on, True))
    return tuple(found)


def pose_way(ways: Sequence[Way]) -> Way | None:
    """Return the way of all frames to shoot by a picture a pose; None where all is on ones."""
    return next((way for way in ways if way.one_a_pose and not way.words), None)


def pick_way(ways: Sequence[Way], slots: int, grouped: Grouping) -> Way:
    """Return the way that a take of so many pictures, holes counted, lies over its shot.

    A number that fits no way is a take that is not finished, or has pictures too many: so has
    one with a picture a pose whose shot was made shorter.
    """
    all_frames, exact = ways[0], [way for way in ways if way.pictures == slots]
    by_pose = pose_way(ways)
    if all_frames in exact:
        return all_frames
    if grouped == "runs":
        exact = [way for way in exact if not way.one_a_pose]
    elif grouped == "single" and by_pose:
        exact = [way for way in exact if way.one_a_pose]
    else:
        # A growing take comes by so many numbers: two guesses at once are one too many.
        exact = [way for way in exact if not (way.one_a_pose and way.words)]
    if exact:
        return exact[0]
    if grouped == "single" and by_pose and slots < all_frames.frames:
        return by_pose
    return all_frames


def grouping(way: Way, marks: Sequence[int | None], times: Sequence[int | None]) -> Grouping:
    """Return whether a take's pictures come in runs of one pose, as `way` has them.

    `marks` are alike for alike pictures, `times` in nanoseconds; None for what is missing.
    """
    inside: list[int] = []
    between: list[int] = []
    alike = pairs = 0
    for at in range(min(len(marks), way.frames) - 1):
        is_one = way.poses[at] == way.poses[at + 1]
        if marks[at] is not None and marks[at + 1] is not None:
            pairs += is_one
            alike += is_one and marks[at] == marks[at + 1]
        earlier, later = times[at], times[at + 1]
        if earlier is not None and later is not None:
            (inside if is_one else between).append(later - earlier)
    if pairs and 2 * alike >= pairs:
        return "runs"
    if not inside or not between:
        return "unknown"
    if median(between) >= LEAST_GAP and median(inside) * CLOSER < median(between):
        return "runs"
    return "single" if median(inside + between) >= LEAST_GAP else "unknown"


def grouping_by_looks(way: Way, apart: Sequence[int | None]) -> Grouping:
    """Return whether pictures come in runs of one pose, by how much each differs from the next.

    Two exposures of a pose are nearly alike, and two poses are not. Where each picture is a
    pose, those that `way` puts into one differ from each other as often more as less than from
    their neighbours.
    """
    is_one = [a == b for a, b in pairwise(way.poses)][: len(apart)]
    known = sorted(far for far in apart if far is not None)
    # What moved: beside it, how two pictures of a held pose differ is chance.
    least = known[3 * len(known) // 4] / 2 if known else 0
    inside: list[int] = []
    between: list[int] = []
    nearer = 0
    for (one, far), (other, further) in pairwise(zip(is_one, apart, strict=False)):
        if one == other or far is None or further is None or max(far, further) <= least:
            continue
        inside.append(far if one else further)
        between.append(further if one else far)
        nearer += inside[-1] < between[-1]
    compared = len(inside)
    if compared < FEWEST_COMPARED:
        return "unknown"
    small, large = sorted((median(inside), median(between)))
    # A take may be out of step with the poses of the sheet; it comes in runs all the same.
    if 10 * max(nearer, compared - nearer) >= 9 * compared and CLOSER * small < large:
        return "runs"
    is_even = compared <= 3 * nearer <= 2 * compared and large <= 2 * small
    return "single" if is_even else "unknown"


def median(values: Sequence[int]) -> int:
    """Return the middle value; of an even number, the lower of the two in the middle.

    >>> median([5, 1, 9]), median([5, 1, 9, 7])
    (5, 5)
    """
    return sorted(values)[(len(values) - 1) // 2]
