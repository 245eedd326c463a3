r"""A new order of the panels, as bytes of the board: every line moves as it stands.

A panel's lines are those from its dash to its last value, the comment behind it, comments
further in than its dash right below it, and all comments and empty lines above it up to the
panel before. Panels that are left out move to the end of `parked:`, and come back from there.

What a panel took over from its shot it keeps, whatever the order: the shot that goes on, the
setup, the size, `shoot_on` and `poses_per_hour`. Where the new order would change one of them,
the key is written into the panel, and a comment above it says so:

    # arranged: from shot 10; added shot, setup

A shot that the order parts in two cannot come back later, so its later part gets a name of its
own (10B), which its first panel says as well: `# arranged: shot 10B from shot 10; named`.
Transitions stay at the ends of shots (`ends`), and a shot whose first panel is parked is dressed
all the same. The next arrangement first takes back what these comments tell of (`marks`) and
then works it out anew: parts that meet again are one shot, and the opposite order restores the
board byte for byte.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from animatic.board.edits.blocks import joined, parted
from animatic.board.edits.edit import Change, Removal, edited
from animatic.board.edits.ends import ENDS, commented_out, ends_of
from animatic.board.edits.extents import extents
from animatic.board.edits.held import Run, State, lacking, names_of, states_of
from animatic.board.edits.marks import Card, Entry, mark_for, unmarked
from animatic.board.text.yamltree import KeyPath, key_words, parse
from animatic.errors import BoardError, InternalError, Place, Problem, UsageError

__all__ = ["Arranged", "Card", "arranged", "read_order"]

_Keys = tuple[tuple[int, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class Arranged:
    """A board in a new order."""

    data: bytes
    cards: tuple[str, ...]
    """The old card of each panel, in the new order."""
    parked: tuple[str, ...]
    """The old cards of the parked panels."""
    renamed: tuple[tuple[str, str], ...]
    """Shots that are parted: the old name, and that of a later part."""
    given: tuple[tuple[int, tuple[str, ...]], ...]
    """Panels (by their new number) that are given keys which they took over before."""
    put_by: tuple[tuple[int, tuple[str, ...]], ...]
    """Panels (by their new number) whose own transitions wait in a comment."""
    kept_out: tuple[tuple[int, str], ...]
    """Panels (by their new number) that do not take over a transition, having no room for it."""
    parts: Mapping[str, str]
    """Of each name that the order before had given to a part of a shot: the shot's own."""


def read_order(words: Sequence[str], panels: int, parked: int = 0) -> list[Card]:
    """Return the cards that an order names; UsageError for what is no card of the board.

    >>> read_order(["3", "1-2", "p1"], panels=3, parked=1)
    [('panels', 2), ('panels', 0), ('panels', 1), ('parked', 0)]
    >>> read_order(["3-1"], panels=3)
    [('panels', 2), ('panels', 1), ('panels', 0)]
    """
    cards: list[Card] = []
    for word in " ".join(words).replace(",", " ").split():
        match = re.fullmatch(r"(p?)(\d{1,6})(?:-p?(\d{1,6}))?", word, re.IGNORECASE)
        if match is None:
            raise UsageError(
                f"{word}: no card; allowed: a number, a range as 5-9, or p1 for parked"
            )
        home, count = ("parked", parked) if match[1] else ("panels", panels)
        first, last = int(match[2]), int(match[3] or match[2])
        for number in range(first, last + 1) if first <= last else range(first, last - 1, -1):
            if not 1 <= number <= count:
                raise UsageError(f"{_card((home, number - 1))}: {_there_are(panels, parked)}")
            if (home, number - 1) in cards:
                card = _card((home, number - 1))
                raise UsageError(f"card {card} stands in the order twice; name each card once")
            cards.append((home, number - 1))
    if not cards:
        raise UsageError("no card is named; name at least one, as: 3 1 2")
    return cards


def _there_are(panels: int, parked: int) -> str:
    words = f"there is no such card; the board has cards 1 to {panels}"
    return words + (f" and parked cards p1 to p{parked}" if parked else ", and none is parked")


def _card(card: Card) -> str:
    return f"{'p' if card[0] == 'parked' else ''}{card[1] + 1}"


def arranged(
    data: bytes, order: Sequence[Card], file: str, unfit: Collection[tuple[int, str]] = ()
) -> Arranged:
    """Return a board's bytes with the panels in this order, the others parked.

    `file` is for messages. `unfit` are transitions that have no room in this order, by their
    panel, counted from 0 in the new order, and their key: they wait in comments. BoardError
    where the panels are written in a way that cannot be moved in place; InternalError where the
    outcome is not what was asked for.
    """
    states = states_of(data, file)
    plain = unmarked(data, file)
    blocks = parted(plain, file)
    others: list[Card] = [
        ("parked", i) for i in range(len(blocks.parked)) if ("parked", i) not in order
    ]
    others += [("panels", i) for i in range(len(blocks.panels)) if ("panels", i) not in order]
    moved = joined(blocks, [blocks.of(c) for c in order], [blocks.of(c) for c in others], file)
    _compare(plain, moved, order, others, file)
    wanted = [states[card] for card in order], [states[card] for card in others]
    made, renamed, given, put_by = _marked(moved, *wanted, unfit, file)
    if unmarked(made, file) != moved:
        raise BoardError([_fixed_transition(plain, order, file)])
    cards = tuple(_card(card) for card in order), tuple(_card(card) for card in others)
    parts = {
        state.name: state.home
        for state in states.values()
        if state.name is not None and state.home is not None and state.name != state.home
    }
    own = [key for number, keys in put_by for key in ((number - 1, one) for one in keys)]
    kept_out = tuple((index + 1, key) for index, key in unfit if (index, key) not in own)
    return Arranged(made, *cards, renamed, given, put_by, kept_out, parts)


def _fixed_transition(data: bytes, order: Sequence[Card], file: str) -> Problem:
    """Return what is said where a transition cannot leave its panel and come back."""
    tree, lines = parse(data, file), extents(parted(data, file).whole_text())
    entries = ((card, tree.root[card[0]][card[1]]) for card in order)
    found = [card for card, entry in entries if "transition" in entry and lines[card].style]
    (home, index), *_ = found or order
    path: KeyPath = (home, index, "transition")
    place = tree.place(path) if found else Place(file, 1, 1)
    words = f"the transition of card {_card((home, index))} would have to leave it in this order,"
    words += " and could not come back as it stands"
    hint = "write the panel without braces, with transition on a line of its own below its photo"
    return Problem(place, key_words(path), words, hint=hint)


def _compare(
    old: bytes, new: bytes, order: Sequence[Card], others: Sequence[Card], file: str
) -> None:
    """Raise unless the new board holds the old panels in the new order, and all else as it was."""
    tree = parse(old, file)
    was = tree.root
    try:
        now = parse(new, file).root
    except BoardError as fault:
        raise InternalError(
            f"{file}: the order was not changed, it came out wrong: {fault}"
        ) from fault
    expected = {key: value for key, value in was.items() if key not in ("panels", "parked")}
    found = {key: value for key, value in now.items() if key not in ("panels", "parked")}
    panels = [was[home][index] for home, index in order]
    parked = [was[home][index] for home, index in others]
    came = [*now["panels"], *(now.get("parked") or [])]
    panels, parked, came = (
        [_without_last_break(entry) for entry in entries] for entries in (panels, parked, came)
    )
    if found == expected and came == [*panels, *parked] and len(now["panels"]) == len(panels):
        return
    pairs = zip([*order, *others], [*panels, *parked], came, strict=False)
    changed = next(((card, one, other) for card, one, other in pairs if one != other), None)
    if changed is None:
        raise InternalError(f"{file}: the order was not changed, it came out wrong")
    card, one, other = changed
    key = next((key for key in one if one[key] != other.get(key)), "photo")
    words = f"a text of card {_card(card)} would change with the empty lines or comments around it"
    hint = "put this text (| or >) on one line, then arrange again"
    path: KeyPath = (*card, key)
    raise BoardError([Problem(tree.place(path), key_words(path), words, hint=hint)])


def _without_last_break(value: Any) -> Any:
    """Return what a panel says without a break at the end of each text.

    It means nothing, and goes where a text comes to stand at the end of a file without one.
    """
    if isinstance(value, dict):
        return {key: _without_last_break(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_without_last_break(inner) for inner in value]
    return value.removesuffix("\n") if isinstance(value, str) else value


def _marked(
    data: bytes,
    panels: list[State],
    parked: list[State],
    unfit: Collection[tuple[int, str]],
    file: str,
) -> tuple[bytes, tuple[tuple[str, str], ...], _Keys, _Keys]:
    """Return the board with what its panels would lose in their new places written into them."""
    root = parse(data, file).root
    names, renamed = names_of(panels, parked)
    homes, away = ([state.home for state in states] for states in (panels, parked))
    left = root.get("parked") or []
    ends, leaving = ends_of(root["panels"], left, names, homes, away, unfit)
    put_by = tuple((n, tuple(keys)) for n, keys in enumerate(leaving, 1) if keys)
    taken_over = [list(keys) for keys in ends]
    changes: list[Change | Removal] = []
    data = _put_by(data, root["panels"], leaving, ends, changes, file)
    marks: dict[Card, str] = {}
    given: list[tuple[int, tuple[str, ...]]] = []
    for list_name, states in (("panels", panels), ("parked", parked)):
        entries, alone = root.get(list_name) or [], list_name == "parked"
        wanted = [state.home for state in states] if alone else names
        runs: list[Run] = list(range(len(states))) if alone else list(names)
        added = lacking(entries, runs, [state.kept for state in states], root)
        for index, (state, entry, name) in enumerate(zip(states, entries, wanted, strict=True)):
            path: KeyPath = (list_name, index)
            begins = index == 0 or runs[index] != runs[index - 1]
            named = "shot" in entry and name is not None and entry["shot"] != name
            if named:
                changes.append(Change((*path, "shot"), str(name)))
            if begins and "shot" not in entry and name is not None:
                added[index] = {"shot": name, **added[index]}
            changes += [Change((*path, key), value) for key, value in added[index].items()]
            put: dict[str, str] = {}
            if not alone:
                for key, value in ends[index].items():
                    inner = ("transition", key) if key in ENDS else (key,)
                    changes.append(Change((*path, *inner), value))
                told = (*added[index], *taken_over[index])
                if told:
                    given.append((index + 1, told))
                added[index] |= ends[index]
                put = leaving[index]
            if named or added[index] or put:
                marks[list_name, index] = mark_for(state.home, name, named, list(added[index]), put)
    if changes:
        data = edited(data, changes, file)
    blocks = parted(data, file)
    for card, words in marks.items():
        blocks.of(card).put_line_above(words)
    return blocks.whole(), tuple(renamed), tuple(given), put_by


def _put_by(
    data: bytes,
    entries: Sequence[Entry],
    leaving: list[dict[str, str]],
    given: list[dict[str, str]],
    changes: list[Change | Removal],
    file: str,
) -> bytes:
    """Return the board with the transitions that leave as comments; else add their removal.

    What became a comment is taken out of `leaving`.
    """
    blocks = parted(data, file)
    leavers = [index for index, keys in enumerate(leaving) if keys]
    whole = [i for i in leavers if len(leaving[i]) == len(entries[i]["transition"])]
    text, done = commented_out(blocks.whole_text(), leavers)
    for index in done:
        # What stays of it is written anew, since a comment brings it back as it stood.
        stays = set(entries[index]["transition"]) - set(leaving[index])
        given[index] |= {key: entries[index]["transition"][key] for key in ENDS if key in stays}
        leaving[index] = {}
    for index, keys in enumerate(leaving):
        path: KeyPath = ("panels", index, "transition")
        if index in whole and keys and not given[index].keys() & set(ENDS):
            changes.append(Removal(path))
        else:
            changes += [Removal((*path, key)) for key in keys]
    return blocks.mark + text.encode(blocks.codec)
