"""Photos of a setup by the views they show, and by how much each is brighter than its like.

Two photos that show the same view are compared place by place: what most places agree on is the
exposure, and a puppet that came in is a minority that does not count. Views from elsewhere are
compared by what can be known again in both.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from animatic.board.light import BLACK, BURNT, COLUMNS, ROWS, Light
from animatic.srgb import WEIGHTS
from animatic.timeline.matched import LEAST_ERROR, Overlap, overlap
from animatic.timeline.unmoved import Sight, agreed, is_unmoved

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from animatic.board.keypoints import Keypoints

    Find = Callable[[Sequence[int]], Sequence[Keypoints | None]]
    """Returns the keypoints of photos by their numbers, None where one cannot be read."""
    Lights = NDArray[np.float64]
    """Hundredths of a stop of places (rows) in red, green and blue; infinite where unknown."""

__all__ = ["Group", "Lights", "brightness", "grid_of", "grouped", "middle_of"]

_FEWEST = 24
"""Places that two photos must both show to be compared."""
_SAME_VIEW = 20
"""In one view half of the places agree within so much."""
_LEAST_CONTRAST = 12
"""Standard deviation of what agrees, below which it says nothing."""
_ACROSS = 3
"""Photos of a view are compared by places three times as large: a hand-held camera moves."""
_NEIGHBOURS, _NEAREST = 16, 3
"""A view is compared with so many that follow by name (a day's photos are numbered in order):
with the nearest always, with others where nothing joins them yet."""
_FEW = 1000
"""Keypoints that are compared at first."""


_Edge = tuple[int, int, Overlap]
"""Two views by their numbers, and what they share."""


@dataclass(slots=True)
class Group:
    """Photos that could be compared: their numbers, and by how much each is brighter.

    `brighter` has a row of red, green, blue for each, against the one in the middle.
    """

    members: list[int]
    brighter: Lights


@dataclass(frozen=True, slots=True)
class _Photo:
    """A photo as it is compared: its larger places, and its detail."""

    larger: Lights
    sight: Sight


@dataclass(slots=True)
class _View:
    """Photos that show the same view: their numbers, and by how much each is brighter."""

    members: list[int]
    brighter: Lights
    """Of each member, against what most of them show: a row of red, green, blue."""
    shown: Lights
    """What most members show at each of the larger places."""


def grid_of(light: Light) -> Lights:
    """Return the lights of the places; BURNT and BLACK are kept apart as infinities."""
    import numpy as np

    grid = np.array(light.places, float).reshape(-1, 3)
    grid[grid == BURNT] = np.inf
    grid[grid == BLACK] = -np.inf
    return grid


def brightness(grid: Lights) -> Lights:
    """Return the brightness of places, with a bound where it is unknown."""
    import numpy as np

    return np.asarray(np.clip(grid, BLACK, 0) @ WEIGHTS, float)


def middle_of(values: Sequence[float] | Lights) -> float:
    """Return the value in the middle, one of them: of two in the middle the higher."""
    return float(sorted(values)[len(values) // 2])


def grouped(grids: Sequence[Lights], find: Find) -> list[Group]:
    """Return the photos of a setup in groups of those that could be compared with each other."""
    import numpy as np

    photos = [_Photo(_larger(grid), Sight(grid.reshape(ROWS, COLUMNS, 3))) for grid in grids]
    larger = [photo.larger for photo in photos]
    views = [
        _settled(larger, members) for members in sorted(_merged(grids, larger, _views(photos)))
    ]
    laid = _overlaps(views, find)
    groups: list[Group] = []
    for numbers in _joined(len(views), laid):
        offs = _balanced(numbers, [edge for edge in laid if edge[0] in numbers])
        pairs = zip(numbers, offs, strict=True)
        brighter = np.concatenate([views[number].brighter + off for number, off in pairs])
        # In each colour the photo in the middle is the measure.
        middles = np.array([middle_of(column) for column in brighter.T])
        members = [member for n in numbers for member in views[n].members]
        groups.append(Group(members, brighter - middles))
    return groups


# ------------------------------------------------------------------ one view


def _larger(grid: Lights) -> Lights:
    """Return places three times as high and wide: of nine lights the one in the middle."""
    import numpy as np

    shape = (ROWS // _ACROSS, _ACROSS, COLUMNS // _ACROSS, _ACROSS, 3)
    nine = grid.reshape(shape).swapaxes(1, 2).reshape(-1, _ACROSS**2, 3)
    return np.asarray(np.sort(nine, axis=1)[:, _ACROSS**2 // 2])


def _views(photos: Sequence[_Photo]) -> list[list[int]]:
    """Return the photos by what they show: each joins the first of the view it is nearest to."""
    found: list[list[int]] = []
    for number, photo in enumerate(photos):
        nearest = None
        for members in found:
            apart = _apart(photo, photos[members[0]])
            if apart is not None and (nearest is None or apart < nearest[1]):
                nearest = members, apart
        if nearest is None:
            found.append([number])
        else:
            nearest[0].append(number)
    return found


def _apart(one: _Photo, other: _Photo) -> float | None:
    """Return how far the places of two photos of one view disagree; None where it is not one."""
    found = _compared(one.larger, other.larger)
    if found is None or not is_unmoved(one.sight, other.sight):
        return None
    return found[1]


def _merged(
    grids: Sequence[Lights], larger: Sequence[Lights], views: list[list[int]]
) -> list[list[int]]:
    """Return the views, with those joined that show the same once puppets are left out."""
    kept: list[tuple[list[int], Lights, Sight]] = []
    for members in sorted(views, key=len, reverse=True):
        view = _settled(larger, members)
        sight = _sight(grids, view)
        same = next(
            (
                known
                for known, shown, seen in kept
                if _compared(view.shown, shown) is not None and is_unmoved(sight, seen)
            ),
            None,
        )
        if same is None:
            kept.append((members, view.shown, sight))
        else:
            same.extend(members)
    return [sorted(members) for members, _, _ in kept]


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
    bright = apart @ WEIGHTS
    middle, spread = agreed(bright)
    near = np.abs(bright - middle) <= max(8.0, 2 * spread)
    # Bare walls agree whatever they belong to: what agrees must have some drawing.
    contrast = float(np.std(one[near] @ WEIGHTS))
    if contrast < _LEAST_CONTRAST or spread > min(_SAME_VIEW, contrast / 4):
        return None
    return np.median(apart[near], axis=0), spread


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
    middles = np.array([middle_of(column) for column in brighter.T])
    return _View(members, brighter - middles, shown)


def _most(shown: Lights) -> Lights:
    """Return the median of several photos at each place, infinities left out where possible."""
    import numpy as np

    ranked = np.sort(np.where(np.isfinite(shown), shown, np.inf), axis=0)
    known = np.isfinite(ranked).sum(axis=0)
    low, high = (np.maximum(known - 1, 0) // 2, np.maximum(known, 1) // 2)
    pair = np.take_along_axis(ranked, np.stack([low, high]), axis=0)
    return np.asarray(pair.sum(axis=0) / 2, float)


# ------------------------------------------------------------------ several views


def _sight(grids: Sequence[Lights], view: _View) -> Sight:
    """Return a view as it is laid over others: what most of its photos show, evened."""
    import numpy as np

    pairs = zip(view.members, view.brighter, strict=True)
    return Sight(_most(np.stack([grids[m] - off for m, off in pairs])).reshape(ROWS, COLUMNS, 3))


def _overlaps(views: Sequence[_View], find: Find) -> list[_Edge]:
    """Return which views overlap: the numbers of two, and what they share."""
    from scipy.cluster.hierarchy import DisjointSet

    if len(views) < 2:
        return []
    # Of each view the photo in the middle: least of it is burnt out or lost in the dark.
    rows = [_middle_row(view) for view in views]
    keypoints = find([view.members[row] for view, row in zip(views, rows, strict=True)])
    joined, found = DisjointSet(range(len(views))), dict[tuple[int, int], Overlap]()
    # A few keypoints are enough for most; all are compared where that leaves a view apart.
    for most in (_FEW, None):
        for pair in _near_in_name(len(views)):
            is_near = most is not None and pair[1] - pair[0] <= _NEAREST
            one, other = (keypoints[number] for number in pair)
            if one is None or other is None or (joined.connected(*pair) and not is_near):
                continue
            shared = overlap(one.strongest(most), other.strongest(most))
            if shared is not None and most is not None and shared.error > LEAST_ERROR:
                shared = overlap(one, other) or shared
            if shared is None:
                continue
            offs = (views[number].brighter[rows[number]] for number in pair)
            found[pair] = _between(shared, *offs)
            joined.merge(*pair)
    return [(*pair, shared) for pair, shared in found.items()]


def _near_in_name(count: int) -> Iterator[tuple[int, int]]:
    """Yield pairs of views, those first that are next to each other by name."""
    for step in range(1, min(_NEIGHBOURS, count - 1) + 1):
        for first in range(count - step):
            yield first, first + step


def _middle_row(view: _View) -> int:
    bright = [float(row @ WEIGHTS) for row in view.brighter]
    return bright.index(middle_of(bright))


def _between(found: Overlap, one: Lights, other: Lights) -> Overlap:
    """Return an overlap of two photos as one of their views, from which they are off so much."""
    red, green, blue = (found.brighter - one + other).tolist()
    return Overlap((red, green, blue), found.error)


def _joined(count: int, edges: Sequence[_Edge]) -> list[list[int]]:
    """Return the views in groups of those that overlap, one with another."""
    import numpy as np
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    ends = np.array([(one, other) for one, other, _ in edges], int).reshape(-1, 2).T
    graph = coo_array((np.ones(len(edges)), (ends[0], ends[1])), shape=(count, count))
    _, labels = connected_components(graph, directed=False)
    return [np.flatnonzero(labels == label).tolist() for label in dict.fromkeys(labels.tolist())]


def _balanced(views: Sequence[int], edges: Sequence[_Edge]) -> Lights:
    """Return by how much each view is brighter, red, green, blue, as the overlaps agree best.

    Least squares, the surer overlaps counting for more.
    """
    import numpy as np

    row_of = {view: row for row, view in enumerate(views)}
    sums = np.zeros((len(edges) + 1, len(views)))
    wanted = np.zeros((len(edges) + 1, 3))
    sums[-1] = 1
    for row, (one, other, found) in enumerate(edges):
        sums[row, row_of[one]], sums[row, row_of[other]] = 1 / found.error, -1 / found.error
        wanted[row] = np.array(found.brighter) / found.error
    return np.asarray(np.linalg.lstsq(sums, wanted)[0])
