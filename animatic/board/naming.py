"""Music that names shots which a new order of the panels takes away or turns round."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from animatic.board.edits.edit import Change, edited
from animatic.board.keys.schema import MusicEntry
from animatic.board.read import Board
from animatic.board.text.yamltree import KeyPath, key_words, parse
from animatic.errors import Problem

__all__ = ["misnamed", "with_names_that_hold"]

_End = Literal["from", "until"]
_OUTERMOST: tuple[tuple[_End, int], ...] = (("from", 0), ("until", -1))
"""The ends of a piece, and where in the film they lie if the board does not say it."""


def misnamed(board: Board, data: bytes) -> list[Problem]:
    """Return where the music of a board names shots that do not fit the new order in `data`.

    The places are those in the board as it is, where they can be mended before it is written.
    """
    before = _shots([entry.shot for entry in board.content.panels])
    after = _shots(_names(data, str(board.file)))
    return [
        problem
        for number, music in enumerate(board.content.music)
        for problem in _of_music(board, number, music, before, after)
    ]


def with_names_that_hold(data: bytes, problems: Sequence[Problem], file: str) -> bytes:
    """Return the board with the music under the whole film instead, so that it can be shown."""
    shots = _shots(_names(data, file))
    ends: dict[str, str] = {"from": shots[0], "until": shots[-1]}
    keys = {problem.key for problem in problems}
    changes = []
    for number, written in enumerate(parse(data, file).root.get("music") or []):
        for word in (end for end in ends if end in written):
            path: KeyPath = ("music", number, word)
            if keys & {key_words(("music", number, *end)) for end in ((), ("from",), ("until",))}:
                changes.append(Change(path, f"shot {ends[word]}"))
    return edited(data, changes, file)


def _names(data: bytes, file: str) -> list[str | None]:
    return [entry.get("shot") for entry in parse(data, file).root["panels"]]


def _shots(names: Sequence[str | None]) -> list[str]:
    """Return the shots in order, of what the panels say."""
    return list(dict.fromkeys(name.strip() for name in names if name is not None))


def _of_music(
    board: Board, number: int, music: MusicEntry, before: list[str], after: list[str]
) -> Iterator[Problem]:
    named: dict[_End, str | None] = {"from": music.from_, "until": music.until}
    if not any(named.values()):
        return
    first, last = (before.index(named[end] or before[at]) for end, at in _OUTERMOST)
    if not set(before[first : last + 1]) & set(after):
        found = f"this order parks all shots that {music.file} plays under"
        hint = "take the piece out of the music, or keep a card of them in the order"
        key: KeyPath = ("music", number)
        yield Problem(board.place(key), key_words(key), found, hint=hint)
        return
    gone: list[_End] = [end for end, shot in named.items() if shot and shot not in after]
    for end in gone:
        shot = named[end] or ""
        cards = [str(n) for n, one in enumerate(_homes(board), 1) if one == shot]
        word = "card" if len(cards) == 1 else "one of the cards"
        found = f"this order parks shot {shot}"
        close = _nearest(end, shot, before, after)
        hint = f"write {end}: shot {close}, or keep {word} {', '.join(cards)} in the order"
        yield _problem(board, number, end, found, hint)
    if gone or not music.from_ or not music.until:
        return
    if after.index(music.until) < after.index(music.from_):
        found = f"in this order shot {music.until} comes before shot {music.from_}"
        hint = f"write from: shot {music.until} and until: shot {music.from_}, or other shots"
        yield _problem(board, number, "until", found, hint)


def _problem(board: Board, number: int, end: _End, found: str, hint: str) -> Problem:
    key: KeyPath = ("music", number, end)
    return Problem(board.place(key), key_words(key), found, hint=hint)


def _homes(board: Board) -> Iterator[str | None]:
    """Yield the shot of each panel."""
    shot: str | None = None
    for entry in board.content.panels:
        shot = entry.shot or shot
        yield shot


def _nearest(end: _End, shot: str, before: list[str], after: list[str]) -> str:
    """Return the nearest shot under the same piece that is still there."""
    at = before.index(shot)
    inward = before[at + 1 :] if end == "from" else before[:at][::-1]
    return next(name for name in inward if name in after)
