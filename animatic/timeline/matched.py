"""What two photos of one set both show, from wherever the camera stood, and how they differ in it.

Keypoints that look alike are paired (D. Lowe, 2004: the nearest must be much nearer than the
next, both ways). Pairs that a camera can have seen from two places lie on each other's epipolar
lines; which do is found by sampling (OpenCV's MAGSAC), and whether so many could do so by chance
is reckoned as the expected number of such sets among unrelated pairs (L. Moisan, B. Stival, A
Probabilistic Criterion to Detect Rigid Point Matches, 2004). A lens is darker towards its
corners: how much is found along with the difference in light.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, lgamma, log
from typing import TYPE_CHECKING

from animatic.srgb import WEIGHTS

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from animatic.board.keypoints import Keypoints

    Marks = NDArray[np.bool_]
    Numbers = NDArray[np.float64]
    Pairs = NDArray[np.int64]
    """Rows of two: the number of a keypoint in one photo, and in the other."""

__all__ = ["LEAST_ERROR", "Overlap", "chance", "overlap"]

_NEARER = 0.8
"""The nearest description must be within this part of the distance of the next (Lowe)."""
_APART = 4
"""Pixels, below which two pairs are of one place and count once."""
_OFF_LINE = 2.0
"""Pixels from its line within which a keypoint is taken to lie on it."""
_SAMPLE = 7
"""Pairs that determine the lines."""
_LEAST_SURE = -3.0
"""Power of ten of the sets that chance would give."""
_FEWEST = 8
"""Pairs whose light is known in both."""
_MOST_ERROR = 10.0
"""Hundredths of a stop: standard error of the brightness, above which nothing is said."""
LEAST_ERROR = 2.0
"""No overlap is taken to be surer than this."""
_FAR_OFF, _LEAST_SPREAD = 3, 4.0
"""Deviations beyond which a pair shows something else, and the least they are taken to be."""
_USUAL_FALL = 40
"""Hundredths of a stop that a corner is darker than the middle, give or take, where the pairs
tell little of it."""
_MOST_COLOUR = 60
"""Hundredths of a stop of one colour that no camera's automatics go beyond: more is another
subject."""


@dataclass(frozen=True, slots=True)
class Overlap:
    """What two photos share.

    `brighter` is by how much the first is brighter in red, green, blue, in hundredths of a stop;
    `error` the standard error of the brightness in it.
    """

    brighter: tuple[float, float, float]
    error: float


def overlap(one: Keypoints, other: Keypoints) -> Overlap | None:
    """Return what two photos share, or None where they show nothing in common for certain.

    The same for the same photos; it takes time by the product of the keypoints.
    """
    import numpy as np

    pairs = _seen_from_two_places(one, other, _alike(one, other))
    apart = one.lights[pairs[:, 0]] - other.lights[pairs[:, 1]]
    known = np.isfinite(apart).all(axis=1)
    if known.sum() < _FEWEST:
        return None
    outward = _outward(one)[pairs[:, 0]] - _outward(other)[pairs[:, 1]]
    red, green, blue, error = _without_fall(apart[known], outward[known])
    exposure = sum(part * weight for part, weight in zip((red, green, blue), WEIGHTS, strict=True))
    colour = max(abs(part - exposure) for part in (red, green, blue))
    if error > _MOST_ERROR or colour > _MOST_COLOUR:
        return None
    return Overlap((red, green, blue), max(LEAST_ERROR, error))


def _outward(photo: Keypoints) -> Numbers:
    """Return how far out each keypoint lies, squared: 0 in the middle, 1 in the corners."""
    import numpy as np

    middle = np.array(photo.size) / 2
    return np.asarray((((photo.at - middle) / np.hypot(*middle)) ** 2).sum(axis=1))


def _without_fall(apart: Numbers, outward: Numbers) -> tuple[float, float, float, float]:
    """Return by how much what the pairs show is brighter, in red, green, blue, and its error.

    Both photos are taken to fall off alike, by the square of the distance from the middle: a
    line through the pairs, without those that are far off most, by least squares.
    """
    import numpy as np

    bright = apart @ np.array(WEIGHTS)
    off = bright - np.median(bright)
    spread = max(_LEAST_SPREAD, _deviation(off))
    near = np.abs(off) <= _FAR_OFF * spread
    apart, bright, outward = apart[near], bright[near], outward[near]
    # The last row says how much a corner usually falls off, for what it is worth.
    terms = np.column_stack([np.append(np.ones_like(bright), 0), np.append(outward, 0)])
    terms[-1, 1] = spread / _USUAL_FALL
    exposure, fall = np.linalg.lstsq(terms, np.append(bright, 0))[0]
    if fall > 0:  # No lens is lighter there.
        exposure, fall = bright.mean(), 0.0
    red, green, blue = (float(part) for part in np.median(apart - fall * outward[:, None], axis=0))
    error = _deviation(bright - exposure - fall * outward) / len(bright) ** 0.5
    return red, green, blue, error


def _deviation(values: Numbers) -> float:
    """Return the standard deviation of a normal spread with the same median distance from 0."""
    import numpy as np

    return 1.4826 * float(np.median(np.abs(values)))


def _alike(one: Keypoints, other: Keypoints) -> Pairs:
    """Return the keypoints that look alike, a pair of places once."""
    import cv2
    import numpy as np

    if min(len(one.at), len(other.at)) < 2:
        return np.empty((0, 2), np.int64)
    first, second = (_rooted(photo.described) for photo in (one, other))
    matcher = cv2.BFMatcher(cv2.NORM_L2)
    there = [
        (best.queryIdx, best.trainIdx)
        for best, following in matcher.knnMatch(first, second, k=2)
        if best.distance < _NEARER * following.distance
    ]
    pairs = np.array(there, np.int64).reshape(-1, 2)
    if len(pairs) == 0:
        return pairs
    back = [match.trainIdx for match in matcher.match(second[pairs[:, 1]], first)]
    pairs = pairs[pairs[:, 0] == back]
    places = np.hstack([one.at[pairs[:, 0]], other.at[pairs[:, 1]]]) // _APART
    _, firsts = np.unique(places, axis=0, return_index=True)
    return np.asarray(pairs[np.sort(firsts)])


def _rooted(described: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Return descriptions whose distance is Hellinger's: the roots of parts of one whole."""
    import numpy as np

    values = described.astype(np.float32)
    return np.asarray(np.sqrt(values / np.maximum(1, values.sum(axis=1, keepdims=True))))


def _seen_from_two_places(one: Keypoints, other: Keypoints, pairs: Pairs) -> Pairs:
    """Return the pairs that one camera in two places can have seen; none where chance could."""
    import cv2

    if len(pairs) <= _SAMPLE:
        return pairs[:0]
    first, second = one.at[pairs[:, 0]], other.at[pairs[:, 1]]
    ways = cv2.USAC_MAGSAC, _OFF_LINE, 0.999, 10_000
    _, marks = cv2.findFundamentalMat(first, second, *ways)
    if marks is None:
        return pairs[:0]
    held: Pairs = pairs[marks.ravel() == 1]
    return held if chance(len(pairs), len(held), other.size) <= _LEAST_SURE else held[:0]


def chance(pairs: int, held: int, size: tuple[int, int]) -> float:
    """Return how many sets of so many pairs would lie on lines by chance, as a power of ten.

    The lines are drawn by seven of the pairs; a keypoint that lies anywhere in a photo of this
    size is near its line as often as a strip along the diagonal has area.

    >>> round(chance(84, 11, (1600, 1067)), 1), round(chance(74, 21, (1600, 1067)), 1)
    (8.3, -7.8)
    """
    if held <= _SAMPLE:
        return float("inf")
    strip = 2 * _OFF_LINE * hypot(*size) / (size[0] * size[1])
    sets = log(pairs - _SAMPLE) + _ways(pairs, held) + _ways(held, _SAMPLE)
    return (sets + (held - _SAMPLE) * log(strip)) / log(10)


def _ways(among: int, taken: int) -> float:
    """Return the logarithm of how many ways there are to take so many."""
    return lgamma(among + 1) - lgamma(taken + 1) - lgamma(among - taken + 1)
