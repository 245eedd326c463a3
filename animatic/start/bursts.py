"""Photos that show nearly the same: of a burst one is kept, and of a photo and its copies one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from itertools import pairwise

import numpy as np

from animatic.start.look import LEAST_CONTRAST, Look, distance

__all__ = ["Kept", "thinned"]

ALIKE = 10
"""Photos of a burst differ in at most so many of 64 bits (measured on bursts with noise)."""
BURST = timedelta(seconds=4)
"""Photos of a burst follow one another within this time; nobody poses a puppet in it."""
COPY = 2
"""A copy, smaller or saved anew, differs in at most so many bits (measured on the demo)."""
COPY_PART = 20
"""... and nowhere by more than this part of what lies between the photo's dark and bright
(measured); a puppet that moved by a fiftieth of the width makes several times as much."""
FEWEST_LEVELS, MOST_LEVELS = 3, 8
"""What such a difference is at least and at most, of 255: saving a photo anew makes as much."""


@dataclass(frozen=True, slots=True)
class Kept:
    """A photo that goes into the board, and the ones like it that do not."""

    look: Look
    others: tuple[Look, ...]


def thinned(ordered: Sequence[Look]) -> list[Kept]:
    """Return the photos without near-duplicates: of each burst, and of copies, the sharpest.

    A burst is photos in a row, so close in time that only the camera can have moved. Copies may
    stand anywhere, and what was taken again with nothing changed counts as one. One with a time
    goes before one without, since only its place in the day is sure.
    """
    group = list(range(len(ordered)))
    for first, second in [*_bursts(ordered), *_copies(ordered)]:
        old, new = group[second], group[first]
        if old != new:
            group = [new if each == old else each for each in group]
    members: dict[int, list[Look]] = {}
    for look, number in zip(ordered, group, strict=True):
        members.setdefault(number, []).append(look)
    best = {number: max(looks, key=_worth) for number, looks in members.items()}
    return [
        Kept(look, tuple(other for other in members[number] if other is not look))
        for look, number in zip(ordered, group, strict=True)
        if look is best[number]
    ]


def _worth(look: Look) -> tuple[bool, bool, float, int]:
    # Of two that are the same the shorter name is the original's: copies get an addition.
    is_told = look.contrast >= LEAST_CONTRAST
    return look.taken is not None, is_told, look.sharpness, -len(look.path.name)


def _bursts(ordered: Sequence[Look]) -> Iterator[tuple[int, int]]:
    for at, (before, after) in enumerate(pairwise(ordered)):
        if _is_one_burst(before, after):
            yield at, at + 1


def _is_one_burst(before: Look, after: Look) -> bool:
    if before.taken is None or after.taken is None or after.taken - before.taken > BURST:
        return False
    return distance(before.likeness, after.likeness) <= ALIKE


def _copies(ordered: Sequence[Look]) -> Iterator[tuple[int, int]]:
    """Yield the places of each photo and what may be a copy of it.

    What is like a copy alone is none: small steps of a puppet would else add up unseen.
    """
    bits = np.array([look.likeness for look in ordered], np.uint64).view(np.uint8).reshape(-1, 8)
    ones = np.array([number.bit_count() for number in range(256)], np.uint8)
    copied: set[int] = set()
    for at, row in enumerate(bits):
        if at in copied:
            continue
        apart = ones[bits[at + 1 :] ^ row].sum(axis=1)
        for other in np.flatnonzero(apart <= COPY) + at + 1:
            if _is_same_throughout(ordered[at].small, ordered[int(other)].small):
                copied.add(int(other))
                yield at, int(other)


def _is_same_throughout(first: bytes, second: bytes) -> bool:
    if not first or not second:
        return True
    a, b = (np.frombuffer(small, np.uint8).astype(np.int16) for small in (first, second))
    most = min(max(int(np.ptp(a)) // COPY_PART, FEWEST_LEVELS), MOST_LEVELS)
    return int(np.abs(a - b).max()) <= most
