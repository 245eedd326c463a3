"""When a photo was taken, from its Exif data (JEITA CP-3451, Exif 2.2 and 2.31)."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import MAXYEAR, MINYEAR, datetime, timedelta, timezone

__all__ = ["capture_time", "natural_key"]

_TAKEN, _SUBSECOND, _OFFSET = 0x9003, 0x9291, 0x9011


def capture_time(exif: Mapping[int, object]) -> datetime | None:
    """Return DateTimeOriginal with its fraction of a second; None where there is none.

    With OffsetTimeOriginal the time has that zone; without, it has none and is the camera's clock.
    The first and the last year that a calendar holds are taken for a clock that was never set.
    SubSecTimeOriginal holds the digits after the decimal point: "07" is 0.07 s.

    >>> capture_time({0x9003: "2026:02:21 09:40:12", 0x9291: "07", 0x9011: "+01:00"}).isoformat()
    '2026-02-21T09:40:12.070000+01:00'
    >>> capture_time({0x9003: "0000:00:00 00:00:00"})
    """
    try:
        taken = datetime.strptime(_text(exif.get(_TAKEN)), "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None
    if taken.year in (MINYEAR, MAXYEAR):
        return None
    digits = _text(exif.get(_SUBSECOND))
    if digits.isdecimal() and digits.isascii():
        taken += timedelta(microseconds=int(digits[:6].ljust(6, "0")))
    match = re.fullmatch(r"([+-])(\d\d):([0-5]\d)", _text(exif.get(_OFFSET)))
    if match and int(match[2]) < 24:
        ahead = timedelta(hours=int(match[2]), minutes=int(match[3]))
        return taken.replace(tzinfo=timezone(ahead if match[1] == "+" else -ahead))
    return taken


def _text(value: object) -> str:
    return value.strip("\0 ") if isinstance(value, str) else ""


def natural_key(name: str) -> tuple[tuple[int, int, str], ...]:
    """Return a key that sorts names as people do, numbers by their value.

    >>> sorted(["p10.jpg", "p9.jpg", "P1.jpg"], key=natural_key)
    ['P1.jpg', 'p9.jpg', 'p10.jpg']
    """
    parts = re.split(r"(\d+)", name.casefold())
    return tuple((0, int(part), "") if part.isdecimal() else (1, 0, part) for part in parts if part)
