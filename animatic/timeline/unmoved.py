"""Whether two photos show the same in the same places, whatever light they were taken at.

The measure is the normalised cross-correlation of their detail over what both show, for every
shift of one against the other (D. Padfield, Masked Object Registration in the Fourier Domain,
2012), made comparable between large and small overlaps by Fisher's z.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from animatic.board.light import COLUMNS, ROWS
from animatic.srgb import WEIGHTS

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]
    Reals = NDArray[np.float32]
    Spectra = NDArray[np.complex64]

__all__ = ["SHAPE", "Sight", "agreed", "correlation", "is_unmoved", "transformed"]

_MOST_MOVED, _SURE = 2, 9.0
"""Places by which a hand-held camera moves between two photos of one view, and how sure it must
be: Fisher's z times the root of the places."""
_LEAST_PART = 0.35
"""So much of the photo must be in both."""
_FEWEST = 90
"""Places that both must show."""
_LEAST_DETAIL = 0.4
"""Standard deviation of the detail of what both show; it is 1 where there is plenty."""
_DARKEST = -900
_BLUR, _FAINT = 3.0, 8.0
SHAPE = (2 * ROWS, 2 * COLUMNS)
"""What holds two photos beside each other in every place, so that none comes round the edge."""


@dataclass(frozen=True)
class Sight:
    """A photo as it is laid over others.

    `lights` is an array of ROWS x COLUMNS x 3 in hundredths of a stop; infinite where a place is
    burnt out or black.
    """

    lights: Numbers

    @cached_property
    def spectra(self) -> Spectra:
        """The transforms of its detail that `correlation` needs."""
        import numpy as np

        most = self.lights.max(initial=0, where=np.isfinite(self.lights))
        return transformed(_detail(np.clip(self.lights, _DARKEST, most) @ np.array(WEIGHTS)))


def is_unmoved(one: Sight, other: Sight) -> bool:
    """Return whether two photos show the same in the same places: there they lie best."""
    import numpy as np

    alike, count, detail = correlation(other.spectra, one.spectra)
    sure = np.arctanh(np.clip(alike, -0.99, 0.999)) * np.sqrt(count)
    sure[(count < max(_FEWEST, _LEAST_PART * ROWS * COLUMNS)) | (detail < _LEAST_DETAIL)] = -1
    down, across = np.unravel_index(int(np.argmax(sure)), sure.shape)
    # Shifts beyond the middle are those to the left, and up.
    moved = max(min(down, SHAPE[0] - down), min(across, SHAPE[1] - across))
    return bool(moved <= _MOST_MOVED and sure[down, across] >= _SURE)


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


def _detail(values: Numbers) -> Numbers:
    """Return what stands out of its surroundings, as strong everywhere: light and dark alike."""
    import numpy as np
    from scipy.ndimage import gaussian_filter

    apart = values - gaussian_filter(values, _BLUR, mode="nearest")
    strength = gaussian_filter(apart * apart, 2 * _BLUR, mode="nearest")
    return np.asarray(apart / np.sqrt(strength + _FAINT**2))


def transformed(values: Numbers) -> Spectra:
    """Return the transforms of a field of ones, of the values and of their squares."""
    import numpy as np
    from scipy.fft import rfft2

    parts = np.stack([np.ones_like(values), values, values * values])
    return np.asarray(rfft2(parts.astype(np.float32), SHAPE))


def correlation(far: Spectra, near: Spectra) -> tuple[Reals, Reals, Reals]:
    """Return how alike one photo is to another for every shift of it, where they overlap.

    Both are `transformed`. Three arrays: the correlation (-1 to 1), the places of the overlap,
    and the lesser standard deviation of the two there. A shift beyond half of the array is one
    to the left, or up.
    """
    import numpy as np
    from scipy.fft import irfft2

    terms = ((0, 0), (1, 0), (0, 1), (2, 0), (0, 2), (1, 1))
    turned = near.conj()
    sums = irfft2(np.stack([far[one] * turned[two] for one, two in terms]), SHAPE)
    count = np.maximum(sums[0].round(), 1)
    mean_far, mean_near, square_far, square_near, both = sums[1:] / count
    spread_far = np.maximum(square_far - mean_far**2, 1e-6)
    spread_near = np.maximum(square_near - mean_near**2, 1e-6)
    alike = (both - mean_far * mean_near) / np.sqrt(spread_far * spread_near)
    return alike, count, np.sqrt(np.minimum(spread_far, spread_near))
