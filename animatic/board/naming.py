"""Music that names shots which a new order of the panels takes away or turns round."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from animatic.board.edits.edit import Change, Removal, edited
from animatic.board.keys.schema import MusicEntry
from animatic.board.read import Board
from animatic.board.text.yamltree import KeyPath, key_words, parse
from animatic.errors import Problem

__all__ = ["MusicChange", "with_music"]

_End = Literal["from", "until"]
_ENDS: tuple[_End, ...] = ("from", "until")


@dataclass(frozen=True, slots=True)
class MusicChange:
    """What a new order makes of the shots that a piece of music plays from and until."""

    path: KeyPath
    file: str
    was: str
    now: str

    def __str__(self) -> str:
        return f"music {self.file}: {self.path[-1]}: {self.was} becomes {self.path[-1]}: {self.now}"


def with_music(board: Board, data: bytes) -> tuple[bytes, list[MusicChange], list[Problem]]:
    """Return the board in its new order with music that still plays, and what that changes.

    Where the order turns a piece's ends round, they change places; in the place of a shot that
    it parks stands the nearest one under the piece that it keeps. A piece of which it parks all
    shots is a problem: no music goes unsaid. To be shown, it plays under the whole film.
    """
    before = _shots([entry.shot for entry in board.content.panels])
    after = _shots(_names(data, str(board.file)))
    changes: list[MusicChange] = []
    problems: list[Problem] = []
    edits: list[Change | Removal] = []
    for number, music in enumerate(board.content.music):
        found = _of_music(board, number, music, before, after)
        if isinstance(found, Problem):
            problems.append(found)
            ends = (("from", music.from_, after[0]), ("until", music.until, after[-1]))
            edits += [Change(("music", number, e), f"shot {now}") for e, was, now in ends if was]
        else:
            changes += found
    edits += [Change(change.path, change.now) for change in changes]
    return (edited(data, edits, str(board.file)) if edits else data), changes, problems


def _names(data: bytes, file: str) -> list[str | None]:
    return [entry.get("shot") for entry in parse(data, file).root["panels"]]


def _shots(names: Sequence[str | None]) -> list[str]:
    """Return the shots in order, of what the panels say."""
    return list(dict.fromkeys(name.strip() for name in names if name is not None))


def _of_music(
    board: Board, number: int, music: MusicEntry, before: list[str], after: list[str]
) -> list[MusicChange] | Problem:
    named: dict[_End, str] = {}
    for end, shot in zip(_ENDS, (music.from_, music.until), strict=True):
        if shot is not None:
            named[end] = shot
    if not named:
        return []
    first = before.index(named.get("from", before[0]))
    last = before.index(named.get("until", before[-1]))
    if not set(before[first : last + 1]) & set(after):
        key: KeyPath = ("music", number)
        found = f"this order parks all shots that {music.file} plays under"
        hint = "take the piece out of the music, or keep a card of them in the order"
        return Problem(board.place(key), key_words(key), found, hint=hint)
    wanted = {
        end: shot if shot in after else _nearest(end, shot, before, after)
        for end, shot in named.items()
    }
    if len(wanted) == 2 and after.index(wanted["until"]) < after.index(wanted["from"]):
        wanted = {"from": wanted["until"], "until": wanted["from"]}
    return [
        MusicChange(("music", number, end), music.file, f"shot {shot}", f"shot {wanted[end]}")
        for end, shot in named.items()
        if wanted[end] != shot
    ]


def _nearest(end: _End, shot: str, before: list[str], after: list[str]) -> str:
    """Return the nearest shot under the same piece that is still there."""
    at = before.index(shot)
    inward = before[at + 1 :] if end == "from" else before[:at][::-1]
    return next(name for name in inward if name in after)
