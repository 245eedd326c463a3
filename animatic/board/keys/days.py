"""Dates and weekdays as people write them, in the board and on the command line.

What cannot be meant raises ValueError with three texts: what was found, what is allowed, a hint.
"""

from __future__ import annotations

import re
from calendar import monthrange
from datetime import date

__all__ = ["ALLOWED_DATE", "ALLOWED_DAYS", "WEEKDAYS", "parse_date", "parse_weekdays"]

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
ALLOWED_DATE = "a date as 2027-03-01: year, month, day"
ALLOWED_DAYS = f"{' '.join(WEEKDAYS)}, as mon-fri or mon,wed,sat"
_DATE = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})", re.ASCII)
_YEARS = (1900, 2999)
_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July", "August"),
    *("September", "October", "November", "December"),
)


def parse_date(text: str) -> date:
    """Return the date; ValueError says how many days the month has.

    >>> parse_date("2028-02-29")
    datetime.date(2028, 2, 29)
    >>> parse_date("2027-02-30")
    Traceback (most recent call last):
    ...
    ValueError: ('2027-02-30', '', 'February 2027 has 28 days')
    """
    match = _DATE.fullmatch(text.strip())
    if match is None:
        raise ValueError(text or "an empty text", ALLOWED_DATE, "")
    year, month, day = (int(part) for part in match.groups())
    if not _YEARS[0] <= year <= _YEARS[1]:
        raise ValueError(text, f"a year from {_YEARS[0]} to {_YEARS[1]}", "")
    if not 1 <= month <= 12:
        raise ValueError(text, "", "a year has 12 months; the month stands in the middle")
    if not 1 <= day <= (count := monthrange(year, month)[1]):
        raise ValueError(text, "", f"{_MONTHS[month - 1]} {year} has {count} days")
    return date(year, month, day)


def parse_weekdays(text: str) -> frozenset[int]:
    """Return the weekdays that words name, Monday 0; ValueError where they name none.

    >>> sorted(parse_weekdays("mon-fri")), sorted(parse_weekdays("sat-mon,wed"))
    ([0, 1, 2, 3, 4], [0, 2, 5, 6])
    """
    found: set[int] = set()
    for part in text.lower().replace(" ", "").split(","):
        first, _, last = part.partition("-")
        if first not in WEEKDAYS or (last or first) not in WEEKDAYS or part.endswith("-"):
            raise ValueError(text or "an empty text", ALLOWED_DAYS, "")
        at, end = WEEKDAYS.index(first), WEEKDAYS.index(last or first)
        while at != end:
            found.add(at)
            at = (at + 1) % 7
        found.add(end)
    return frozenset(found)
