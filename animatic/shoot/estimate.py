"""How long the shoot takes, and what is shot on which day.

Times are exact seconds of work (Fractions); the clock is worked out from them, with a break
after every stretch of work. Take the result for what it is, an estimate from a pace.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from animatic.board import Board
from animatic.board.keys.schema import DayEntry
from animatic.board.waiting import waiting_problems
from animatic.errors import BoardError
from animatic.frames import round_half_up
from animatic.shoot.order import Ordered, best_order
from animatic.shoot.posetimes import NO_POSES, PoseTimes, pose_times
from animatic.shoot.setups import (
    Rigged,
    change_costs,
    change_seconds,
    rigged_setups,
    waits_for,
    work_seconds,
)
from animatic.shoot.toshoot import Done, ToShoot, to_shoot
from animatic.timeline.model import Shot, Timeline

__all__ = [
    "Day",
    "Plan",
    "Stint",
    "plan_shoot",
    "shooting_seconds",
    "work_in_day",
]

Kind = Literal["rig", "dress", "shoot"]


@dataclass(frozen=True, slots=True)
class Stint:
    """A piece of work: rigging a setup, dressing a shot, or its poses [first, end).

    `start` and `length` are seconds of work, from the start of its day's work.
    """

    kind: Kind
    setup: str
    shot: Shot | None
    start: Fraction
    length: Fraction
    first_pose: int = 0
    end_pose: int = 0
    times: PoseTimes = NO_POSES
    """How long each of the shot's poses takes."""
    left: ToShoot | None = None
    """What is to be shot of the shot in all; None but where poses are set."""

    @property
    def poses(self) -> int:
        """Poses set in it."""
        return self.end_pose - self.first_pose

    def reached(self, seconds: Fraction) -> int:
        """Return how many of the shot's poses are done so many seconds after it begins."""
        return min(self.end_pose, self.times.reached(self.first_pose, seconds))

    @property
    def is_part(self) -> bool:
        """Whether it has only a part of its shot's poses."""
        return self.shot is not None and self.kind == "shoot" and self.poses < self.shot.poses


@dataclass(frozen=True, slots=True)
class Day:
    """One day's work in order; `number` counts from 1."""

    number: int
    stints: tuple[Stint, ...]
    entry: DayEntry

    @property
    def poses(self) -> int:
        """Poses to set on the day."""
        return sum(stint.poses for stint in self.stints)

    @property
    def work(self) -> Fraction:
        """Seconds of work."""
        return self.stints[-1].start + self.stints[-1].length

    def clock(self, work: Fraction, *, is_end: bool = False) -> str:
        """Return the time of day after so many seconds of work: 13:40.

        A break that falls on the moment itself comes after an end, and before a start.
        """
        hours, minutes = self.entry.start.split(":")
        began = int(hours) * 3600 + int(minutes) * 60
        seconds = round_half_up(began + work + _breaks(self.entry, work, is_end))
        return f"{seconds // 3600 % 24:02}:{seconds // 60 % 60:02}"


@dataclass(frozen=True, slots=True)
class Plan:
    """The shoot: setups in order, and days."""

    setups: tuple[Rigged, ...]
    ordered: Ordered
    days: tuple[Day, ...]
    done: Done | None = None
    """What is left out since it is done; None where the plan is of the whole film."""

    @property
    def poses(self) -> int:
        """Poses to set in all."""
        return sum(day.poses for day in self.days)

    @property
    def work(self) -> Fraction:
        """Seconds of work in all, without breaks."""
        return sum((day.work for day in self.days), Fraction(0))


def _breaks(day: DayEntry, work: Fraction, is_end: bool) -> Fraction:
    every, each = work_seconds(day.break_every), work_seconds(day.break_length)
    if not every:
        return Fraction(0)
    taken = work // every
    if is_end and taken and work % every == 0:
        taken -= 1
    return taken * each


def work_in_day(day: DayEntry) -> Fraction:
    """Return the seconds of work in a day: its hours without the breaks.

    >>> float(work_in_day(DayEntry()) / 3600)
    6.0
    """
    whole, every = day.hours * 3600, work_seconds(day.break_every)
    each = work_seconds(day.break_length)
    if not every:
        return Fraction(whole)
    rounds, rest = divmod(whole, every + each)
    return rounds * every + min(rest, every)


def plan_shoot(
    board: Board, timeline: Timeline, left: Mapping[str, tuple[int, ...]] | None = None
) -> Plan:
    """Return the plan that re-rigs least.

    `left` has for each shot the film frames at which the poses begin that are still to be set;
    without it the plan is of all of them. Rigging and dressing are whole where any pose is left.
    BoardError where setups wait in a circle, as they may in a former board.

    >>> from pathlib import Path
    >>> from animatic.board import read_board
    >>> from animatic.timeline import lay_out
    >>> board = read_board(Path("demo_board"))
    >>> plan = plan_shoot(board, lay_out(board))
    >>> [setup.name for setup in plan.setups], len(plan.days)
    (['mud-day', 'quay-day', 'quay-dusk', 'shed'], 10)
    """
    work = [
        to_shoot(shot, left[shot.name] if left is not None else None) for shot in timeline.shots
    ]
    rest = {one.shot.name: one for one in work if one.poses}
    setups = rigged_setups(board, (one.shot for one in rest.values()))
    if problems := list(waiting_problems(board.content, board.tree)):
        raise BoardError(problems)
    before = waits_for(setups)
    costs = change_costs(board, [setup.entry for setup in setups])
    ordered = best_order(costs, before)
    chosen = tuple(setups[i] for i in ordered.order)
    days = tuple(_days(board, chosen, rest))
    return Plan(chosen, ordered, days, _done(work) if left is not None else None)


def _done(work: list[ToShoot]) -> Done:
    return Done(
        shots=sum(not one.poses for one in work),
        begun=sum(bool(one.poses) and not one.is_all for one in work),
        poses=sum(one.shot.poses - one.poses for one in work),
    )


def _days(board: Board, setups: tuple[Rigged, ...], rest: Mapping[str, ToShoot]) -> list[Day]:
    calendar = _Calendar(board.content.day)
    previous = None
    for setup in setups:
        seconds = change_seconds(board, previous, setup.entry)
        previous = setup.entry
        if seconds:
            calendar.add([Stint("rig", setup.name, None, Fraction(0), Fraction(seconds))])
        blocks = [list(_shot_stints(board, setup, rest[shot.name])) for shot in setup.shots]
        while blocks:
            # A shorter shot of the setup may still fill the day that the next one does not fit.
            at = next((i for i, block in enumerate(blocks) if calendar.has_room(block)), 0)
            calendar.add(blocks.pop(at))
    return calendar.finished()


class _Calendar:
    """Days being filled with work, one block after the other."""

    def __init__(self, entry: DayEntry) -> None:
        self.entry, self.room = entry, work_in_day(entry)
        self.days: list[Day] = []
        self.stints: list[Stint] = []
        self.at = Fraction(0)

    def has_room(self, block: list[Stint]) -> bool:
        """Whether a block goes into what is left of the day."""
        return self.at + sum(stint.length for stint in block) <= self.room

    def add(self, block: list[Stint]) -> None:
        """Put a block down: today, or tomorrow if it does not fit, cut if no day holds it."""
        if self.at and not self.has_room(block):
            self._end_day()
        for whole in block:
            for stint in _pieces(whole, self.at, self.room):
                if self.at and stint.start == 0:
                    self._end_day()
                self.stints.append(stint)
                self.at = stint.start + stint.length

    def _end_day(self) -> None:
        self.days.append(Day(len(self.days) + 1, tuple(self.stints), self.entry))
        self.stints, self.at = [], Fraction(0)

    def finished(self) -> list[Day]:
        """Return all days, the last one included."""
        if self.stints:
            self._end_day()
        return self.days


def _shot_stints(board: Board, setup: Rigged, left: ToShoot) -> Iterator[Stint]:
    shot = left.shot
    entries = [board.content.panels[panel.index] for panel in shot.panels]
    dress = sum((work_seconds(entry.dress) for entry in entries), Fraction(0))
    if dress:
        yield Stint("dress", setup.name, shot, Fraction(0), dress)
    times = pose_times(board, shot)
    for first, end in left.runs:
        seconds = times.seconds(first, end)
        yield Stint("shoot", setup.name, shot, Fraction(0), seconds, first, end, times, left)


def shooting_seconds(board: Board, timeline: Timeline) -> Fraction:
    """Return the seconds of work that setting all poses takes, without rigging and dressing."""
    each = (pose_times(board, shot).seconds(0, shot.poses) for shot in timeline.shots)
    return sum(each, Fraction(0))


def _pieces(whole: Stint, at: Fraction, room: Fraction) -> Iterator[Stint]:
    """Yield a stint's pieces, none of them empty; one that starts at 0 begins a day.

    Poses are never cut: where not even one fits into the rest of a day, that rest is left.
    """
    left, start = whole, at
    while start + left.length > room:
        if left.kind == "shoot":
            # One pose that takes longer than a day gets a day of its own.
            middle = max(left.reached(room - start), left.first_pose + int(start == 0))
            if middle == left.end_pose:
                break
            length = left.times.seconds(left.first_pose, middle)
        else:
            middle, length = left.first_pose, room - start
        if length:
            yield replace(left, start=start, length=length, end_pose=middle)
            left = replace(left, length=left.length - length, first_pose=middle)
        start = Fraction(0)
    yield replace(left, start=start)
