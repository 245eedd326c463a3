"""The setups of a film: their shots, what going from one to another costs, and who waits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from animatic.board import Board, Duration
from animatic.board.keys.schema import SetupEntry
from animatic.errors import InternalError
from animatic.frames import round_half_up
from animatic.timeline.model import Shot, Timeline

__all__ = ["Rigged", "change_seconds", "rigged_setups", "waits_for", "work_seconds"]


@dataclass(frozen=True, slots=True)
class Rigged:
    """A setup with the shots made on it, in the order of the film."""

    name: str
    entry: SetupEntry
    shots: tuple[Shot, ...]


def rigged_setups(board: Board, timeline: Timeline) -> list[Rigged]:
    """Return the setups that the film uses, in the order of the film.

    Shots without a setup stand together under an empty name.
    """
    by_name: dict[str, list[Shot]] = {}
    for shot in timeline.shots:
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
    takes = board.content.pace.changes
    parts = [
        work_seconds(takes.place) * (before.place != after.place),
        work_seconds(takes.wall) * len(set(before.opened) ^ set(after.opened)),
        work_seconds(takes.light) * len(set(before.lights) ^ set(after.lights)),
        work_seconds(takes.camera) * ((before.camera, before.lens) != (after.camera, after.lens)),
    ]
    return round_half_up(sum(parts, rig))


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
