"""What an exposure sheet says in words, laid into its rows so that nothing has to be cut.

A row is too low for two lines. What does not fit beside its frame goes on in the next rows, as
far as nothing else stands in them; a speaker's name moves to the row above, or becomes initials.
A shape of the mouth stays in its row, where it holds, and is lettered smaller.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import pairwise

from animatic.sheets.exposure import GOES_ON, Exposed
from animatic.sheets.rows import one_line

__all__ = ["effects", "flowed", "mouths", "short_names", "spoken", "whole_words"]

Cells = dict[int, str]
"""Words by the index of their row."""


def effects(rows: Sequence[Exposed]) -> Cells:
    """Return the effects that start, by row."""
    return {at: ", ".join(map(one_line, row.effects)) for at, row in enumerate(rows) if row.effects}


def mouths(rows: Sequence[Exposed]) -> Cells:
    """Return the shapes of the mouth that begin, by row; whose they are where two are heard."""
    short = short_names(said.speaker for row in rows for said in row.said)
    crowded = {said.line for row in rows if len(row.said) > 1 for said in row.said}
    found: Cells = {}
    for at, row in enumerate(rows):
        begun = [said for said in row.said if said.mouth not in ("", GOES_ON)]
        parts = [
            f"{short[said.speaker]} {said.mouth}"
            if said.line in crowded and said.speaker
            else said.mouth
            for said in begun
        ]
        if parts:
            found[at] = " / ".join(parts)
    return found


def whole_words(rows: Sequence[Exposed]) -> Cells:
    """Return the words that begin, by row, each line's first one with its speaker before it."""
    return {at: words for at, row in enumerate(rows) if (words := _said(row))}


def _said(row: Exposed, names: Mapping[str, str] | None = None) -> str:
    """Return what begins in a row, its speakers by their names or by shorter ones."""
    parts = []
    for said in row.said:
        if not said.goes_on or said.who:
            who = one_line(said.who if names is None else names.get(said.who, said.who))
            word = one_line(said.word)
            parts.append(f"{who}: {word}".strip() if who else word)
    return " / ".join(filter(None, parts))


def spoken(
    rows: Sequence[Exposed],
    a_page: int,
    names: Mapping[str, str],
    fits: Callable[[str], bool],
) -> Cells:
    """Return the words that begin, by row; `a_page` is the count of rows on a page.

    A speaker that does not fit beside the word stands in the row above, where that is free and
    on the same page; else `names` gives what stands for the name.
    """
    cells = whole_words(rows)
    for at, words in list(cells.items()):
        if fits(words):
            continue
        speakers = [said.who for said in rows[at].said if said.who]
        name = f"{one_line(speakers[0])}:" if len(speakers) == 1 else ""
        is_free = at % a_page > 0 and not rows[at - 1].said and at - 1 not in cells
        if name and is_free and fits(name) and rows[at].said[0].who:
            cells[at - 1] = name
            cells[at] = words.removeprefix(name).strip()
        else:
            cells[at] = _said(rows[at], names)
    return cells


def flowed(
    cells: Mapping[int, str],
    count: int,
    wrap: Callable[[str], Sequence[str]],
    moved: Callable[[int, str], str] | None = None,
) -> Cells:
    """Return the words of `count` rows with what does not fit in the free rows after its own.

    Where another row's words or the end come first, those move to the next free rows, or before
    the end, where `moved` says how they then tell their own row. Without it, or where all rows
    are full, what is left stands in the last free row, to be lettered smaller.

    >>> flowed({0: "gulls, bell", 3: "wind, sea"}, 4, str.split)
    {0: 'gulls,', 1: 'bell', 3: 'wind, sea'}
    >>> flowed({0: "gulls, bell", 1: "wind"}, 4, str.split, lambda at, words: f"{at}:{words}")
    {0: 'gulls,', 1: 'bell', 2: '1:wind'}
    >>> flowed({}, 4, str.split)
    {}
    """
    found: Cells = {}
    if moved and (placed := _placed(cells, count, wrap, moved)):
        for start, lines in placed:
            found |= {start + index: line for index, line in enumerate(lines)}
        return found
    for at, end in pairwise([*sorted(cells), count]):
        lines = list(wrap(cells[at]))
        room = end - at
        kept = lines if len(lines) <= room else [*lines[: room - 1], " ".join(lines[room - 1 :])]
        found |= {at + index: line for index, line in enumerate(kept)}
    return found


def _placed(
    cells: Mapping[int, str],
    count: int,
    wrap: Callable[[str], Sequence[str]],
    moved: Callable[[int, str], str],
) -> list[tuple[int, Sequence[str]]]:
    """Return each cell's first row and lines, none over another; empty where there is no room."""
    starts = sorted(cells)
    own = {at: wrap(cells[at]) for at in starts}
    away = {at: wrap(moved(at, cells[at])) for at in starts}
    first, free = {}, 0
    for at in starts:
        first[at] = max(at, free)
        free = first[at] + len(own[at] if first[at] == at else away[at])
    end = count
    for at in reversed(starts):
        height = len(own[at] if first[at] == at else away[at])
        if first[at] + height > end:
            first[at] = end - len(away[at])
        end = first[at]
    lines = [(first[at], own[at] if first[at] == at else away[at]) for at in starts]
    return lines if end >= 0 else []


def short_names(names: Iterable[str]) -> dict[str, str]:
    """Return initials by name; where two names share them, the first letters that differ.

    >>> short_names(["Harbour master", "Odd", "Grandmother", "Grandfather"])
    {'Harbour master': 'HM', 'Odd': 'O', 'Grandmother': 'Grandm.', 'Grandfather': 'Grandf.'}
    """
    listed = list(dict.fromkeys(filter(None, names)))
    initials = {name: "".join(word[0] for word in name.split()).upper() for name in listed}
    taken = list(initials.values())
    return {
        name: short if taken.count(short) == 1 else _prefix(name, listed)
        for name, short in initials.items()
    }


def _prefix(name: str, names: Sequence[str]) -> str:
    others = [other for other in names if other != name]
    for end in range(1, len(name)):
        if not any(other.startswith(name[:end]) for other in others):
            return f"{name[:end]}."
    return name
