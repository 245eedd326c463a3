"""Whether two photos show the same in the same places, whatever light they were taken at.

The measure is the correlation of their detail, for every shift of one against the other that a
camera in the hand may have made, and a few more.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from animatic.srgb import WEIGHTS

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]
    Reals = NDArray[np.float32]

__all__ = ["Sight", "agreed", "correlation", "is_unmoved"]

_MOST_MOVED, _TRIED = 2, 8
"""Places by which a hand-held camera moves between two photos of one view, and that are tried."""
_LEAST_ALIKE = 0.4
"""Correlation below which they do not show the same: of others it came to 0.39 (measured)."""
_LEAST_DETAIL = 0.4
"""Standard deviation of the detail that both must have; it is 1 where there is plenty."""
_DARKEST = -900
_BLUR, _FAINT = 3.0, 8.0


@dataclass(frozen=True)
class Sight:
    """A photo as it is laid over others.

    `lights` is an array of rows x columns x 3 in hundredths of a stop; infinite where a place is
    burnt out or black.
    """

    lights: Numbers

    @cached_property
    def detail(self) -> Reals:
        """What stands out of its surroundings, as strong everywhere: light and dark alike."""
        import numpy as np
        from scipy.ndimage import gaussian_filter

        most = self.lights.max(initial=0, where=np.isfinite(self.lights))
        bright = np.clip(self.lights, _DARKEST, most) @ np.array(WEIGHTS)
        apart = bright - gaussian_filter(bright, _BLUR, mode="nearest")
        strength = gaussian_filter(apart * apart, 2 * _BLUR, mode="nearest")
        return np.asarray(apart / np.sqrt(strength + _FAINT**2), np.float32)


def is_unmoved(one: Sight, other: Sight) -> bool:
    """Return whether two photos show the same in the same places: there they lie best."""
    import numpy as np

    if min(sight.detail.std() for sight in (one, other)) < _LEAST_DETAIL:
        return False
    alike = correlation(one, other)
    down, across = np.unravel_index(int(np.argmax(alike)), alike.shape)
    moved = max(abs(down - _TRIED), abs(across - _TRIED))
    return bool(moved <= _MOST_MOVED and alike[down, across] >= _LEAST_ALIKE)


def correlation(one: Sight, other: Sight) -> Reals:
    """Return how alike the middle of one photo is to the other, for every shift that is tried.

    An array of correlations (-1 to 1) of 2 x 8 + 1 rows and columns: the one in its middle is
    that of no shift, and the first that of one up and to the left.
    """
    import cv2
    import numpy as np

    middle = one.detail[_TRIED:-_TRIED, _TRIED:-_TRIED]
    return np.asarray(cv2.matchTemplate(other.detail, middle, cv2.TM_CCOEFF_NORMED))


def agreed(values: Numbers) -> tuple[float, float]:
    """Return the middle of the shortest stretch that holds half of the values, and half of it.

    Up to half of them may be anything at all: a median is drawn to the side that they are on.
    """
    import numpy as np

    ranked = np.sort(values)
    half = len(ranked) // 2
    lengths = ranked[half:] - ranked[: len(ranked) - half]
    first = int(np.argmin(lengths))
    return float(ranked[first] + ranked[first + half]) / 2, float(lengths[first]) / 2
