"""What lies at a shot's ends stays there in a new order: transitions, and dressing the set.

A dissolve or a fade in belongs to the cut that a shot begins with, a fade out to the one it ends
with. Where another panel comes to stand there, it is given them, and the panel that had them
keeps them as a comment, which the next arrangement reads back:

    # arranged, put by: transition: {dissolve: 12f}
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from itertools import groupby, pairwise
from typing import Any

from animatic.board.edits.extents import extents, line_end, line_start
from animatic.board.edits.splices import Splice, spliced

__all__ = ["ENDS", "brought_back", "commented_out", "ends_of"]

ENDS = ("dissolve", "from_black", "to_black")
_OPENING = ("dissolve", "from_black")
_WORDS = "# arranged, put by: "
_PUT_BY = re.compile(rf"((?:\A|(?<=[\r\n\x85\u2028\u2029])) *){_WORDS}")

Entry = dict[str, Any]


def ends_of(
    panels: Sequence[Entry],
    parked: Sequence[Entry],
    names: Sequence[str | None],
    homes: Sequence[str | None],
    parked_homes: Sequence[str | None],
    unfit: Collection[tuple[int, str]] = (),
) -> tuple[list[dict[str, str]], list[dict[str, str]]]:
    """Return what each panel of a new order is given, and what it must put by.

    `names` are the shots in the new order, `homes` those that the panels were written for: a
    parked panel leaves what it says of its shot to the panels that stay in the film. `unfit` are
    transitions, by their place in the new order and their key, for which there is no room.

    >>> fade = {"transition": {"from_black": "1s"}}
    >>> ends_of([{}, fade], [], ["10", "10"], ["10", "10"], [])
    ([{'from_black': '1s'}, {}], [{}, {'from_black': '1s'}])
    """
    given: list[dict[str, str]] = [{} for _ in panels]
    leaving: list[dict[str, str]] = [{} for _ in panels]
    parts = [[index for index, _ in run] for _, run in groupby(enumerate(names), lambda p: p[1])]
    for part in parts:
        first, last = part[0], part[-1]
        for index in part:
            for key, value in _transition(panels[index]).items():
                place = first if key in _OPENING else last
                if index != place or (key == "dissolve" and place == 0):
                    leaving[index][key] = value
                    _give(given, panels, leaving, place, key, value)
    for home in dict.fromkeys(homes):
        mine = [index for index, one in enumerate(homes) if one == home]
        left = [entry for entry, one in zip(parked, parked_homes, strict=True) if one == home]
        _inherit(given, panels, leaving, mine, left)
    for index, key in unfit:
        _leave_out(given, panels, leaving, index, key)
    for before, after in pairwise(parts):
        _begin_from_black(given, panels, leaving, before[-1], after[0])
    return given, leaving


def _begin_from_black(
    given: list[dict[str, str]],
    panels: Sequence[Entry],
    leaving: list[dict[str, str]],
    last: int,
    first: int,
) -> None:
    """Let a shot begin with a cut where the one before it has faded out."""
    fades = {*_transition(panels[last]), *given[last]} - set(leaving[last])
    if "to_black" not in fades:
        return
    _leave_out(given, panels, leaving, first, "dissolve")


def _leave_out(
    given: list[dict[str, str]],
    panels: Sequence[Entry],
    leaving: list[dict[str, str]],
    index: int,
    key: str,
) -> None:
    """Let a panel neither be given a transition nor keep its own."""
    given[index].pop(key, None)
    own = _transition(panels[index]).get(key)
    if own is not None:
        leaving[index][key] = own


def _transition(entry: Entry) -> dict[str, str]:
    found = entry.get("transition")
    return {key: found[key] for key in ENDS if key in found} if isinstance(found, dict) else {}


def _give(
    given: list[dict[str, str]],
    panels: Sequence[Entry],
    leaving: Sequence[dict[str, str]],
    place: int,
    key: str,
    value: str,
) -> None:
    """Give a panel a transition, unless it has one there, or nothing stands before it."""
    has = {*_transition(panels[place]), *given[place]} - set(leaving[place])
    taken = has & set(_OPENING) if key in _OPENING else has & {key}
    if not taken and not (key == "dissolve" and place == 0) and key not in leaving[place]:
        given[place][key] = value


def _inherit(
    given: list[dict[str, str]],
    panels: Sequence[Entry],
    leaving: Sequence[dict[str, str]],
    mine: Sequence[int],
    left: Sequence[Entry],
) -> None:
    """Give a shot's panels in the film what only parked ones of it say."""
    said = {key for index in mine for key in _transition(panels[index])}
    for entry in left:
        for key, value in _transition(entry).items():
            kinds = set(_OPENING) if key in _OPENING else {key}
            if not said & kinds:
                _give(given, panels, leaving, mine[0 if key in _OPENING else -1], key, value)
    dress = next((entry["dress"] for entry in left if "dress" in entry), None)
    if dress is not None and not any("dress" in panels[index] for index in mine):
        given[mine[0]]["dress"] = dress


def commented_out(text: str, panels: Sequence[int]) -> tuple[str, list[int]]:
    """Return a board's text with the transitions of panels as comments, and whose they are.

    Only lines of their own can be; a panel in braces, say, is left as it is.
    """
    found = extents(text)
    splices: list[Splice] = []
    done: list[int] = []
    for index in panels:
        mapping = found["panels", index]
        entry = next(entry for entry in mapping.entries if entry.key == "transition")
        start = line_start(text, entry.start)
        if mapping.style or entry.is_explicit or text[start : entry.start].strip(" "):
            continue
        done.append(index)
        splices += _comments(text, start, entry.start - start, entry.value.end)
    return spliced(text, splices), done


def _comments(text: str, at: int, column: int, end: int) -> Iterator[Splice]:
    """Yield what turns the lines from `at` to `end` into comments at a column."""
    while at < end:
        after = line_end(text, at)
        if text[at:after].strip(" "):
            yield Splice(at + column, at + column, _WORDS)
        at = after + 1


def brought_back(text: str) -> str:
    """Return a board's text with what stood in such comments where it stood.

    >>> brought_back("- shot: 10\\n  # arranged, put by: transition: {dissolve: 12f}\\n")
    '- shot: 10\\n  transition: {dissolve: 12f}\\n'
    """
    return _PUT_BY.sub(r"\1", text)
