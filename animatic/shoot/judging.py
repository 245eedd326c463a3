"""One take held against its shot: which frames are there, what is wrong with it, is it whole."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby, pairwise
from pathlib import Path

from animatic.errors import listed
from animatic.shoot.framefiles import Numbered, ranges
from animatic.shoot.takefacts import PictureFacts
from animatic.shoot.ways import (
    Grouping,
    Way,
    grouping,
    grouping_by_looks,
    pick_way,
    pose_way,
    ways_of,
)
from animatic.timeline.model import Shot, Timeline
from animatic.timeline.take import Source, Take, Taken
from animatic.videofile import VideoFacts
from animatic.words import counted, ones

__all__ = ["Remark", "Seen", "judged_pictures", "judged_video"]

Runs = tuple[tuple[int, int], ...]
"""Runs of pictures (first, last), counted from 0."""
_MOST_NAMED = 5
"""Pictures of a take that are named one by one."""
_OUT_OF_STEP = 3
"""Poses that begin within a picture shown again, from which on it may be the way of the take."""
_CLOSE = 100
"""Shape and size may be off by one part in so many before it is said."""


@dataclass(frozen=True, slots=True)
class Remark:
    """Something about a take that is worth a look, and whether it is left out for it."""

    kind: str
    words: str
    leaves_out: bool = False


@dataclass(frozen=True, slots=True)
class Seen:
    """A take as it lies over its shot; pictures count from 0, holes included."""

    shot: Shot
    path: Path
    way: Way
    slots: int
    """Pictures from the first to the last, holes included."""
    there: frozenset[int]
    """Pictures that are there and can be used."""
    findings: tuple[Remark, ...]
    missing: str
    size: tuple[int, int]
    files: Mapping[int, Path] | None
    """The file of each picture; None for a video."""
    times: tuple[int | None, ...] = ()
    """When each picture was taken (ns); empty for a video."""

    @property
    def is_whole(self) -> bool:
        """Whether all pictures that it takes are there, and nothing is wrong with it."""
        return len(self.there) == self.slots >= self.way.pictures and not self.is_left_out

    @property
    def is_left_out(self) -> bool:
        """Whether something is wrong with it."""
        return any(remark.leaves_out for remark in self.findings)

    @property
    def frames_there(self) -> int:
        """Frames of its way that are there."""
        way = self.way
        return sum(way.picture(frame) in self.there for frame in range(way.frames))

    @property
    def left(self) -> tuple[int, ...]:
        """The film frames at which those poses of its way begin that lack a picture."""
        first = self.shot.start - self.way.head
        return tuple(first + frame for frame in self.way.left(self.there))

    @property
    def note(self) -> str:
        """How it lies over the shot, where that is not a picture for each frame to shoot."""
        extra = self.slots - self.way.pictures
        words = [
            self.way.words,
            "one picture a pose" if self.way.one_a_pose else "",
            f"{extra} more at the end, not used" if extra > 0 else "",
        ]
        return ", ".join(word for word in words if word)

    @property
    def source(self) -> Source:
        """What it is to the edit."""
        way, shot = self.way, self.shot
        late = shot.handles + shot.overlap_head - way.head
        return Source(self.path.name, way.frames, way.pictures, late)

    def take(self) -> Take | None:
        """Return what the film shows of it; None where that is nothing.

        A whole take is shown from the first frame of a dissolve to the last; where it has no
        overlap, its outermost frame is held. One that is not whole is shown as far as it
        goes, the picture before in the place of one that is missing or cannot be used.
        """
        if not self.there:
            return None
        shot, way = self.shot, self.way
        first, end = -shot.overlap_head, shot.frames + shot.overlap_tail
        if not self.is_whole:
            last = max(f for f in range(way.frames) if way.picture(f) < self.slots)
            first, end = max(first, -way.head), min(end, last + 1 - way.head)
        pictures: list[Taken] = []
        for frame in range(first, end):
            picture = way.picture(min(max(0, frame + way.head), way.frames - 1))
            while picture not in self.there and picture >= 0:
                picture -= 1
            if picture >= 0:
                pictures.append(self._taken(picture))
        if not pictures:
            return None
        # Pictures lack only before the first good one.
        return Take(self.path.name, self.size, end - len(pictures), tuple(pictures))

    def _taken(self, picture: int) -> Taken:
        if self.files is None:
            return Taken(self.path, picture)
        return Taken(self.files[picture])


def judged_pictures(
    timeline: Timeline,
    shot: Shot,
    path: Path,
    numbered: Numbered,
    facts: Mapping[Path, PictureFacts | str],
    apart: Callable[[Path, Path], int | None],
) -> Seen:
    """Return a folder's pictures held against a shot; `apart` says how far two of them differ."""
    start = numbered.numbers[0]
    places = [number - start for number in numbered.numbers]
    files = dict(zip(places, numbered.files, strict=True))
    good = {at: one for at, file in files.items() if not isinstance(one := facts[file], str)}
    sizes = Counter((one.width, one.height) for one in good.values())
    size = sizes.most_common(1)[0][0] if sizes else (0, 0)
    odd = [at for at, one in good.items() if (one.width, one.height) != size]
    ways = ways_of(shot)
    # Numbers may be any: only those that some way could hold are looked at one by one.
    most = min(numbered.slots, ways[0].frames)
    times = _times(most, good, dict(zip(places, numbered.changed, strict=True)))
    marks = [good[at].mark if at in good else None for at in range(most)]
    grouped = grouping(ways[0], marks, times)
    if _needs_looks(ways, numbered.slots, grouped):
        pairs = pairwise(files[at] if at in good else None for at in range(most))
        far = [apart(one, other) if one and other else None for one, other in pairs]
        by_looks = grouping_by_looks(ways[0], far)
        grouped = grouped if by_looks == "unknown" else by_looks
    way = pick_way(ways, numbered.slots, grouped)
    missing = ranges(numbered, numbered.missing)
    found = list(_damaged(facts, numbered.files))
    if odd:
        found.append(_odd_size([files[at].name for at in odd], good[odd[0]], size))
    if missing:
        found.append(Remark("missing", f"missing: {missing}"))
    found += _counted_between(ways, way, numbered.slots, grouped)
    found += _doubled(
        way, marks, lambda runs: ranges(numbered, tuple((a + start, b + start) for a, b in runs))
    )
    return Seen(
        shot=shot,
        path=path,
        way=way,
        slots=numbered.slots,
        there=frozenset(set(good) - set(odd)),
        findings=(*found, *_fitting(timeline, shot, size)),
        missing=missing,
        size=size,
        files=files,
        times=tuple(times),
    )


def judged_video(timeline: Timeline, shot: Shot, path: Path, facts: VideoFacts | str) -> Seen:
    """Return a video held against a shot; where it cannot be read, nothing of it is there."""
    ways = ways_of(shot)
    if isinstance(facts, str):
        found = (Remark("damaged", facts, True),)
        return Seen(shot, path, ways[0], 0, frozenset(), found, "", (0, 0), None)
    marks: list[int] = []
    for at in range(min(facts.frames, ways[0].frames)):
        marks.append(marks[-1] if facts.same >> at & 1 else at)
    grouped = grouping(ways[0], marks, [None] * len(marks))
    way = pick_way(ways, facts.frames, grouped)
    size = (facts.width, facts.height)
    findings = list(_fitting(timeline, shot, size))
    if facts.fps != timeline.rate.fps:
        words = f"{_fps(facts.fps)} frames a second, and the film {timeline.rate}"
        findings.append(Remark("rate", f"{words}; shown frame for frame"))
    findings += _counted_between(ways, way, facts.frames, grouped)
    findings += _doubled(way, marks, lambda runs: ", ".join(f"{a + 1}-{b + 1}" for a, b in runs))
    there = frozenset(range(facts.frames))
    return Seen(shot, path, way, facts.frames, there, tuple(findings), "", size, None)


def _damaged(facts: Mapping[Path, PictureFacts | str], files: Sequence[Path]) -> Iterator[Remark]:
    """Yield what is damaged, the first few by name."""
    faults = [(file.name, fault) for file in files if isinstance(fault := facts[file], str)]
    for name, fault in faults[:_MOST_NAMED]:
        yield Remark("damaged", f"{name}: {fault}", True)
    if (more := len(faults) - _MOST_NAMED) > 0:
        yield Remark("damaged", f"{more} more of its pictures are damaged", True)


def _odd_size(names: Sequence[str], one: PictureFacts, size: tuple[int, int]) -> Remark:
    named = listed(names, _MOST_NAMED)
    words = f"{named}: {one.width}x{one.height}, and the others {size[0]}x{size[1]}"
    return Remark("size", words, True)


def _fps(fps: Fraction) -> str:
    return f"{float(fps):.3f}".rstrip("0").rstrip(".")


def _times(
    count: int, good: Mapping[int, PictureFacts], changed: Mapping[int, int]
) -> list[int | None]:
    """Return when pictures were taken: by the camera if all say so, else by the files."""
    by_camera = all(one.taken is not None for one in good.values())
    return [
        None if at not in good else good[at].taken if by_camera else changed[at]
        for at in range(count)
    ]


def _needs_looks(ways: Sequence[Way], slots: int, grouped: Grouping) -> bool:
    """Whether neither sameness nor times say surely how many pictures of a take make a pose.

    Two exposures may be seconds apart where poses go fast: what would then be taken for a whole
    take of poses is looked at, too.
    """
    by_pose = pose_way(ways)
    if by_pose is None or slots >= ways[0].frames:
        return False
    return grouped == "unknown" or (grouped == "single" and slots > by_pose.pictures)


def _counted_between(
    ways: Sequence[Way], way: Way, slots: int, grouped: Grouping
) -> Iterator[Remark]:
    """Yield what a take was taken for whose number says nothing: over the poses, under the frames.

    A take that comes in runs of one pose, and grows, is nothing to look at.
    """
    by_pose = pose_way(ways)
    if by_pose is None or not by_pose.pictures < slots < ways[0].frames:
        return
    if grouped == "runs" or way.pictures == slots:
        return
    more = slots - by_pose.pictures
    words = (
        f"{slots} pictures are more than its {counted(by_pose.pictures, 'pose')} and fewer than"
        f" its {ways[0].frames} frames; taken for"
    )
    if way is by_pose:
        yield Remark("count", f"{words} one picture a pose, as none comes in a run of its pose")
    else:
        last = "last one" if more == 1 else f"last {more}"
        yield Remark(
            "count",
            f"{words} a picture a frame, as nothing tells; if each is a pose of its own, move the"
            f" {last} elsewhere",
        )


def _doubled(
    way: Way, marks: Sequence[int | None], named: Callable[[Runs], str]
) -> Iterator[Remark]:
    """Yield what is said of pictures that are there again: for longer than a pose is exposed, or
    from one pose to the next, where no camera gives the same twice.
    """
    long, across, at = [], [], 0
    for mark, run in groupby(marks[: way.frames]):
        length = len(list(run))
        most = 1 if way.one_a_pose else way.shoot_on[at]
        last = at + length - 1
        if mark is not None and length > most:
            long.append((at, last))
        elif mark is not None and way.poses[at] != way.poses[last] and not way.one_a_pose:
            across.append((at, last))
        at += length
    if long:
        on = "" if way.one_a_pose else f", though it is shot on {_on(way)}"
        yield Remark("doubled", f"the same picture again: {named(tuple(long))}{on}")
    changes = sum(a != b for a, b in pairwise(way.poses[: len(marks)]))
    # Where most poses change so, the take was doubled out of step with the sheet, and not once.
    if across and (len(across) < _OUT_OF_STEP or 2 * len(across) < changes):
        words = f"the same picture again: {named(tuple(across))}, though another pose begins there"
        yield Remark("doubled", words)


def _on(way: Way) -> str:
    return " and ".join(ones(on) for on in sorted(set(way.shoot_on)))


def _fitting(timeline: Timeline, shot: Shot, size: tuple[int, int]) -> Iterator[Remark]:
    """Yield findings where a take has another shape than the film's picture, or is too small."""
    (width, height), (wide, high) = size, timeline.size
    if not width or not height:
        return
    if abs(width * high - wide * height) * _CLOSE > wide * height:
        words = f"{width}x{height} is not of the shape of the film's {wide}x{high}"
        yield Remark("shape", words)
    across, down = Fraction(wide, width), Fraction(high, height)
    # It is shown by the fit of its panels: filling the picture, or whole within it.
    larger = max(
        min(across, down) if p.fit == "contain" else max(across, down) for p in shot.panels
    )
    if (larger - 1) * _CLOSE > 1:
        words = f"{width}x{height} is too small for the film's {wide}x{high}: it is shown enlarged"
        yield Remark("small", words)
