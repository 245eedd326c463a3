"""Setups that wait for each other: what `first`, `last` and `after` say must be possible.

Where no setup is both first and last, none that is first comes after one that is not, and only
the last ones come after a last one, the setups fall into three layers, and every circle lies
within one of them, in `after` alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from graphlib import CycleError, TopologicalSorter
from itertools import pairwise

from animatic.board.keys.schema import BoardContent, SetupEntry
from animatic.board.text.yamltree import Tree, key_words
from animatic.errors import Problem, listed

__all__ = ["waiting_problems"]

_MOST_NAMED = 6


def waiting_problems(content: BoardContent, tree: Tree) -> Iterator[Problem]:
    """Yield a problem for every circle in which setups would wait, at a line that closes it."""
    setups = content.setups
    for name, entry in setups.items():
        if entry.first and entry.last:
            found = "this setup is shot before all others and after all others"
            yield _problem(tree, (name, "last"), found, "take first or last out")
        for number, other in enumerate(entry.after):
            if other in setups and (told := _against(name, other, setups)):
                yield _problem(tree, (name, "after", number), *told)
    # What is told above is no part of another circle.
    after = {
        name: [one for one in entry.after if one in setups and not _against(name, one, setups)]
        for name, entry in setups.items()
    }
    while circle := _circle(after):
        waits = [f"{name} after {other}" for name, other in pairwise((*circle, circle[0]))]
        found = f"these setups wait for each other: {listed(waits, _MOST_NAMED)}"
        number = setups[circle[0]].after.index(circle[1])
        key = (circle[0], "after", number)
        yield _problem(tree, key, found, "take one of them out of its after")
        after = {
            name: [] if name in circle else [one for one in others if one not in circle]
            for name, others in after.items()
        }


def _against(name: str, other: str, setups: Mapping[str, SetupEntry]) -> tuple[str, str] | None:
    """Return what is wrong with `name` after `other`, and what to do; None where nothing is."""
    if name == other:
        return f"setup {name} waits for itself", "take it out of its own after"
    if setups[name].first and not setups[other].first:
        found = f"{name} is shot before all others (first), and here after {other}"
        return found, f"take one of the two out, or let {other} be first too"
    if setups[other].last and not setups[name].last:
        found = f"{other} is shot after all others (last), and here before {name}"
        return found, f"take one of the two out, or let {name} be last too"
    return None


def _problem(tree: Tree, key: tuple[str | int, ...], found: str, hint: str) -> Problem:
    path = ("setups", *key)
    return Problem(tree.place(path), key_words(path), found, hint=hint)


def _circle(after: Mapping[str, Sequence[str]]) -> tuple[str, ...]:
    """Return setups each of which is shot after the next, and the last after the first.

    It begins with the one that the board has first; empty where there is no circle.
    """
    try:
        TopologicalSorter(after).prepare()
    except CycleError as fault:
        # Each of these comes before the next; the last is the first again.
        around = fault.args[1][:0:-1]
        places = {name: at for at, name in enumerate(after)}
        at = min(range(len(around)), key=lambda n: places[around[n]])
        return (*around[at:], *around[:at])
    return ()
