"""One clock for all photos of a folder, whether or not they state their offset from UTC."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from animatic.start.look import Look

__all__ = ["Day", "on_one_clock"]


@dataclass(frozen=True, slots=True)
class Day:
    """Photos whose times, without a zone, are all of one clock: the film-maker's."""

    looks: tuple[Look, ...]
    zone: str
    """The clock's offset, as " +01:00", where it must be said which it is; else empty."""
    notes: tuple[str, ...]
    """What was assumed, in words."""


def on_one_clock(looks: Sequence[Look]) -> Day:
    """Return photos with their times on the clock that most of those with an offset state.

    A camera that states no offset was set by the same clock as the others on the set: its
    times are taken to be at their most common offset.

    >>> from datetime import timezone
    >>> from pathlib import Path
    >>> phone = datetime(2026, 2, 21, 9, 0, tzinfo=timezone(timedelta(hours=1)))
    >>> day = on_one_clock([Look(Path("quay.jpg"), phone, 0, 1.0, 0.0, 0.0)])
    >>> day.looks[0].taken, day.zone, day.notes
    (datetime.datetime(2026, 2, 21, 9, 0), '', ())
    """
    offsets = Counter(
        offset for look in looks if look.taken and (offset := look.taken.utcoffset()) is not None
    )
    if not offsets:
        return Day(tuple(looks), "", ())
    # Of equally common ones the smallest, so that the order of the files does not matter.
    common = min(offsets, key=lambda offset: (-offsets[offset], offset))
    unsaid = sum(look.taken is not None and look.taken.tzinfo is None for look in looks)
    notes = []
    if len(offsets) > 1:
        found = ", ".join(map(_written, sorted(offsets)))
        notes.append(
            f"the photos state different offsets from UTC ({found});"
            f" times are shown at {_written(common)}"
        )
    if unsaid:
        one = "1 photo does not state its" if unsaid == 1 else f"{unsaid} photos do not state their"
        others = "1 other states" if offsets[common] == 1 else f"{offsets[common]} others state"
        notes.append(f"{one} offset from UTC; taken as {_written(common)}, as {others} it")
    return Day(
        tuple(replace(look, taken=_at(look.taken, common)) for look in looks),
        f" {_written(common)}" if len(offsets) > 1 else "",
        tuple(notes),
    )


def _at(taken: datetime | None, common: timedelta) -> datetime | None:
    offset = taken.utcoffset() if taken is not None else None
    if taken is None or offset is None:
        return taken
    return taken.replace(tzinfo=None) - offset + common


def _written(offset: timedelta) -> str:
    """Return an offset as Exif writes it.

    >>> _written(timedelta(hours=-3, minutes=-30))
    '-03:30'
    """
    minutes = offset // timedelta(minutes=1)
    return f"{'-' if minutes < 0 else '+'}{abs(minutes) // 60:02}:{abs(minutes) % 60:02}"
