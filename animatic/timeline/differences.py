"""What two boards say differently, beside the lengths and the order of shots: in words.

Every key of the board counts that a paper or the film can show, so a key that is added to the
board is compared as well. Words are the board's own keys, from the outermost in: `note`,
`dialogue level`, `setups quay-day lens`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import BaseModel

from animatic.board import Board
from animatic.board.keys.durations import Duration
from animatic.frames import Rate
from animatic.timeline.model import Shot, Timeline

__all__ = ["Laid", "film_differences", "shot_differences"]

Laid = tuple[Board, Timeline]
"""A board and what it was laid out as."""

_LENGTHS = ("duration", "shortest", "lock", "defaults")
"""What only decides lengths, which are told in frames."""
_OF_SHOTS = ("panels", "parked", "shoot_on", "handles", "board", "outside")
"""What is told of each shot, or of none."""
_TAKEN_OVER = ("shot", "size", "setup", "shoot_on")
"""What a panel may take over from its shot: told by what holds, not by what is written."""


def film_differences(old: Board, new: Board) -> tuple[str, ...]:
    """Return what differs in all that no single shot says."""
    pair = [
        {
            key: value
            for key, value in _plain(board.content, Rate.named(board.content.rate)).items()
            if key not in _LENGTHS and key not in _OF_SHOTS
        }
        for board in (old, new)
    ]
    was, now = pair
    told, was["music"], now["music"] = _music_differences(was["music"], now["music"])
    return (*_words(was, now), *told)


_Pieces = list[dict[str, Any]]


def _music_differences(old: _Pieces, new: _Pieces) -> tuple[list[str], _Pieces, _Pieces]:
    """Return what is said of pieces that were parked or came back, and the music to compare.

    Music that is parked before and after is in neither film.
    """
    if len(old) != len(new):
        was, now = ([piece for piece in music if not piece["parked"]] for music in (old, new))
        return [], was, now
    pairs = [
        ({**was, "parked": False}, {**now, "parked": False}, was["parked"], now["parked"])
        for was, now in zip(old, new, strict=True)
        if not (was["parked"] and now["parked"])
    ]
    told = [
        f"music {now['file']} {'parked' if is_parked else 'back'}"
        for _, now, was_parked, is_parked in pairs
        if was_parked != is_parked
    ]
    return told, [was for was, *_ in pairs], [now for _, now, *_ in pairs]


def shot_differences(old: Laid, before: Shot, new: Laid, after: Shot) -> tuple[str, ...]:
    """Return what differs in a shot beside its place and its length."""
    was, now = _told(*old, before), _told(*new, after)
    if before.frames != after.frames:
        # Where the panels end is then no news.
        was["panel lengths"] = now["panel lengths"] = []
    if len(before.panels) == len(after.panels):
        return _words(was, now)
    return ("panels", *_words(_gathered(was), _gathered(now)))


def _gathered(told: Mapping[str, Any]) -> dict[str, Any]:
    """Return what is said of a shot whichever of its panels says it, each value once."""
    found: dict[str, Any] = {}
    for key, said in told.items():
        if isinstance(said, list):
            said = [one for n, one in enumerate(said) if one and one not in said[:n]]
        if key != "panel lengths":
            found[key] = said
    return found


def _told(board: Board, timeline: Timeline, shot: Shot) -> dict[str, Any]:
    """Return what is said of a shot, by the words that name it; of its panels as lists."""
    entries = [_plain(board.content.panels[panel.index], timeline.rate) for panel in shot.panels]
    keys = [k for k in entries[0] if k not in _LENGTHS and k not in _TAKEN_OVER]
    return {
        "setup": shot.setup,
        "size": [panel.size for panel in shot.panels],
        "shoot_on": [panel.shoot_on for panel in shot.panels],
        **{key: [entry[key] for entry in entries] for key in keys},
        "handles": shot.handles,
        "overlaps": (shot.overlap_head, shot.overlap_tail),
        "panel lengths": [panel.frames for panel in shot.panels],
    }


def _plain(value: Any, rate: Rate) -> Any:
    """Return a value of the board as plain mappings, lists and exact numbers."""
    if isinstance(value, Duration):
        return value.in_seconds(rate)
    if isinstance(value, BaseModel):
        fields = type(value).model_fields
        return {f.alias or name: _plain(getattr(value, name), rate) for name, f in fields.items()}
    if isinstance(value, Mapping):
        return {key: _plain(inner, rate) for key, inner in value.items()}
    if isinstance(value, list):
        return [_plain(inner, rate) for inner in value]
    return value


def _words(old: Mapping[str, Any], new: Mapping[str, Any]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(" ".join(path) for path in _paths(old, new)))


def _paths(old: Any, new: Any) -> Iterator[tuple[str, ...]]:
    """Yield the keys, from the outermost in, under which two values differ.

    >>> list(_paths({"a": [{"b": 1, "c": 2}], "d": 3}, {"a": [{"b": 0, "c": 2}], "d": 4}))
    [('a', 'b'), ('d',)]
    """
    if isinstance(old, Mapping) and isinstance(new, Mapping):
        for key in {**old, **new}:
            if key in old and key in new:
                yield from ((key, *path) for path in _paths(old[key], new[key]))
            else:
                yield (key,)
    elif isinstance(old, list) and isinstance(new, list) and len(old) == len(new):
        for one, other in zip(old, new, strict=True):
            yield from _paths(one, other)
    elif old != new:
        yield ()
