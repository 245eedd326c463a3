"""The comments that an arrangement leaves in a board, and the way back from them.

Each says above a panel which shot it comes from, and which keys were written into it:

    # arranged: shot 10B from shot 10; named; added setup
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from animatic.board.edits.blocks import Blocks, parted
from animatic.board.edits.edit import Change, Removal, edited
from animatic.board.edits.ends import ENDS, brought_back
from animatic.board.text.yamltree import KeyPath, parse

__all__ = ["Card", "Entry", "mark_for", "marks_of", "unmarked"]

Card = tuple[str, int]
"""Where a panel stands, `panels` or `parked`, and its index there from 0."""
Entry = dict[str, Any]
"""What is written of a panel."""

_MARK = re.compile(
    r"^ *# arranged: (?:shot (?P<now>.+) )?from shot (?P<home>.+?)"
    r"(?P<named>; named)?(?:; added (?P<added>[a-z_]+(?:, [a-z_]+)*))?"
    r"(?:; put by (?P<put>[a-z_]+ [^ ,]+(?:, [a-z_]+ [^ ,]+)*))?$"
)


def marks_of(data: bytes, file: str) -> dict[Card, re.Match[str]]:
    """Return what the comment above each panel says, where there is one."""
    blocks = parted(data, file)
    found = {}
    for home, listed in (("panels", blocks.panels), ("parked", blocks.parked)):
        for index, block in enumerate(listed):
            match = _MARK.match(block.line_above)
            if match is not None:
                found[home, index] = match
    return found


def unmarked(data: bytes, file: str) -> bytes:
    """Return the board without what an earlier arrangement wrote into panels."""
    marks = marks_of(data, file)
    root = parse(data, file).root
    changes: list[Change | Removal] = []
    for (home, index), mark in marks.items():
        entry, path = root[home][index], (home, index)
        is_as_named = entry.get("shot") == (mark["now"] or mark["home"])
        if mark["named"] and is_as_named:
            changes.append(Change((*path, "shot"), mark["home"]))
        added = [key for key in (mark["added"] or "").split(", ") if key != "shot" or is_as_named]
        changes += [Removal((*path, *key)) for key in _written(entry, added, bool(mark["put"]))]
        for words in (mark["put"] or "").split(", ") if mark["put"] else ():
            key, value = words.split(" ")
            changes.append(Change((*path, "transition", key), value))
    if changes:
        data = edited(data, changes, file)
    blocks = parted(data, file)
    for card in marks:
        blocks.of(card).drop_line_above()
    return _brought_back(blocks.whole(), blocks, file)


def _written(entry: Entry, added: Sequence[str], goes_on: bool) -> list[KeyPath]:
    """Return the keys of a panel to take out: a transition as a whole where it was added whole.

    `goes_on` says that it gets other keys back.
    """
    inner = entry.get("transition")
    known = [key for key in added if key in ENDS and isinstance(inner, dict) and key in inner]
    outer: list[KeyPath] = [(key,) for key in added if key in entry]
    if isinstance(inner, dict) and known:
        outer += (
            [("transition",)]
            if set(inner) == set(known) and not goes_on
            else [("transition", k) for k in known]
        )
    return outer


def _brought_back(data: bytes, blocks: Blocks, file: str) -> bytes:
    """Return the board with the transitions that were put by as comments."""
    text = brought_back(blocks.whole_text())
    found = blocks.mark + text.encode(blocks.codec)
    if found == data:
        return data
    was, now = parse(data, file).root, parse(found, file).root
    for root in (was, now):
        for entry in (*root["panels"], *(root.get("parked") or [])):
            entry.pop("transition", None)
    # Such words within a text of a panel are the film-maker's own.
    return found if was == now else data


def mark_for(
    home: str | None, name: str | None, named: bool, added: list[str], put: dict[str, str]
) -> str:
    """Return the comment above a panel."""
    origin = home if home is not None else name
    now = f"shot {name} " if name != origin else ""
    words = f"# arranged: {now}from shot {origin}" + ("; named" if named else "")
    words += f"; added {', '.join(added)}" if added else ""
    return words + ("; put by " + ", ".join(f"{k} {v}" for k, v in put.items()) if put else "")
