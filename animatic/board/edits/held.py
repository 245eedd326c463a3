"""What holds for every panel: the shot that it is of, and what it says or takes over from it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from animatic.board.edits.marks import Card, Entry, marks_of
from animatic.board.keys.set_entries import PaceEntry
from animatic.board.text.yamltree import parse

__all__ = ["Run", "State", "lacking", "names_of", "states_of"]

_FIRST = ("setup", "size")
_KEPT = (*_FIRST, "shoot_on", "poses_per_hour")
Run = str | int | None
_LETTERS = "BCDEFGHJKLMNPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True)
class State:
    """What a panel says or takes over from its shot."""

    name: str | None
    """The shot that it is of as the board stands."""
    home: str | None
    """The shot that it belongs to, before any part was named anew."""
    kept: dict[str, str | None]
    """Its values of the keys in `_KEPT`, None where nothing holds."""


def states_of(data: bytes, file: str) -> dict[Card, State]:
    """Return what holds for every panel as the board stands."""
    root, marks = parse(data, file).root, marks_of(data, file)
    states: dict[Card, State] = {}
    for name in ("panels", "parked"):
        entries, alone = root.get(name) or [], name == "parked"
        shots, homes = _shots(entries, {i: m for (n, i), m in marks.items() if n == name}, alone)
        holding = _holding(entries, shots, root)
        for i, (shot, held) in enumerate(zip(shots, holding, strict=True)):
            states[name, i] = State(shot if isinstance(shot, str) else None, homes[i], held)
    return states


def _shots(
    entries: Sequence[Entry], marks: dict[int, re.Match[str]], alone: bool
) -> tuple[list[Run], list[str | None]]:
    """Return the run of each panel, and the shot it belongs to; a parked panel runs alone."""
    runs: list[Run] = []
    homes: list[str | None] = []
    shot: str | None = None
    home: str | None = None
    for index, entry in enumerate(entries):
        own = entry.get("shot")
        if alone or (own is not None and own != shot):
            shot = home = own
        mark = marks.get(index)
        if mark is not None and own is not None and own == (mark["now"] or mark["home"]):
            home = mark["home"]
        runs.append(index if alone else shot)
        homes.append(home)
    return runs, homes


def _holding(
    entries: Sequence[Entry], runs: Sequence[Run], root: dict[str, Any]
) -> list[dict[str, str | None]]:
    """Return the keys in `_KEPT` as layout and plan take them: from panel to panel of a run.

    The first setup and size of a run hold from its beginning.
    """
    pace = root.get("pace")
    rate = pace.get("poses_per_hour") if isinstance(pace, dict) else None
    board = {
        "shoot_on": root.get("shoot_on") or "2",
        "poses_per_hour": rate or str(PaceEntry().poses_per_hour),
    }
    found: list[dict[str, str | None]] = []
    for index, (entry, run) in enumerate(zip(entries, runs, strict=True)):
        if index == 0 or run != runs[index - 1]:
            rest = list(_of_run(entries, runs, index))
            first = {key: next((e[key] for e in rest if key in e), None) for key in _FIRST}
            held = {**first, **board}
        held = {**held, **{key: entry[key] for key in _KEPT if key in entry}}
        found.append(held)
    return found


def _of_run(entries: Sequence[Entry], runs: Sequence[Run], start: int) -> Iterator[Entry]:
    for entry, run in zip(entries[start:], runs[start:], strict=True):
        if run != runs[start]:
            return
        yield entry


def lacking(
    entries: Sequence[Entry],
    runs: Sequence[Run],
    wanted: Sequence[dict[str, str | None]],
    root: dict[str, Any],
) -> list[dict[str, str]]:
    """Return the keys that each panel needs so that all of them hold what they held."""
    added: list[dict[str, str]] = [{} for _ in entries]
    while True:
        now = [{**entry, **more} for entry, more in zip(entries, added, strict=True)]
        # One at a time: a key that is added holds for the panels after it as well.
        missing = next(
            (
                (index, key, value)
                for index, held in enumerate(_holding(now, runs, root))
                for key in _KEPT
                if (value := wanted[index][key]) is not None and held[key] != value
            ),
            None,
        )
        if missing is None:
            return added
        index, key, value = missing
        added[index][key] = value


def names_of(
    panels: Sequence[State], parked: Sequence[State]
) -> tuple[list[str | None], list[tuple[str, str]]]:
    """Return the shot of each panel in the new order; later parts of a shot have new names."""
    taken = {state.home for state in (*panels, *parked)}
    used: set[str | None] = set()
    names: list[str | None] = []
    renamed: list[tuple[str, str]] = []
    before: str | None = None
    for state in panels:
        home = state.home if state.home is not None else before
        if home is None:
            home = _free("1", taken)
        if names and home == before:
            names.append(names[-1])
            continue
        name = home
        if home in used:
            name = _free(home, taken)
            taken.add(name)
            renamed.append((home, name))
        used.add(home)
        names.append(name)
        before = home
    return names, renamed


def _free(name: str, taken: set[str | None]) -> str:
    free = (f"{name}{letter}" for letter in _LETTERS)
    numbered = (f"{name}-{number}" for number in range(2, len(taken) + 3))
    return next(n for n in (*free, *numbered) if n not in taken)
