"""Evening the photos of a setup: how far the light of each is raised or brought down.

The lights of a setup stay, so what its photos show should be as light in all of them, and differ
only by what the camera's automatics did. Photos that show the same, wholly or in part and from
wherever the camera stood, are compared by that (`views`). What is left are groups that show
nothing in common. They are compared by what the camera wrote down of its exposures; where it
wrote nothing, by the middle of their lights, and then only what is over a stop and a half: less
may well be the subject. The photo in the middle is the measure: it stays, and the others come
to it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import IntEnum
from functools import lru_cache
from hashlib import sha256
from typing import TYPE_CHECKING

from animatic.board import Board
from animatic.board.keypoints import look_for_keypoints
from animatic.board.light import Light, evened_photos
from animatic.board.media import Memory
from animatic.srgb import WEIGHTS, Gains
from animatic.timeline.views import Group, brightness, grid_of, grouped, middle_of

if TYPE_CHECKING:
    from pathlib import Path

    from animatic.board.keypoints import Keypoints
    from animatic.timeline.views import Lights

    Raise = tuple[float, float, float]

__all__ = ["MOST_COLOUR", "MOST_EXPOSURE", "Levelled", "Untold", "levels"]

MOST_EXPOSURE, MOST_COLOUR = 150, 50
"""Hundredths of a stop: no photo is raised by more, and no colour against the others."""
_MOST_GUESSED = 75
"""Nor is a group, where the camera wrote nothing down and what it shows may be darker itself."""
_LEAST = 3
"""A photo that is nearer than this (2 % of light) stays as it is, to the bit."""
_TOLD = 10
"""Hundredths of a stop that are worth a line."""
_APART = 33
"""Hundredths of a stop: cameras write exposures down in thirds (ISO 12232 and common practice)."""
_WAY = 6
"""Changes with the way photos are evened, so that what was kept of another way is not taken."""
_USUAL_SPREAD = 150
"""Groups differ by so much because of what they show: 1.34 stops in one lit scene (measured)."""


class Untold(IntEnum):
    """What nothing tells of a photo beside the others of its setup."""

    NOTHING = 0
    WHITE = 1
    EXPOSURE = 2
    """And its white with it."""


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
    untold: Untold = Untold.NOTHING
    """What nothing tells of it beside most of the setup's photos: they share nothing that they
    show, and not all hold how they were exposed, or that their white was held."""
    apart: int = 0
    """Hundredths of a stop that it shows more light (below 0: less) than the camera's word of its
    exposure says, beside the photos that it is compared with; 0 within a third of a stop."""

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
        """Return it for JSON, in stops; `untold` is what nothing tells: white, or exposure."""
        red, green, blue = self.colours
        return {
            "photo": self.photo,
            "setup": self.setup,
            "stops": self.exposure / 100,
            "red": red / 100,
            "green": green / 100,
            "blue": blue / 100,
            "wanted": self.wanted / 100,
            "untold": self.untold.name.lower() if self.untold else None,
            "apart": self.apart / 100,
        }

    def __str__(self) -> str:
        colours = zip(("red", "green", "blue"), self.colours, strict=True)
        shown = [f"{name} {gain / 100:+.2f}" for name, gain in colours if abs(gain) >= _TOLD]
        if shown and abs(self.exposure) < _LEAST:
            shown[0] += " stop"
        else:
            way = "up" if self.exposure >= 0 else "down"
            shown.insert(0, f"brought {way} by {abs(self.exposure) / 100:.2f} stop")
        return f"{self.photo}: {', '.join(shown)}, to even setup {self.setup}"

    @property
    def is_told(self) -> bool:
        """Whether it is so much that people may like to know."""
        return max(abs(self.exposure), *(abs(gain) for gain in self.colours)) >= _TOLD


def levels(
    board: Board, tell: Callable[[int, int], None] = lambda done, total: None
) -> tuple[Levelled, ...]:
    """Return every photo of the setups that are evened, setup by setup in the board's order.

    The same whatever order the panels have; a photo counts once, however often it is shown.
    Photos that are new take seconds: `tell` is told how many setups are done, and of how many.
    """
    found: list[Levelled] = []
    setups = evened_photos(board.content)
    for number, (setup, photos) in enumerate(setups.items()):
        tell(number, len(setups))
        known = board.media.lights
        paths = {photo: board.path(photo) for photo in photos if board.path(photo) in known}
        # One that the board names in two ways counts once.
        shown = tuple((path, known[path]) for path in sorted(set(paths.values())))
        made = dict(zip((path for path, _ in shown), _recalled(shown), strict=True))
        found += [_levelled(setup, photo, *made[path]) for photo, path in paths.items()]
    return tuple(found)


def _levelled(setup: str, photo: str, wanted: Gains, untold: Untold, apart: int) -> Levelled:
    exposure = sum(part * weight for part, weight in zip(wanted, WEIGHTS, strict=True))
    given = round(min(MOST_EXPOSURE, max(-MOST_EXPOSURE, exposure)))
    colours = (min(MOST_COLOUR, max(-MOST_COLOUR, round(part - exposure))) for part in wanted)
    red, green, blue = (given + colour for colour in colours)
    gains = (red, green, blue)
    if max(abs(gain) for gain in gains) < _LEAST:
        return Levelled(setup, photo, (0, 0, 0), 0, 0, untold, apart)
    return Levelled(setup, photo, gains, given, round(exposure), untold, apart)


@lru_cache(maxsize=64)
def _recalled(shown: tuple[tuple[Path, Light], ...]) -> list[tuple[Gains, Untold, int]]:
    """Return what each photo of a setup is raised by, without limits, what is untold of it, and
    how far apart it is from the camera's word.

    Comparing many views takes seconds: it is done once for the same photos.
    """
    memory = Memory("level.json")
    lights = [light for _, light in shown]
    key = sha256(repr((_WAY, lights)).encode()).hexdigest()
    numbers = memory.remember(key, 5 * len(shown), lambda: _numbers(_evened(shown)))
    memory.keep()
    rows = zip(*(numbers[part::5] for part in range(5)), strict=True)
    return [((red, green, blue), Untold(untold), apart) for red, green, blue, untold, apart in rows]


def _numbers(evened: Sequence[tuple[Raise, Untold, float]]) -> list[int]:
    return [round(n) for gains, untold, apart in evened for n in (*gains, untold, apart)]


def _evened(shown: Sequence[tuple[Path, Light]]) -> list[tuple[Raise, Untold, float]]:
    """Return by how many hundredths of a stop each photo is raised, and what else is kept of it."""
    lights = [light for _, light in shown]
    grids = [grid_of(light) for light in lights]

    def find(numbers: Sequence[int]) -> list[Keypoints | None]:
        known = look_for_keypoints(shown[number][0] for number in numbers)
        return [known.get(shown[number][0]) for number in numbers]

    groups = grouped(grids, find)
    is_told = all(any(lights[m].exposure is not None for m in g.members) for g in groups)
    is_held = all(any(lights[m].is_white_held for m in g.members) for g in groups)
    untold = Untold.EXPOSURE if not is_told else Untold.NOTHING if is_held else Untold.WHITE
    levels = [_level(group, grids, lights, is_told) for group in groups]
    middle = middle_of([level for level, g in zip(levels, groups, strict=True) for _ in g.members])
    most = max(groups, key=lambda group: len(group.members))
    raises: list[tuple[Raise, Untold, float]] = []
    raises += [((0.0, 0.0, 0.0), Untold.NOTHING, 0.0)] * len(lights)
    for group, level in zip(groups, levels, strict=True):
        off = level - middle
        if not is_told:
            # What groups usually differ by is the subject; beyond it is more likely exposure.
            over = min(_MOST_GUESSED, max(0.0, abs(off) - _USUAL_SPREAD))
            off = over if off > 0 else -over
        apart = _apart(group, lights)
        for number, brighter in zip(group.members, group.brighter, strict=True):
            red, green, blue = (-float(part) - off for part in brighter)
            kind = Untold.NOTHING if group is most else untold
            raises[number] = (red, green, blue), kind, apart.get(number, 0.0)
    return raises


def _level(group: Group, grids: Sequence[Lights], lights: Sequence[Light], is_told: bool) -> float:
    """Return how bright a group's middle photo is: by the camera's word, else by its light."""
    import numpy as np

    offs = dict(zip(group.members, group.brighter @ WEIGHTS, strict=True))
    if is_told:
        told = ((m, lights[m].exposure) for m in group.members)
        return middle_of([exposure - offs[m] for m, exposure in told if exposure is not None])
    # Places that are burnt out or black count in the middle of all lights as well.
    return middle_of([float(np.median(brightness(grids[m]))) - offs[m] for m in group.members])


def _apart(group: Group, lights: Sequence[Light]) -> dict[int, float]:
    """Return the photos that show more or less light than the camera's word says, and by how much.

    Of two nothing tells which is at fault, and both are returned, each beside the other.
    """
    shown = dict(zip(group.members, group.brighter @ WEIGHTS, strict=True))
    told = [(number, lights[number].exposure) for number in group.members]
    more = {number: float(shown[number] - word) for number, word in told if word is not None}
    if len(more) == 2:
        (one, first), (other, second) = more.items()
        found = {one: first - second, other: second - first}
    else:
        middle = middle_of(list(more.values())) if more else 0.0
        found = {number: value - middle for number, value in more.items()}
    return {number: value for number, value in found.items() if abs(value) > _APART}
