"""What a change in the board changes in the film: shot by shot, in frames and poses."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from animatic.timeline.differences import Laid, film_differences, shot_differences
from animatic.timeline.model import Shot, Timeline

__all__ = ["Change", "Comparison", "compare"]

Kind = Literal["added", "gone", "moved", "longer", "shorter", "changed", "same"]


@dataclass(frozen=True, slots=True)
class Change:
    """One shot in the old film and the new one; None where it is not there.

    `kinds` has every way in which it differs; `what` names what else is different, by the
    board's own keys.
    """

    name: str
    old: Shot | None
    new: Shot | None
    kinds: tuple[Kind, ...]
    what: tuple[str, ...] = ()

    @property
    def frames(self) -> int:
        """Frames gained (or lost, below 0) from cut to cut."""
        return _frames(self.new) - _frames(self.old)

    @property
    def poses(self) -> int:
        """Poses to set more (or fewer, below 0)."""
        return _poses(self.new) - _poses(self.old)


def _frames(shot: Shot | None) -> int:
    return shot.frames if shot is not None else 0


def _poses(shot: Shot | None) -> int:
    return shot.poses if shot is not None else 0


@dataclass(frozen=True, slots=True)
class Comparison:
    """Every shot of two films, in the new one's order; shots that are gone where they were."""

    old: Timeline
    new: Timeline
    changes: tuple[Change, ...]
    what: tuple[str, ...] = ()
    """What else is different that no single shot says, by the board's own keys."""

    @property
    def is_none(self) -> bool:
        """Whether nothing at all is different."""
        return not self.differing and not self.what

    @property
    def frames(self) -> int:
        """Frames that the film gains."""
        return self.new.frames - self.old.frames

    @property
    def poses(self) -> int:
        """Poses to set more."""
        return sum(change.poses for change in self.changes)

    @property
    def differing(self) -> tuple[Change, ...]:
        """The shots that are not the same."""
        return tuple(change for change in self.changes if change.kinds != ("same",))


def compare(old: Laid, new: Laid) -> Comparison:
    """Return how two films differ; shots are the same shot where their names are.

    >>> from pathlib import Path
    >>> from animatic.board import read_board
    >>> from animatic.timeline import lay_out
    >>> from animatic.timeline.excerpt import excerpt
    >>> board = read_board(Path("demo_board"))
    >>> film = lay_out(board)
    >>> changes = compare((board, film), (board, excerpt(film, None, "150")))
    >>> [(one.name, one.kinds) for one in changes.differing], changes.frames
    ([('160', ('gone',))], -192)
    """
    (old_board, old_film), (new_board, new_film) = old, new
    before = {shot.name: shot for shot in old_film.shots}
    after = {shot.name: shot for shot in new_film.shots}
    moved = _moved(list(before), list(after))
    changes: list[Change] = []
    for shot in new_film.shots:
        was = before.get(shot.name)
        what = shot_differences(old, was, new, shot) if was is not None else ()
        changes.append(_change(was, shot, shot.name in moved, what))
    for shot in old_film.shots:
        if shot.name not in after:
            changes.insert(
                _place_of_gone(shot, old_film, changes), Change(shot.name, shot, None, ("gone",))
            )
    what = film_differences(old_board, new_board)
    return Comparison(old_film, new_film, tuple(changes), what)


def _place_of_gone(shot: Shot, old: Timeline, changes: Sequence[Change]) -> int:
    """Return where a shot that is gone is listed: after the one that it followed."""
    if shot.index == 0:
        return 0
    before = old.shots[shot.index - 1].name
    return next(i for i, change in enumerate(changes, 1) if change.name == before)


def _change(old: Shot | None, new: Shot, is_moved: bool, what: tuple[str, ...]) -> Change:
    if old is None:
        return Change(new.name, None, new, ("added",))
    kinds: list[Kind] = []
    if is_moved:
        kinds.append("moved")
    if new.frames != old.frames:
        kinds.append("longer" if new.frames > old.frames else "shorter")
    if what:
        kinds.append("changed")
    return Change(new.name, old, new, tuple(kinds) or ("same",), what)


def _moved(before: Sequence[str], after: Sequence[str]) -> set[str]:
    """Return the shots that changed places: the fewest whose removal leaves one order.

    >>> sorted(_moved(["1", "2", "3", "4"], ["1", "4", "2", "3"]))
    ['4']
    """
    position = {name: index for index, name in enumerate(before)}
    common = [name for name in after if name in position]
    # The longest run that is still in the old order stays; the rest has moved.
    tails: list[int] = []
    links: list[int | None] = []
    at: list[int] = []
    for index, name in enumerate(common):
        place = bisect_left(tails, position[name])
        links.append(at[place - 1] if place else None)
        tails[place : place + 1] = [position[name]]
        at[place : place + 1] = [index]
    stays: set[str] = set()
    step = at[-1] if at else None
    while step is not None:
        stays.add(common[step])
        step = links[step]
    return set(common) - stays
