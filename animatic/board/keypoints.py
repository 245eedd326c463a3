"""The keypoints of photos: what can be known again from where else the camera stood, and how
light it is there.

They are found and described by SIFT (D. Lowe, Distinctive Image Features from Scale-Invariant
Keypoints, 2004) as OpenCV has it, in stops: there an exposure changes nothing but the offset.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from animatic.board.light import HIGHEST, LOWEST
from animatic.board.looking import by_threads, in_srgb, opened
from animatic.errors import MediaError
from animatic.srgb import WEIGHTS, as_light

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL import Image

    Reals = NDArray[np.float32]
    Numbers = NDArray[np.float64]

__all__ = ["Keypoints", "keypoints_in", "look_for_keypoints"]

_LONGEST = 1600
"""Pixels of the longer side at which photos are searched: more found no more pairs (measured)."""
_MOST = 4000
_LEAST_CONTRAST = 0.01
_DARKEST = 9
"""Stops below white that the scale of the search spans."""
_REACH = 0.75
"""The light is the mean over a square this many times as far to each side as a keypoint's size."""
_MOST_UNKNOWN = 0.02
"""The part of that square that may be burnt out or lost in the dark."""


@dataclass(frozen=True, slots=True, eq=False)
class Keypoints:
    """The keypoints of a photo, a row for each in all three arrays.

    `at` holds x and y in pixels of a photo of this `size` (width and height), `lights` red, green
    and blue in hundredths of a stop below white, not-a-number where they cannot be told, and
    `described` 128 numbers from 0 to 255 that are nearly the same for the same thing. Those that
    stand out most come first.
    """

    size: tuple[int, int]
    at: Reals
    lights: Numbers
    described: NDArray[np.uint8]

    def strongest(self, most: int | None) -> Keypoints:
        """Return so many of them at most; all for None."""
        return replace(
            self, at=self.at[:most], lights=self.lights[:most], described=self.described[:most]
        )


def look_for_keypoints(photos: Iterable[Path]) -> dict[Path, Keypoints]:
    """Return the keypoints of all photos that can be read; others are left out."""

    def found(path: Path) -> Keypoints | None:
        try:
            with opened(path, _LONGEST) as image:
                return keypoints_in(in_srgb(image, _small))
        except (MediaError, OSError):
            return None

    wanted = list(dict.fromkeys(photos))
    # One after the other: a search takes 400 MB, and all cores by itself.
    pairs = zip(wanted, by_threads(found, wanted, 1), strict=True)
    return {path: keypoints for path, keypoints in pairs if keypoints is not None}


def keypoints_in(picture: Image.Image) -> Keypoints:
    """Return the keypoints of a picture in sRGB.

    >>> from PIL import Image
    >>> len(keypoints_in(Image.new("RGB", (90, 60), (90, 120, 60))).at)
    0
    """
    import cv2
    import numpy as np

    codes = np.asarray(picture)
    light = np.array([as_light(code) for code in range(256)], np.float32)[codes]
    stops = np.log2(np.maximum(light @ np.array(WEIGHTS, np.float32), 2.0**-_DARKEST))
    scale = ((stops + _DARKEST) * (255 / _DARKEST)).astype(np.uint8)
    search = cv2.SIFT.create(nfeatures=_MOST, contrastThreshold=_LEAST_CONTRAST)
    found, described = search.detectAndCompute(scale, None)
    if described is None or len(found) == 0:
        found, described = (), np.empty((0, 128))
    order = sorted(range(len(found)), key=lambda number: -found[number].response)
    found, described = [found[number] for number in order], described[order]
    at = np.array([point.pt for point in found], np.float32).reshape(-1, 2)
    reach = np.array([point.size for point in found]) * _REACH
    lights = _lights(codes, light, at, reach)
    return Keypoints(picture.size, at, lights, described.astype(np.uint8))


def _lights(codes: NDArray[np.uint8], light: Reals, at: Reals, reach: Numbers) -> Numbers:
    """Return the mean light of the square around each keypoint, in hundredths of a stop."""
    import numpy as np

    unknown = (codes.max(axis=2) > HIGHEST) | (codes.min(axis=2) < LOWEST)
    means = _means(np.dstack([light, unknown.astype(np.float32)]), at, reach)
    lights = 100 * np.log2(np.maximum(means[:, :3], 1e-6))
    lights[means[:, 3] > _MOST_UNKNOWN] = np.nan
    return np.asarray(lights, float)


def _means(planes: Reals, at: Reals, reach: Numbers) -> Numbers:
    """Return the means of the planes over squares, to parts of a pixel: sums of sums."""
    import cv2
    import numpy as np
    from scipy.ndimage import map_coordinates

    high, wide = planes.shape[:2]
    # A pixel's middle is a whole number to the search; sums stand at its edges.
    ends = [(at[:, 0] + 0.5, wide), (at[:, 1] + 0.5, high)]
    left, top = (np.clip(middle - reach, 0, most) for middle, most in ends)
    right, bottom = (np.clip(middle + reach, 0, most) for middle, most in ends)
    found = np.empty((len(at), planes.shape[2]))
    for plane in range(planes.shape[2]):
        sums = cv2.integral(np.ascontiguousarray(planes[..., plane]), sdepth=cv2.CV_64F)
        corners = (bottom, right), (top, right), (bottom, left), (top, left)
        whole, above, beside, over = (map_coordinates(sums, yx, order=1) for yx in corners)
        whole = whole - above - beside + over
        found[:, plane] = whole / ((right - left) * (bottom - top))
    return found


def _small(image: Image.Image) -> Image.Image:
    """Return a plain photo no larger than it is searched at."""
    from PIL import Image as Images

    longest = max(image.size)
    if longest <= _LONGEST:
        return image
    width, height = (max(1, side * _LONGEST // longest) for side in image.size)
    return image.resize((width, height), Images.Resampling.BOX, reducing_gap=2.0)
