"""Lists of beats: a text file with one time in seconds a line."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

from animatic.errors import MediaError

__all__ = ["read_beats"]

_TIME = re.compile(r"(?:(\d+):)?(\d+(?:\.\d+)?)")


def read_beats(path: Path) -> tuple[Fraction, ...]:
    """Return the beats' times in seconds, rising; MediaError says which line is wrong.

    A line is `12.5` or `1:02.5`; what follows a # or a tab, and empty lines, do not count.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as fault:
        raise MediaError(f"the list of beats cannot be read ({fault})") from None
    beats: list[Fraction] = []
    for number, line in enumerate(text.splitlines(), 1):
        written = re.split(r"[#\t]", line)[0].strip()
        if not written:
            continue
        match = _TIME.fullmatch(written)
        if not match:
            raise MediaError(f"line {number}: {written!r} is no time; write seconds, as 12.5")
        time = int(match[1] or 0) * 60 + Fraction(match[2])
        if beats and time <= beats[-1]:
            raise MediaError(f"line {number}: {written} does not come after the beat before it")
        beats.append(time)
    if not beats:
        raise MediaError("there is no beat in the list")
    return tuple(beats)
