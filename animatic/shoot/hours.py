"""When things happen on a day of the shoot: dates, the clock, breaks, working weekdays."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from fractions import Fraction

from animatic.board.keys.days import WEEKDAYS
from animatic.shoot.estimate import Day, Plan, Stint
from animatic.shoot.setups import work_seconds

__all__ = ["WORKDAYS", "Dated", "breaks", "dated", "minutes", "parts", "said"]

WORKDAYS = frozenset(range(5))
"""Monday to Friday, where nothing else is said."""
_MINUTES = 24 * 60


@dataclass(frozen=True, slots=True)
class Dated:
    """A day of the shoot and its date; None where the shoot has no first day yet."""

    day: Day
    date: date | None

    def at(self, work: Fraction, *, is_end: bool = False) -> datetime | None:
        """Return the date and the time after so many seconds of work."""
        if self.date is None:
            return None
        midnight = datetime.combine(self.date, time())
        return midnight + timedelta(minutes=minutes(self.day, work, is_end=is_end))

    @property
    def name(self) -> str:
        """As people write it: Mon 2027-03-01; empty without a date."""
        if self.date is None:
            return ""
        return f"{WEEKDAYS[self.date.weekday()].capitalize()} {self.date.isoformat()}"


def dated(plan: Plan, start: date | None, weekdays: frozenset[int] = WORKDAYS) -> list[Dated]:
    """Return the days with their dates: the first working day from `start` on, and so forth."""
    if start is None:
        return [Dated(day, None) for day in plan.days]
    found, at = [], start
    for day in plan.days:
        while at.weekday() not in weekdays:
            at += timedelta(days=1)
        found.append(Dated(day, at))
        at += timedelta(days=1)
    return found


def minutes(day: Day, work: Fraction, *, is_end: bool = False) -> int:
    """Return the minutes from midnight after so many seconds of work; beyond 24 h it goes on."""
    hours, rest = day.clock(work, is_end=is_end).split(":")
    begin_hours, begin = day.entry.start.split(":")
    least = int(begin_hours) * 60 + int(begin) + work // 60
    found = int(hours) * 60 + int(rest)
    while found < least:
        found += _MINUTES
    return found


def said(at: int) -> str:
    """Return minutes from midnight as a time of day.

    >>> said(605), said(24 * 60 + 30)
    ('10:05', '00:30')
    """
    return f"{at // 60 % 24:02}:{at % 60:02}"


def breaks(day: Day) -> list[tuple[int, int]]:
    """Return the day's breaks, first and end minute from midnight, none after the work is done."""
    every = work_seconds(day.entry.break_every)
    found: list[tuple[int, int]] = []
    if not every:
        return found
    done = every
    while done < day.work:
        found.append((minutes(day, done, is_end=True), minutes(day, done)))
        done += every
    return found


def parts(day: Day, stint: Stint) -> Iterator[tuple[int, int]]:
    """Yield a stint's stretches between the breaks, in minutes from midnight."""
    at = minutes(day, stint.start)
    end = minutes(day, stint.start + stint.length, is_end=True)
    for first, after in breaks(day):
        if at < first < end:
            yield at, first
            at = after
    yield at, max(at, end)
