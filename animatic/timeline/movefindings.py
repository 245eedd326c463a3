"""What of the framing's moves is worth a look."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from animatic.timeline.finding import Checked, Finder, Finding, panel_key
from animatic.timeline.framing import framing_at
from animatic.timeline.model import Panel

__all__ = ["MOVE_FINDERS"]

_SEEN = 0.01
"""Parts of the photo's side that a framing jumps by before it is seen to."""

_Sides = tuple[float, float, float]


def _jumping_moves(checked: Checked) -> Iterator[Finding]:
    """A move within a shot that the panel before or after it does not meet."""
    for shot in checked.timeline.shots:
        for before, after in pairwise(shot.panels):
            if before.move is None and after.move is None:
                continue
            left, begun = (
                _framed(checked, before, before.frames - 1),
                _framed(checked, after, 0),
            )
            if max(abs(a - b) for a, b in zip(left, begun, strict=True)) <= _SEEN:
                continue
            what = (
                f"within the shot the framing jumps, from {_words(left)}, at the end of panel"
                f" {before.number} to {_words(begun)}"
            )
            ways = ["give it the crop that the move before it ends on"] * (before.move is not None)
            ways += ["end the panel before it where its move begins"] * (before.move is None)
            hint = f"{ways[0]}, or let a new shot begin here; leave it where the photo was taken so"
            yield checked.finding("move", shot.name, panel_key(after), what, hint)


def _framed(checked: Checked, panel: Panel, frame: int) -> _Sides:
    """Return left, top and width of what a frame shows, in parts of the photo's sides as seen."""
    left, top, right, _ = framing_at(panel, checked.timeline.size, frame).source
    width, height = panel.photo_size
    seen = width - right if panel.mirror else left
    return seen / width, top / height, (right - left) / width


def _words(sides: _Sides) -> str:
    left, top, width = (f"{100 * side:.0f}" for side in sides)
    return f"{width} % of the photo's width, {left} % from the left and {top} % from the top"


MOVE_FINDERS: tuple[Finder, ...] = (_jumping_moves,)
