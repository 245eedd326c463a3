"""Where the picture stands still: rests of the framing, over the panels of a shot."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from animatic.timeline.framing import Framing, framing_at
from animatic.timeline.model import Panel, Shot

__all__ = ["Hold", "holds"]

LEAST_TRAVEL = 1.0
"""Pixels of the picture; a framing that travels less is not seen to move (common practice)."""


@dataclass(frozen=True, slots=True)
class Hold:
    """Film frames [start, end) of one shot that show one picture, and the panels they lie in."""

    start: int
    end: int
    first: Panel
    last: Panel
    framing: Framing

    @property
    def frames(self) -> int:
        """How long it stands."""
        return self.end - self.start


def holds(shot: Shot, canvas: tuple[int, int]) -> list[Hold]:
    """Return the holds of a shot in order, each as long as can be; `canvas` in pixels.

    A panel that shows what the one before it shows, the same photo in the same framing, goes
    on with its hold. The words over the picture do not count, nor do dissolves and fades.
    """
    found: list[Hold] = []
    for rest in (rest for panel in shot.panels for rest in _rests(panel, canvas)):
        if found and found[-1].end == rest.start and _goes_on(found[-1], rest):
            found[-1] = replace(found[-1], end=rest.end, last=rest.last)
        else:
            found.append(rest)
    return found


def _rests(panel: Panel, canvas: tuple[int, int]) -> Iterator[Hold]:
    """Yield the stretches of a panel in which its framing rests; none where it was shot."""
    if panel.take is not None:
        return
    begin = framing_at(panel, canvas, 0)
    move = panel.move
    if move is None or _is_alike(begin, end := framing_at(panel, canvas, move.last)):
        yield Hold(panel.start, panel.end, panel, panel, begin)
        return
    # Frame `first` still shows where the move begins, frame `last` already where it ends.
    yield Hold(panel.start, panel.start + move.first + 1, panel, panel, begin)
    yield Hold(panel.start + move.last, panel.end, panel, panel, end)


def _goes_on(hold: Hold, rest: Hold) -> bool:
    before, after = hold.last, rest.first
    return (
        before.photo == after.photo
        and before.mirror == after.mirror
        and before.gains == after.gains
        and _is_alike(hold.framing, rest.framing)
    )


def _is_alike(one: Framing, other: Framing) -> bool:
    """Return whether no edge of the picture lies a pixel or more from where it was."""
    scale = (one.target[2] - one.target[0]) / (one.source[2] - one.source[0])
    return all(
        abs(a - b) < LEAST_TRAVEL for a, b in zip(one.target, other.target, strict=True)
    ) and all(
        abs(a - b) * scale < LEAST_TRAVEL for a, b in zip(one.source, other.source, strict=True)
    )
