"""The days of the shoot as an iCalendar file (RFC 5545): one event a day.

Times are local ones without a zone ("floating", 3.3.5 form 1): nine o'clock is nine o'clock
wherever the set stands. Nothing depends on the moment of writing, so that a calendar takes
a later file for a change of the same events.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta
from fractions import Fraction
from hashlib import sha256

from animatic.errors import UsageError
from animatic.sheets.rows import one_line
from animatic.shoot.estimate import Plan
from animatic.shoot.hours import Dated, breaks, minutes, said
from animatic.shoot.planrows import CAUTION, poses, work

__all__ = ["NEEDS_START", "escaped", "folded", "write"]

NEEDS_START = (
    "{} needs the first day of the shoot: --start 2027-03-01, or day: {{first_day: 2027-03-01}} in"
    " the board"
)
_OCTETS = 75
"""Octets of a line without its break (RFC 5545, 3.1)."""

_LEAST = timedelta(minutes=1)
"""What an event lasts at least: its end is later than its start (RFC 5545, 3.8.2.2)."""


def write(plan: Plan, days: Sequence[Dated], title: str) -> str:
    r"""Return the file; lines end in ``\r\n``. UsageError where the days have no dates."""
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//animatic//shoot//EN",
        "CALSCALE:GREGORIAN",
    ]
    for each in days:
        lines += _event(plan, each, title)
    lines.append("END:VCALENDAR")
    return "".join(f"{folded(line)}\r\n" for line in lines)


def _event(plan: Plan, dated: Dated, title: str) -> Iterator[str]:
    day, when = dated.day, dated.date
    start, end = dated.at(Fraction(0)), dated.at(day.work, is_end=True)
    if when is None or start is None or end is None:
        raise UsageError(NEEDS_START.format("a calendar"))
    end = max(end, start + _LEAST)
    setups = list(dict.fromkeys(stint.setup for stint in day.stints if stint.setup))
    entries = {setup.name: setup.entry for setup in plan.setups}
    places = list(dict.fromkeys(entries[name].place or "" for name in setups))
    what = f"{one_line(title)}: day {day.number} of {len(plan.days)}"
    yield "BEGIN:VEVENT"
    yield f"UID:{_uid(title, day.number)}"
    yield f"DTSTAMP:{_stamp(when)}"
    yield f"DTSTART:{_local(start)}"
    yield f"DTEND:{_local(end)}"
    yield f"SUMMARY:{escaped(', '.join([what, *setups]))}"
    if any(places):
        yield f"LOCATION:{escaped(', '.join(filter(None, places)))}"
    yield f"DESCRIPTION:{escaped(chr(10).join(_description(dated)))}"
    yield "END:VEVENT"


def _description(dated: Dated) -> Iterator[str]:
    day = dated.day
    for stint in day.stints:
        first = said(minutes(day, stint.start))
        end = said(minutes(day, stint.start + stint.length, is_end=True))
        count = poses(stint)
        words = f"{one_line(work(stint))}{', poses: ' + count if count else ''}"
        yield f"{first} to {end} {words}"
    if pauses := breaks(day):
        yield "breaks: " + ", ".join(f"{said(a)} to {said(b)}" for a, b in pauses)
    yield CAUTION


def _uid(title: str, number: int) -> str:
    """Return a name that no other event has, and that this one keeps (RFC 7986, 5.3)."""
    digest = sha256(title.encode("utf-8", "backslashreplace")).hexdigest()[:24]
    return f"{digest}-day-{number}"


def _stamp(day: date) -> str:
    return f"{day:%Y%m%d}T000000Z"


def _local(when: datetime) -> str:
    return f"{when:%Y%m%dT%H%M%S}"


def escaped(words: str) -> str:
    r"""Return words as a TEXT value (RFC 5545, 3.3.11).

    >>> print(escaped("Quay; mud, salt\nand \\ rope"))
    Quay\; mud\, salt\nand \\ rope
    """
    for mark in ("\\", ";", ","):
        words = words.replace(mark, f"\\{mark}")
    return words.replace("\n", "\\n")


def folded(line: str) -> str:
    r"""Return a line folded so that no part has more than 75 octets, and no letter is parted.

    >>> [len(part.encode()) for part in folded("Ж" * 80).split("\r\n")]
    [74, 75, 13]
    """
    parts, octets = [""], 0
    for char in line:
        size = len(char.encode("utf-8", "replace"))
        if octets + size > _OCTETS:
            parts.append(" ")
            octets = 1
        parts[-1] += char
        octets += size
    return "\r\n".join(parts)
