"""Lengths of work on set, which people think of in hours and minutes: 1h30m, 45m, 2h.

Frames, feet and timecode measure the film. They say nothing about work, and are refused.
"""

from __future__ import annotations

import re
from fractions import Fraction

from animatic.board.keys import durations
from animatic.board.keys.durations import LONGEST, Duration, parse_duration

__all__ = ["ALLOWED", "PATTERN", "parse_work_time"]

ALLOWED = "hours and minutes, as 1h30m, 45m or 2h"
PATTERN = r"^([0-9]+ *h *)?([0-9]+ *m *)?([0-9]+(\.[0-9]+)? *s)?$"
"""What a checker of JSON Schema lets through."""
_CLOCK = re.compile(r"(\d{1,2}):([0-5]\d)(?::([0-5]\d))?(?:[:;]\d\d)?", re.ASCII)
_NOT_FRAMES = "work is not counted in the film's frames"


def parse_work_time(text: str) -> Duration:
    """Return a length of work; its `seconds` are never None.

    ValueError(found, allowed, hint) where it is none.

    >>> parse_work_time("1h30m").seconds
    Fraction(5400, 1)
    >>> parse_work_time("00:30:00:00")
    Traceback (most recent call last):
    ValueError: ('00:30:00:00', 'hours and minutes, as 1h30m, 45m or 2h', 'write 30m')
    """
    text = text.strip()
    try:
        length = parse_duration(text)
    except ValueError as fault:
        found, allowed, hint = fault.args
        if allowed != durations.ALLOWED:
            raise
        if found.startswith("the bare number"):
            raise ValueError(text, ALLOWED, _meant(text)) from None
        raise ValueError(found, ALLOWED, _meant(text) or _kept(hint)) from None
    if length.is_count:
        raise ValueError(text, ALLOWED, _meant(text) or _NOT_FRAMES)
    return length


def _meant(text: str) -> str:
    """Return what to write for a number, or for a clock or timecode."""
    if re.fullmatch(r"\d{1,4}", text, re.ASCII):
        offers = [(f"{text}m for minutes", 60), (f"{text}h for hours", 3600)]
        return _offer([words for words, unit in offers if int(text) * unit <= LONGEST])
    if re.fullmatch(r"\d{1,3}[.,]\d{1,2}", text, re.ASCII):
        words = _written(Fraction(text.replace(",", ".")) * 3600)
        return f"write {words} for hours" if words else ""
    if match := re.fullmatch(r"(\d{1,2}) *h *([0-5]?\d)", text, re.ASCII):
        words = _written(Fraction(int(match[1]) * 3600 + int(match[2]) * 60))
        return f"write {words}" if words else ""
    if match := _CLOCK.fullmatch(text):
        hours, minutes, rest = (int(part or 0) for part in match.groups())
        words = _written(Fraction(hours * 3600 + minutes * 60 + rest))
        last = " for hours and minutes" if match[3] is None else ""
        return f"write {words}{last}" if words else ""
    return ""


def _offer(ways: list[str]) -> str:
    return f"write {' or '.join(ways)}" if ways else ""


def _written(seconds: Fraction) -> str:
    """Return a length of work as a board writes it; empty where it would be refused."""
    if seconds.denominator != 1 or seconds > LONGEST:
        return ""
    whole = int(seconds)
    parts = ((whole // 3600, "h"), (whole // 60 % 60, "m"), (whole % 60, "s"))
    return "".join(f"{number}{unit}" for number, unit in parts if number)


def _kept(hint: str) -> str:
    """Return the hint of another length, unless what it offers would be refused here."""
    offers = re.findall(r"\bwrite (\S+)", hint)
    try:
        counts = [parse_duration(offer).is_count for offer in offers]
    except ValueError:
        return _NOT_FRAMES
    return _NOT_FRAMES if any(counts) else hint
