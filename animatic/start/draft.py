"""The first board: photos in the order of the day, bursts thinned, pauses as setups."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import accumulate, pairwise
from statistics import median

from animatic.start.bursts import Kept, thinned
from animatic.start.clocks import on_one_clock
from animatic.start.look import LEAST_CONTRAST, Look
from animatic.start.naming import quoted, readable
from animatic.times import natural_key

__all__ = ["Draft", "draft_board", "in_order", "more_panels"]

PAUSE, LONG_PAUSE = timedelta(minutes=4), timedelta(minutes=30)
"""A shorter pause than the one never makes a new setup; a longer one than the other always does."""
PAUSE_FACTOR = 6
"""A pause this many times as long as the usual one makes a new setup."""
SOFT = 0.18
"""A photo whose sharpest parts are less sharp is marked as soft (measured on the demo's photos:
from 0.21 in focus, up to 0.16 with a blur of a 500th of the width)."""
DARK, BURNT = 0.6, 0.25
"""Photos with more than this part black, or white, are marked."""
_NUMBERED = re.compile(r"\bshot: *[\"']?(\d+)")


@dataclass(frozen=True, slots=True)
class Draft:
    """The board's text, and what is in it."""

    text: str
    panels: int
    setups: int
    left_out: int
    """Photos like others, which stand in comments."""
    notes: tuple[str, ...]
    """What was assumed of the photos' times, in words."""


def in_order(looks: Sequence[Look]) -> list[Look]:
    """Return photos, their times on one clock, by time of capture, then by name.

    A photo without a time takes the place that its name has among the others.
    """
    named = sorted(looks, key=lambda look: natural_key(look.path.name))
    times = _times(named)
    ranked = sorted(range(len(named)), key=lambda i: (times[i], i))
    return [named[i] for i in ranked]


def _times(named: Sequence[Look]) -> list[datetime]:
    """Return a time for each photo: its own, or that of the one before it by name."""
    last = next((look.taken for look in named if look.taken is not None), datetime.min)
    found = []
    for look in named:
        last = look.taken if look.taken is not None else last
        found.append(last)
    return found


def _setup_numbers(kept: Sequence[Kept]) -> list[int]:
    """Return the number of each photo's setup, from 1: a long pause or a new day begins one.

    A photo without a time stays with the one before it, and hides no pause.
    """
    times = [item.look.taken for item in kept]
    dated = [(at, time) for at, time in enumerate(times) if time is not None]
    pauses = [(later - earlier).total_seconds() for (_, earlier), (_, later) in pairwise(dated)]
    usual = median(pauses) if pauses else 0
    least = max(PAUSE.total_seconds(), min(LONG_PAUSE.total_seconds(), PAUSE_FACTOR * usual))
    begins = {
        at
        for ((_, earlier), (at, later)), pause in zip(pairwise(dated), pauses, strict=True)
        if pause > least or earlier.date() != later.date()
    }
    return list(accumulate((at in begins for at in range(len(kept))), initial=1))[1:]


def draft_board(looks: Sequence[Look], title: str) -> Draft:
    """Return the text of a board of these photos; paths are the photos' names."""
    day = on_one_clock(looks)
    kept = thinned(in_order(day.looks))
    numbers = _setup_numbers(kept)
    lines = [
        "# A first board: every photo a shot, in the order of the day. Move, merge, time, cut.",
        *(f"# {note}" for note in day.notes),
        "board: 1",
        f"title: {quoted(title)}",
        "rate: 24",
        "shoot_on: 2",
        "",
        "setups:                 # one for each stretch between long pauses",
        *(f"  setup-{number}: {{}}" for number in sorted(set(numbers))),
        "",
        "panels:",
    ]
    last = 0
    for count, (item, number) in enumerate(zip(kept, numbers, strict=True), 1):
        if number != last:
            lines.append(f"  # {_when(item.look, day.zone)}")
            last = number
        lines += _panel(item, count * 10, number)
    left_out = sum(len(item.others) for item in kept)
    return Draft("\n".join(lines) + "\n", len(kept), max(numbers), left_out, day.notes)


def more_panels(looks: Sequence[Look], board: str) -> tuple[str, int]:
    """Return rows for the photos that a board does not have yet, and how many panels they are.

    They go on behind the highest number of a shot in the board's text.

    >>> more_panels([], "panels:\\n  - {shot: 10, photo: a.jpg}\\n")
    ('', 0)
    """
    kept = thinned(in_order(on_one_clock(looks).looks))
    numbers = (int(number) for number in _NUMBERED.findall(board))
    first = max(numbers, default=0) // 10 * 10 + 10
    rows = [
        line
        for count, item in enumerate(kept)
        for line in _panel(item, first + 10 * count, setup=None)
    ]
    return "".join(f"{line}\n" for line in rows), len(kept)


def _when(look: Look, zone: str) -> str:
    if look.taken is None:
        return "no time in the photo"
    return f"{look.taken:%Y-%m-%d %H:%M}{zone}"


def _panel(item: Kept, shot: int, setup: int | None) -> list[str]:
    marks = _marks(item.look)
    said = f"   # {', '.join(marks)}" if marks else ""
    lines = [
        f"  - shot: {shot}",
        f"    photo: {quoted(item.look.path.name)}{said}",
    ]
    if setup is not None:
        lines.append(f"    setup: setup-{setup}")
    for other in item.others:
        lines.append(f"    # nearly the same: {readable(other.path.name)}")
    return lines


def _marks(look: Look) -> list[str]:
    """Return what is wrong with a photo, in a word each."""
    marks = []
    if look.contrast >= LEAST_CONTRAST and look.sharpness < SOFT:
        marks.append("soft")
    if look.dark > DARK:
        marks.append("dark")
    if look.burnt > BURNT:
        marks.append("burnt out")
    return marks
