"""Evening the photos of a setup: how far the light of each is raised or brought down.

A setup has one camera and its lights stay, so its photos should agree, and differ only by what
the camera's automatics did. Two photos that show the same view are compared place by place:
what most places agree on is the exposure, and a puppet that came in is a minority that does
not count. Views are compared by what the camera wrote down of its exposures; where it wrote
nothing, by the middle of their lights, and then only what is over a stop and a half: less may
well be the subject. The photo in the middle is the measure: it stays, and the others come to it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from animatic.board import Board
from animatic.board.light import BLACK, BURNT, Light, evened_photos
from animatic.srgb import Gains

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Lights = NDArray[np.float64]
    """Hundredths of a stop of places (rows) in red, green and blue; NaN where it is unknown."""

__all__ = ["MOST_COLOUR", "MOST_EXPOSURE", "Levelled", "levels"]

MOST_EXPOSURE, MOST_COLOUR = 150, 50
"""Hundredths of a stop: no photo is raised by more, and no colour against the others."""
_MOST_GUESSED = 75
"""Nor is a view, where the camera wrote nothing down and what it shows may be darker itself."""
_LEAST = 3
"""A photo that is nearer than this (2 % of light) stays as it is, to the bit."""
_TOLD = 10
"""Hundredths of a stop that are worth a line."""
_FEWEST = 24
"""Places that two photos must both show to be compared."""
_SAME_VIEW = 20
"""In one view half of the places agree within so much."""
_LEAST_CONTRAST = 12
"""Standard deviation of what agrees, below which it says nothing."""
_USUAL_SPREAD = 150
"""Views differ by so much because of what they show: 1.34 stops in one lit scene (measured)."""
_WEIGHTS = (0.2126, 0.7152, 0.0722)
"""Of red, green and blue in brightness (Rec. ITU-R BT.709)."""


@dataclass(frozen=True, slots=True)
class Levelled:
    """A photo of a setup that is evened, and what it is raised by."""

    setup: str
    photo: str
    """As the board names it."""
    gains: Gains
    exposure: int
    """The part of `gains` that all colours share, in hundredths of a stop."""
    wanted: int
    """The exposure that would have evened it, without a limit."""

    @property
    def colours(self) -> Gains:
        """What each colour is raised by against the exposure."""
        red, green, blue = (gain - self.exposure for gain in self.gains)
        return red, green, blue

    @property
    def is_limited(self) -> bool:
        """Whether it would have needed more than is given."""
        return self.wanted != self.exposure

    def as_dict(self) -> dict[str, object]:
        """Return it for JSON, in stops."""
        red, green, blue = self.colours
        return {
            "photo": self.photo,
            "setup": self.setup,
            "stops": self.exposure / 100,
            "red": red / 100,
            "green": green / 100,
            "blue": blue / 100,
            "wanted": self.wanted / 100,
        }

    def __str__(self) -> str:
        way = "up" if self.exposure >= 0 else "down"
        words = f"{self.photo}: brought {way} by {abs(self.exposure) / 100:.2f} stop"
        colours = zip(("red", "green", "blue"), self.colours, strict=True)
        shown = [f"{name} {gain / 100:+.2f}" for name, gain in colours if abs(gain) >= _TOLD]
        return f"{words}{''.join(', ' + one for one in shown)}, to even setup {self.setup}"

    @property
    def is_told(self) -> bool:
        """Whether it is so much that people may like to know."""
        return max(abs(self.exposure), *(abs(gain) for gain in self.colours)) >= _TOLD


def levels(board: Board) -> tuple[Levelled, ...]:
    """Return every photo of the setups that are evened, setup by setup in the board's order.

    The same whatever order the panels have; a photo counts once, however often it is shown.
    """
    found: list[Levelled] = []
    for setup, photos in evened_photos(board.content).items():
        paths = {photo: board.path(photo) for photo in photos}
        known = board.media.lights
        lights = {photo: known[path] for photo, path in paths.items() if path in known}
        names = sorted(lights)
        made = dict(zip(names, _evened(tuple(lights[name] for name in names)), strict=True))
        found += [_levelled(setup, photo, made[photo]) for photo in photos if photo in made]
    return tuple(found)


def _levelled(setup: str, photo: str, wanted: tuple[float, float, float]) -> Levelled:
    exposure = sum(part * weight for part, weight in zip(wanted, _WEIGHTS, strict=True))
    given = round(min(MOST_EXPOSURE, max(-MOST_EXPOSURE, exposure)))
    colours = (min(MOST_COLOUR, max(-MOST_COLOUR, round(part - exposure))) for part in wanted)
    red, green, blue = (given + colour for colour in colours)
    gains = (red, green, blue)
    if max(abs(gain) for gain in gains) < _LEAST:
        return Levelled(setup, photo, (0, 0, 0), 0, 0)
    return Levelled(setup, photo, gains, given, round(exposure))


@dataclass(slots=True)
class _View:
    """Photos that show the same view: their numbers, and by how much each is brighter."""

    members: list[int]
    brighter: Lights
    """Of each member, against the one in the middle: a row of red, green, blue."""
    shown: Lights
    """What most members show at each place."""
    level: float = 0.0
    """How bright the one in the middle is, on a scale that all views share."""


@lru_cache(maxsize=64)
def _evened(lights: tuple[Light, ...]) -> list[tuple[float, float, float]]:
    """Return what each photo of a setup is raised by, without limits."""
    grids = [_grid(light) for light in lights]
    views = [_settled(grids, members) for members in _merged(grids, _views(grids))]
    exposures = [light.exposure for light in lights]
    _put_levels(views, grids, exposures)
    middle = _middle([view.level for view in views for _ in view.members])
    raises = [(0.0, 0.0, 0.0)] * len(lights)
    for view in views:
        off = view.level - middle
        if None in exposures:
            # What views usually differ by is the subject; beyond it is more likely exposure.
            over = min(_MOST_GUESSED, max(0.0, abs(off) - _USUAL_SPREAD))
            off = over if off > 0 else -over
        for number, brighter in zip(view.members, view.brighter, strict=True):
            red, green, blue = (-float(part) - off for part in brighter)
            raises[number] = (red, green, blue)
    return raises


def _grid(light: Light) -> Lights:
    """Return the lights of the places; BURNT and BLACK are kept apart as infinities."""
    import numpy as np

    grid = np.array(light.places, float).reshape(-1, 3)
    grid[grid == BURNT] = np.inf
    grid[grid == BLACK] = -np.inf
    return grid


def _views(grids: Sequence[Lights]) -> list[list[int]]:
    """Return the photos by what they show: each joins the first of the view it is nearest to."""
    found: list[list[int]] = []
    for number, grid in enumerate(grids):
        nearest = None
        for members in found:
            apart = _compared(grid, grids[members[0]])
            if apart is not None and (nearest is None or apart[1] < nearest[1]):
                nearest = members, apart[1]
        if nearest is None:
            found.append([number])
        else:
            nearest[0].append(number)
    return found


def _merged(grids: Sequence[Lights], views: list[list[int]]) -> list[list[int]]:
    """Return the views, with those joined that show the same once puppets are left out."""
    kept: list[tuple[list[int], Lights]] = []
    for members in sorted(views, key=len, reverse=True):
        shown = _settled(grids, members).shown
        same = next((view for view in kept if _compared(shown, view[1]) is not None), None)
        if same is None:
            kept.append((members, shown))
        else:
            same[0].extend(members)
    return [sorted(members) for members, _ in kept]


def _compared(one: Lights, other: Lights) -> tuple[Lights, float] | None:
    """Return by how much one photo is brighter, and how far its places disagree about it.

    None where they do not show the same view.
    """
    import numpy as np

    known = np.isfinite(one).all(axis=1) & np.isfinite(other).all(axis=1)
    if known.sum() < _FEWEST:
        return None
    one, other = one[known], other[known]
    apart = one - other
    bright = apart @ _WEIGHTS
    middle, spread = _agreed(bright)
    near = np.abs(bright - middle) <= max(8.0, 2 * spread)
    # Bare walls agree whatever they belong to: what agrees must have some drawing.
    contrast = float(np.std(one[near] @ _WEIGHTS))
    if contrast < _LEAST_CONTRAST or spread > min(_SAME_VIEW, contrast / 4):
        return None
    return np.median(apart[near], axis=0), spread


def _agreed(values: Lights) -> tuple[float, float]:
    """Return the middle of the shortest stretch that holds half of the values, and half of it.

    Up to half of them may be anything at all: a median is drawn to the side that they are on.
    """
    import numpy as np

    ranked = np.sort(values)
    half = len(ranked) // 2
    lengths = ranked[half:] - ranked[: len(ranked) - half]
    first = int(np.argmin(lengths))
    return float(ranked[first] + ranked[first + half]) / 2, float(lengths[first]) / 2


def _settled(grids: Sequence[Lights], members: list[int]) -> _View:
    """Return a view with its photos compared to what most of them show at each place."""
    import numpy as np

    shown = grids[members[0]]
    brighter = np.zeros((len(members), 3))
    for _ in range(3 if len(members) > 1 else 0):
        for row, member in enumerate(members):
            found = _compared(grids[member], shown)
            if found is not None:
                brighter[row] = found[0]
        shown = _most(np.stack([grids[m] - b for m, b in zip(members, brighter, strict=True)]))
    # In each colour the photo in the middle is the measure.
    middles = np.array([_middle(column) for column in brighter.T])
    return _View(members, brighter - middles, shown)


def _most(shown: Lights) -> Lights:
    """Return the median of several photos at each place, infinities left out where possible."""
    import numpy as np

    ranked = np.sort(np.where(np.isfinite(shown), shown, np.inf), axis=0)
    known = np.isfinite(ranked).sum(axis=0)
    low, high = (np.maximum(known - 1, 0) // 2, np.maximum(known, 1) // 2)
    pair = np.take_along_axis(ranked, np.stack([low, high]), axis=0)
    return np.asarray(pair.sum(axis=0) / 2, float)


def _middle(values: Sequence[float] | Lights) -> float:
    """Return the value in the middle, one of them: of two in the middle the higher."""
    return float(sorted(values)[len(values) // 2])


def _put_levels(
    views: Sequence[_View], grids: Sequence[Lights], exposures: Sequence[int | None]
) -> None:
    """Say how bright each view's middle photo is: by the camera's word, else by its light."""
    import numpy as np

    for view in views:
        offs = view.brighter @ _WEIGHTS
        if None in exposures:
            # Places that are burnt out or black count in the middle of all lights as well.
            lights = [float(np.median(_bright(grids[m]))) for m in view.members]
        else:
            lights = [float(exposures[m] or 0) for m in view.members]
        view.level = _middle([light - off for light, off in zip(lights, offs, strict=True)])


def _bright(grid: Lights) -> Lights:
    import numpy as np

    held = np.clip(grid, BLACK, 0)
    return np.asarray(held @ _WEIGHTS, float)
