"""Moving cuts to the beats of the music.

All cuts are moved together: as many as can be lie on a beat, or on the pose of the shot before
them that is nearest to one. Of all ways to do that the one is taken in which the fewest shots
end within a pose, then the one that misses the beats least, then the one that moves the cuts
least, both in sum. A dynamic programme over the cuts finds it; going from cut to cut would
not, since moving one cut takes room from the next.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import count, pairwise, takewhile

from animatic.board import Board
from animatic.board.beatfile import read_beats
from animatic.board.keys.durations import Duration
from animatic.board.keys.schema import MusicEntry
from animatic.frames import decimal, frames_from_seconds, seconds_from_frames
from animatic.timeline.cues import crossfade, looped_length
from animatic.timeline.fit import CannotFit, lengths_to_write, share_out
from animatic.timeline.least import Part, parts
from animatic.timeline.model import Shot, Timeline

__all__ = ["Landing", "Room", "beat_frames", "best_cuts", "fit_beats", "landings", "off_beat"]

TOLERANCE = 5
"""How many frames a cut may move, where nothing else is asked for."""


@dataclass(frozen=True, slots=True)
class Room:
    """What a shot allows: its frames now, and the least it may have; None where it stays."""

    frames: int
    least: int | None
    step: int = 1
    """Frames of a pose where its length changes."""
    whole: int = 0
    """A length, plus or minus whole poses, with which its poses are whole."""
    near: int = 0
    """Frames off a beat at which the cut behind it still counts as on it: half a pose."""


@dataclass(frozen=True, slots=True)
class Landing:
    """Where a cut lies: the shot that it begins, and the frames it comes after the nearest beat."""

    shot: Shot
    off: int
    """Below 0 where it comes before it."""
    is_on: bool
    """Whether it lies on a beat, or so near that the pose before it leaves no nearer place."""


def beat_frames(board: Board, timeline: Timeline) -> list[int]:
    """Return the film frames nearest to the beats of the music, rising.

    Each is rounded from its own exact position in the film, so that no error adds up.
    """
    found: set[int] = set()
    for _, music in board.content.played:
        start, end = _span(music, timeline)
        skip = music.skip.in_seconds(timeline.rate) if music.skip is not None else Fraction(0)
        origin = seconds_from_frames(start, timeline.rate) - skip
        length = board.media.sounds[board.path(music.file)].seconds
        beats = _beats(board, music, timeline, length)
        lasts = seconds_from_frames(end - start, timeline.rate)
        for shift, first, last in _repeats(board, music, timeline, skip, lasts):
            for beat in beats:
                frame = frames_from_seconds(origin + shift + beat, timeline.rate)
                if start <= frame < end and first <= beat < last:
                    found.add(frame)
    return sorted(found)


def _repeats(
    board: Board, music: MusicEntry, timeline: Timeline, skip: Fraction, lasts: Fraction
) -> Iterator[tuple[Fraction, Fraction, Fraction]]:
    """Yield how much later each repeat of a piece plays, and from where to where it leads.

    All in seconds, the last two in the file. Where two repeats cross, each leads for a half.
    """
    length = board.media.sounds[board.path(music.file)].seconds
    if not music.loop:
        yield Fraction(0), Fraction(0), length
        return
    across = crossfade(music, timeline.rate)
    step = looped_length(board, timeline.rate, music) - across
    shift = Fraction(0)
    while shift < lasts:
        yield shift, skip + across / 2 if shift else Fraction(0), length - across / 2
        shift += step


def _span(music: MusicEntry, timeline: Timeline) -> tuple[int, int]:
    """Return the film frames [start, end) over which a piece may play."""
    by_name = {shot.name: shot for shot in timeline.shots}
    start = by_name[music.from_].start if music.from_ is not None else 0
    end = by_name[music.until].end if music.until is not None else timeline.frames
    return start, end


def _beats(board: Board, music: MusicEntry, timeline: Timeline, length: Fraction) -> list[Fraction]:
    """Return the beats of a piece in seconds from the start of its file."""
    return list(takewhile(lambda beat: beat < length, _all_beats(board, music, timeline)))


def _all_beats(board: Board, music: MusicEntry, timeline: Timeline) -> Iterator[Fraction]:
    """Yield the beats of a piece as they are written, rising, also behind its file's end."""
    if music.beats is not None:
        yield from read_beats(board.path(music.beats))
    elif music.bpm is not None:
        first = music.first_beat.in_seconds(timeline.rate) if music.first_beat else Fraction(0)
        for number in count():
            yield first + number * 60 / music.bpm


_Cost = tuple[int, int, int, int]
"""Cuts off the beat, shots that end within a pose, frames off the beats, frames moved."""


def best_cuts(
    rooms: Sequence[Room], beats: Sequence[int], tolerance: int, held: frozenset[int] = frozenset()
) -> list[int]:
    """Return where the cuts between shots go, film start and end included.

    Cut i lies before shot i; the film's ends and the cuts in `held` stay. No cut moves more
    than `tolerance` frames, no shot gets shorter than its least, and a shot without room keeps
    its length. The count of cuts that lie further off a beat than is near is least, then
    that of shots that end within a pose, then the sum of frames off the beats, then of moves.

    >>> best_cuts([Room(10, 2), Room(9, 2)], [0, 12, 24], 3)
    [0, 12, 19]
    >>> best_cuts([Room(10, 2, step=2, near=1), Room(10, 2, step=2)], [0, 13], 4)
    [0, 12, 20]
    """
    cuts = [0]
    for room in rooms:
        cuts.append(cuts[-1] + room.frames)
    # costs[move] = the cost of the cheapest way to have this cut there.
    costs: dict[int, _Cost] = {0: (0, 0, 0, 0)}
    origins: list[dict[int, int]] = []
    for index, room in enumerate(rooms, 1):
        stays = index == len(rooms) or index in held
        after: dict[int, _Cost] = {}
        origin: dict[int, int] = {}
        moves = (0,) if stays else range(-tolerance, tolerance + 1)
        for move, ((off, broken, missed, moved), before) in _cheapest(room, costs, moves):
            is_cut = index < len(rooms)
            miss = abs(off_beat(cuts[index] + move, beats)) if is_cut and beats else 0
            is_off = is_cut and (not beats or miss > room.near)
            missed += 0 if is_off else miss
            after[move] = off + is_off, broken, missed, moved + abs(move)
            origin[move] = before
        costs = after
        origins.append(origin)
    back = [0]
    for origin in reversed(origins):
        back.append(origin[back[-1]])
    return [cut + move for cut, move in zip(cuts, reversed(back), strict=True)]


def off_beat(frame: int, beats: Sequence[int]) -> int:
    """Return by how many frames a cut comes after the nearest beat, or before it (below 0).

    Of two that are as near it is the earlier; `beats` rise.

    >>> off_beat(13, [0, 12, 24]), off_beat(23, [0, 12, 24])
    (1, -1)
    """
    at = bisect_left(beats, frame)
    return min((frame - beat for beat in beats[max(0, at - 1) : at + 1]), key=abs)


def landings(board: Board, timeline: Timeline) -> list[Landing]:
    """Return how every cut of the film lies to the beats of its music; none without beats."""
    beats = beat_frames(board, timeline)
    found = []
    for before, shot in pairwise(timeline.shots) if beats else ():
        off = off_beat(shot.start, beats)
        found.append(Landing(shot, off, abs(off) <= _near(before)))
    return found


def _near(shot: Shot) -> int:
    """Return how many frames off a beat whole poses may leave the cut behind a shot."""
    return max(panel.shoot_on for panel in shot.panels) // 2


def _cheapest(
    room: Room, costs: Mapping[int, _Cost], moves: Iterable[int]
) -> Iterator[tuple[int, tuple[_Cost, int]]]:
    """Yield each move that the end of a shot can make, with (cost, move) of its start.

    `costs` and `moves` rise: what a start may move for one end it may for every later one, so
    that one pass over both is enough. Starts count apart by where they lie within a pose.
    """
    if room.least is None:
        yield from ((move, (costs[move], move)) for move in moves if move in costs)
        return
    starts = list(costs.items())
    best: dict[int, tuple[_Cost, int]] = {}
    at = 0
    for move in moves:
        while at < len(starts) and room.frames + move - starts[at][0] >= room.least:
            before, cost = starts[at]
            within = before % room.step
            best[within] = min(best.get(within, (cost, before)), (cost, before))
            at += 1
        if best:
            wanted = (room.frames + move - room.whole) % room.step
            yield move, min(_with_pose(*one, within == wanted) for within, one in best.items())


def _with_pose(cost: _Cost, before: int, is_whole: bool) -> tuple[_Cost, int]:
    off, broken, missed, moved = cost
    return (off, broken + (not is_whole), missed, moved), before


def fit_beats(
    board: Board, timeline: Timeline, tolerance: int = TOLERANCE, everything: bool = False
) -> dict[int, Duration | None]:
    """Return the lengths to write, by panel, so that cuts lie on beats.

    The film's length stays. CannotFit where no beat lies in the film. As `fit_length` has it.
    """
    beats = beat_frames(board, timeline)
    if not beats:
        raise CannotFit(_why_none(board, timeline))
    allowed = parts(board, timeline, everything, as_now=True)
    rooms, groups = [], []
    for shot in timeline.shots:
        group = [allowed[panel.index] for panel in shot.panels]
        groups.append(group)
        can_move = any(part.moves for part in group)
        least = sum(part.least for part in group)
        step, whole = _poses(shot, group)
        rooms.append(Room(shot.frames, least if can_move else None, step, whole, _near(shot)))
    cuts = best_cuts(rooms, beats, tolerance, _held_cuts(board, timeline))
    wanted = [part.own for part in allowed]
    for group, (start, end) in zip(groups, pairwise(cuts), strict=True):
        share_out(group, end - start, wanted)
    return lengths_to_write(board, timeline.rate, wanted)


def _poses(shot: Shot, group: Sequence[Part]) -> tuple[int, int]:
    """Return the frames of a pose where a shot's length changes, and a length of whole poses.

    What changes lies in the stretch of one `shoot_on` in which the last panel moves, and the
    others stay as they are.
    """
    last = max((at for at, part in enumerate(group) if part.moves), default=len(group) - 1)
    step = group[last].step
    stretch = [last]
    for way in (-1, 1):
        at = last + way
        while 0 <= at < len(group) and group[at].step == step:
            stretch.append(at)
            at += way
    return step, shot.frames - sum(shot.panels[at].frames for at in stretch)


def _why_none(board: Board, timeline: Timeline) -> str:
    """Return why no beat lies in the film, by every piece of music that has some."""
    lines = ["no beat of the music lies in the film"]
    for index, music in board.content.played:
        if music.bpm is None and music.beats is None:
            continue
        place = board.place(("music", index, "beats" if music.beats is not None else "bpm"))
        first = next(_all_beats(board, music, timeline))
        length = board.media.sounds[board.path(music.file)].seconds
        if first >= length:
            found = (
                f"its first beat lies at {decimal(first, 2)} s, and {music.file} has only"
                f" {decimal(length, 2)} s"
            )
        else:
            start, end = _span(music, timeline)
            skip = music.skip.in_seconds(timeline.rate) if music.skip is not None else Fraction(0)
            until = min(length, skip + seconds_from_frames(end - start, timeline.rate))
            found = (
                f"none of its beats lies between {decimal(skip, 2)} s and {decimal(until, 2)} s of"
                f" {music.file}, which is what the film plays"
            )
        lines.append(f"{place}: music[{index + 1}]: {found}")
    if len(lines) > 1:
        return "\n".join([*lines, "beats are timed from the start of the sound file"])
    words = "no music in the film has beats; write bpm (and first_beat), or beats: FILE, under it"
    if any(music.parked and (music.bpm or music.beats) for music in board.content.music):
        words += ", or bring back a piece that is parked"
    return words


def _held_cuts(board: Board, timeline: Timeline) -> frozenset[int]:
    """Return the cuts where music with beats begins: moving one would move its beats."""
    names = {m.from_ for _, m in board.content.played if m.from_ and (m.bpm or m.beats)}
    return frozenset(shot.index for shot in timeline.shots if shot.name in names)
