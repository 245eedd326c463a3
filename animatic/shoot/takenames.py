"""Which take a folder or a file is, by its name and the board's `media` pattern."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from animatic.files import file_word
from animatic.timeline.model import Timeline

__all__ = ["TakeName", "match_names"]

_TAKE = "\0"
"""Stands where a name has the number of the take."""
_DIGITS = re.compile(r"[0-9]+")
_MOST_DIGITS = 9
_SUFFIX = re.compile(r"\.[A-Za-z][A-Za-z0-9]{1,4}$")


@dataclass(frozen=True, slots=True)
class TakeName:
    """The shot that a name says, and the number of the take; 1 where the pattern has none."""

    shot: str
    take: int


def match_names(timeline: Timeline, names: Iterable[str]) -> dict[str, TakeName | str]:
    """Return what each name says, or in words why it says nothing; suffixes are off already.

    Small and capital letters are the same unless shots differ by them; so are the two ways
    to write an accented letter (Unicode NFC and NFD), and zeros before a number.

    >>> from animatic.frames import Rate
    >>> from animatic.timeline.model import Panel, Shot
    >>> from pathlib import Path
    >>> panel = Panel(0, 1, "40", 0, 24, 2, Path("a.jpg"), (640, 360))
    >>> film = Timeline("", Rate.named("24"), (640, 360), (Shot(0, "40", "", (panel,), 0),))
    >>> match_names(film, ["40_take02", "notes"])["40_take02"]
    TakeName(shot='40', take=2)
    >>> match_names(film, ["notes"])["notes"]
    'it is of no shot of the board; a take of shot 40 is called 40_take1'
    """
    shots: dict[str, dict[str, str]] = {}
    # Written for the edit, the pattern may have an ending, as names of videos have.
    pattern = _SUFFIX.sub("", timeline.media)
    for shot in timeline.shots:
        for name in (shot.name, file_word(shot.name)):
            exact = _composed(pattern.replace("{take}", _TAKE).replace("{shot}", name))
            shots.setdefault(exact.casefold(), {})[shot.name] = exact
    has_take = "{take}" in timeline.media
    first = timeline.shots[0]
    called = f"a take of shot {first.name} is called {_SUFFIX.sub('', timeline.media_name(first))}"
    return {name: _meaning(shots, _composed(name), has_take, called) for name in names}


def _meaning(
    shots: dict[str, dict[str, str]], name: str, has_take: bool, called: str
) -> TakeName | str:
    found: dict[TakeName, bool] = {}
    for pattern, take in _readings(name, has_take):
        for shot, exact in shots.get(pattern.casefold(), {}).items():
            found[TakeName(shot, take)] = exact == pattern
    # Of the shots a and A, the one that is written just so is meant.
    meant = [one for one, is_exact in found.items() if is_exact] or list(found)
    if len(meant) == 1:
        return meant[0]
    if not meant:
        return f"it is of no shot of the board; {called}"
    said = " or ".join(f"take {one.take} of shot {one.shot}" for one in meant)
    return f"it could be {said}; change `media` in the board, and the name"


def _readings(name: str, has_take: bool) -> Iterator[tuple[str, int]]:
    """Yield a name with each of its numbers, and their ends, taken for that of the take."""
    if not has_take:
        yield name, 1
        return
    for run in _DIGITS.finditer(name):
        for start in range(run.start(), run.end()):
            for end in range(start + 1, min(run.end(), start + _MOST_DIGITS) + 1):
                number = name[start:end]
                yield name[:start] + _TAKE + name[end:], int(number)
        # A pattern may have the number in more than one place.
        if name.count(run[0]) > 1:
            yield name.replace(run[0], _TAKE), int(run[0])


def _composed(text: str) -> str:
    return unicodedata.normalize("NFC", text)
