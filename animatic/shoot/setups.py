"""The setups of a film: their shots, what going from one to another costs, and who waits."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from animatic.board import Board, Duration
from animatic.board.keys.schema import SetupEntry
from animatic.board.keys.set_entries import ChangesEntry
from animatic.errors import InternalError
from animatic.frames import round_half_up
from animatic.timeline.model import Shot

__all__ = [
    "Rigged",
    "change_costs",
    "change_seconds",
    "rigged_setups",
    "waits_for",
    "work_seconds",
]


@dataclass(frozen=True, slots=True)
class Rigged:
    """A setup with the shots made on it, in the order of the film."""

    name: str
    entry: SetupEntry
    shots: tuple[Shot, ...]


def rigged_setups(board: Board, shots: Iterable[Shot]) -> list[Rigged]:
    """Return the setups that shots use, in the order of the shots.

    Shots without a setup stand together under an empty name.
    """
    by_name: dict[str, list[Shot]] = {}
    for shot in shots:
        by_name.setdefault(shot.setup, []).append(shot)
    return [
        Rigged(name, board.content.setups.get(name, SetupEntry()), tuple(shots))
        for name, shots in by_name.items()
    ]


def work_seconds(length: Duration | None) -> Fraction:
    """Return a length of work in seconds, 0 where none is written."""
    if length is None:
        return Fraction(0)
    if length.seconds is None:
        raise InternalError(f"{length} is no length of work")
    return length.seconds


def change_seconds(board: Board, before: SetupEntry | None, after: SetupEntry) -> int:
    """Return the seconds from one setup to the next: what differs, and the next one's rig.

    The first setup of a shoot has none before it and takes its rig alone.
    """
    rig = work_seconds(after.rig)
    if before is None:
        return round_half_up(rig)
    return round_half_up(_taken(board.content.pace.changes, _Looks(before) - _Looks(after)) + rig)


def change_costs(board: Board, entries: Sequence[SetupEntry]) -> list[list[int]]:
    """Return the seconds from each setup to each other, for what differs between the two alone.

    A setup's own rig is spent in any order; only what differs can be saved.
    """
    takes = board.content.pace.changes
    looks = [_Looks(entry) for entry in entries]
    # Many pairs differ in as many things, and sums of fractions take their time.
    known: dict[_Differing, int] = {}
    costs = []
    for one in looks:
        row = []
        for other in looks:
            differing = one - other
            if differing not in known:
                known[differing] = round_half_up(_taken(takes, differing))
            row.append(known[differing])
        costs.append(row)
    return costs


_Differing = tuple[int, int, int, int]
"""How many places, walls, lights and cameras differ."""


class _Looks:
    """What of a setup takes time to change."""

    def __init__(self, entry: SetupEntry) -> None:
        self.place, self.camera = entry.place, (entry.camera, entry.lens)
        self.opened, self.lights = frozenset(entry.opened), frozenset(entry.lights)

    def __sub__(self, other: _Looks) -> _Differing:
        return (
            int(self.place != other.place),
            len(self.opened ^ other.opened),
            len(self.lights ^ other.lights),
            int(self.camera != other.camera),
        )


def _taken(takes: ChangesEntry, differing: _Differing) -> Fraction:
    """Return the seconds that it takes to change so many things."""
    each = (takes.place, takes.wall, takes.light, takes.camera)
    pairs = zip(each, differing, strict=True)
    return sum((work_seconds(length) * count for length, count in pairs), Fraction(0))


def waits_for(setups: Sequence[Rigged]) -> list[frozenset[int]]:
    """Return for each setup the ones that must be shot before it, by index."""
    index = {setup.name: i for i, setup in enumerate(setups)}
    firsts = {i for i, setup in enumerate(setups) if setup.entry.first}
    lasts = {i for i, setup in enumerate(setups) if setup.entry.last}
    found = []
    for i, setup in enumerate(setups):
        before = {index[name] for name in setup.entry.after if name in index}
        if i not in firsts:
            before |= firsts
        if i in lasts:
            before |= set(range(len(setups))) - lasts
        found.append(frozenset(before - {i}))
    return found
