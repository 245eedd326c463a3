"""What two photos of one set share where the camera panned, tilted, or came nearer between them.

The detail of one photo, free of how light it is, is laid over the other's in every place and
19 sizes, and then turned and shifted by parts of a place until it lies best. The measure is the
normalised cross-correlation over what both show (D. Padfield, Masked Object Registration in the
Fourier Domain, 2012), made comparable between large and small overlaps by Fisher's z. What both
show is then compared place by place.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from typing import TYPE_CHECKING

from animatic.board.light import COLUMNS, ROWS

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]
    Reals = NDArray[np.float32]
    Spectra = NDArray[np.complex64]

__all__ = [
    "SHAPE",
    "WEIGHTS",
    "Overlap",
    "Sight",
    "agreed",
    "correlation",
    "is_unmoved",
    "overlap",
    "transformed",
]

WEIGHTS = (0.2126, 0.7152, 0.0722)
"""Of red, green and blue in brightness (Rec. ITU-R BT.709)."""
_SURE = 14.0
"""Fisher's z times the root of the places: unrelated photographs came to 13.5 (measured)."""
_MARGIN, _BESIDE = 0.25, (5, 8)
"""The correlation must be so much less where the photo lies so many places off. Along a horizon
or on a smooth sky it is hardly less (0.19 at most, measured); on what has drawing, by 0.34."""
_UNMOVED, _SURE_UNMOVED = 2, 9.0
"""Places by which a hand-held camera moves between two photos of one view; with so few ways to
lie, less sureness will do."""
_LEAST_PART = 0.35
"""So much of the smaller of the two must be in both."""
_FEWEST = 90
"""Places that both must show."""
_LEAST_DETAIL = 0.4
"""Standard deviation of the detail of what both show; it is 1 where there is plenty."""
_MOST_COLOUR = 60
"""Hundredths of a stop of one colour that no camera's automatics go beyond: more is another
subject."""
_LEAST_CONTRAST, _MOST_SPREAD = 30, 0.45
"""Standard deviation of what agrees, and the part of it that half of the places stay within."""
_DARKEST = -900
_BLUR, _FAINT = 3.0, 8.0
_SIZES = tuple(2 ** (step / 6) for step in range(-9, 1))
SHAPE = (2 * ROWS, 2 * COLUMNS)
"""What holds two photos beside each other in every place, so that none comes round the edge."""


@dataclass(frozen=True, slots=True)
class Overlap:
    """What two photos share."""

    brighter: tuple[float, float, float]
    """By how much the first is brighter in red, green, blue, in hundredths of a stop."""
    sureness: float
    """Of the overlap, above 14."""


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a photo lies over another: how sure it is, the number of its size, and its shift.

    `margin` is by how much the correlation is less beside it.
    """

    sureness: float
    step: int
    down: int
    across: int
    margin: float


@dataclass(frozen=True)
class Sight:
    """A photo as it is laid over others: its lights, and its detail in every size.

    `lights` is an array of ROWS x COLUMNS x 3 in hundredths of a stop; infinite where a place is
    burnt out or black.
    """

    lights: Numbers

    @cached_property
    def held(self) -> Numbers:
        """The lights with a bound where they are infinite: that of the lightest, or white."""
        import numpy as np

        most = self.lights.max(initial=0, where=np.isfinite(self.lights))
        return np.asarray(np.clip(self.lights, _DARKEST, most))

    @cached_property
    def bright(self) -> Numbers:
        """The brightness of each place."""
        import numpy as np

        return np.asarray(self.held @ np.array(WEIGHTS))

    @cached_property
    def detail(self) -> Numbers:
        """What stands out of its surroundings, as strong everywhere."""
        return _detail(self.bright)

    @cached_property
    def as_it_is(self) -> Spectra:
        """The transforms that `correlation` needs, of the detail in its own size."""
        return transformed(self.detail)

    @cached_property
    def shapes(self) -> list[tuple[int, int]]:
        """Height and width in every size."""
        return [detail.shape for detail in self._details]

    @cached_property
    def spectra(self) -> Spectra:
        """The transforms that `correlation` needs, of every size."""
        import numpy as np

        return np.stack([transformed(detail) for detail in self._details])

    @cached_property
    def _details(self) -> list[Numbers]:
        return [_detail(_resized(self.bright, size)) for size in _SIZES]


def overlap(one: Sight, other: Sight) -> Overlap | None:
    """Return what two photos share, or None where they show nothing in common for certain."""
    first, second = _best(one, other), _best(other, one)
    is_first = first.sureness >= second.sureness
    best = first if is_first else second
    if best.sureness < _SURE or best.margin < _MARGIN:
        return None
    near, far = (one, other) if is_first else (other, one)
    return _compared(near, far, best, is_first)


def is_unmoved(one: Sight, other: Sight) -> bool:
    """Return whether two photos show the same in the same places: there they lie best."""
    found = _lying(correlation(other.as_it_is, one.as_it_is[None]), [one.bright.shape])
    is_near = max(abs(found.down), abs(found.across)) <= _UNMOVED
    return is_near and found.sureness >= _SURE_UNMOVED


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


# ------------------------------------------------------------------ where it lies


def _resized(values: Numbers, size: float) -> Numbers:
    import numpy as np
    from scipy.ndimage import zoom

    return np.asarray(zoom(values, size, order=1, grid_mode=True, mode="nearest"))


def _detail(values: Numbers, blur: float = _BLUR) -> Numbers:
    """Return what stands out of its surroundings, as strong everywhere: light and dark alike."""
    import numpy as np
    from scipy.ndimage import gaussian_filter

    apart = values - gaussian_filter(values, blur, mode="nearest")
    strength = gaussian_filter(apart * apart, 2 * blur, mode="nearest")
    return np.asarray(apart / np.sqrt(strength + _FAINT**2))


def transformed(values: Numbers) -> Spectra:
    """Return the transforms of a field of ones, of the values and of their squares."""
    import numpy as np
    from scipy.fft import rfft2

    parts = np.stack([np.ones_like(values), values, values * values])
    return np.asarray(rfft2(parts.astype(np.float32), SHAPE))


def correlation(far: Spectra, near: Spectra) -> tuple[Reals, Reals, Reals]:
    """Return how alike the near ones are to the far one, for every shift, where they overlap.

    `far` is one `transformed`, `near` a stack of them. Three stacks of arrays: the correlation
    (-1 to 1), the places of the overlap, and the lesser standard deviation of the two there.
    A shift beyond half of the array is one to the left, or up.
    """
    import numpy as np
    from scipy.fft import irfft2

    terms = ((0, 0), (1, 0), (0, 1), (2, 0), (0, 2), (1, 1))
    turned = near.conj()
    sums = irfft2(np.stack([far[one] * turned[:, two] for one, two in terms]), SHAPE)
    count = np.maximum(sums[0].round(), 1)
    mean_far, mean_near, square_far, square_near, both = sums[1:] / count
    spread_far = np.maximum(square_far - mean_far**2, 1e-6)
    spread_near = np.maximum(square_near - mean_near**2, 1e-6)
    alike = (both - mean_far * mean_near) / np.sqrt(spread_far * spread_near)
    return alike, count, np.sqrt(np.minimum(spread_far, spread_near))


def _best(near: Sight, far: Sight) -> _Place:
    """Return where and in which size the near photo lies best over the far one."""
    return _lying(correlation(far.as_it_is, near.spectra), near.shapes)


def _lying(found: tuple[Reals, Reals, Reals], shapes: Sequence[tuple[int, ...]]) -> _Place:
    """Return the surest place of a correlation of photos of these heights and widths."""
    import numpy as np

    alike, count, detail = found
    least = np.maximum(_FEWEST, [_LEAST_PART * high * wide for high, wide in shapes])
    sure = np.arctanh(np.clip(alike, -0.99, 0.999)) * np.sqrt(count)
    sure[(count < least[:, None, None]) | (detail < _LEAST_DETAIL)] = -1
    step, down, across = (int(n) for n in np.unravel_index(int(np.argmax(sure)), sure.shape))
    most, best = float(sure[step, down, across]), float(alike[step, down, across])
    enough = count[step] >= count[step, down, across] / 2
    beside = np.roll(_beside(), (down, across), (0, 1)) & enough
    margin = best - float(alike[step].max(initial=-1, where=beside))
    # Shifts beyond the middle are those to the left, and up.
    down -= SHAPE[0] if down > SHAPE[0] // 2 else 0
    across -= SHAPE[1] if across > SHAPE[1] // 2 else 0
    return _Place(most, step, down, across, margin)


@cache
def _beside() -> NDArray[np.bool_]:
    """Return which shifts lie in a ring around none, those to the left and up at the far ends."""
    import numpy as np

    down, across = (np.fft.fftfreq(length, 1 / length) for length in SHAPE)
    away = np.hypot(down[:, None], across)
    return np.asarray((away >= _BESIDE[0]) & (away <= _BESIDE[1]))


# ------------------------------------------------------------------ what it shows there


@cache
def _offsets() -> tuple[Numbers, Numbers]:
    """Return how far each place is below, and right of, the middle."""
    import numpy as np

    down, across = np.mgrid[0:ROWS, 0:COLUMNS].astype(float)
    return down - (ROWS - 1) / 2, across - (COLUMNS - 1) / 2


def _places(laid: Numbers) -> tuple[Numbers, NDArray[np.bool_]]:
    """Return where in the far photo the near one's places lie, and which of them lie in it.

    `laid` has the near photo's size there as a power of 2, its turn in radians, and its middle.
    """
    import numpy as np

    down, across = _offsets()
    cos, sin = np.cos(laid[1]) * 2 ** laid[0], np.sin(laid[1]) * 2 ** laid[0]
    at = np.stack([laid[2] + cos * down + sin * across, laid[3] - sin * down + cos * across])
    within = (at[0] >= 0) & (at[0] <= ROWS - 1) & (at[1] >= 0) & (at[1] <= COLUMNS - 1)
    return at[:, within], within


def _softened(values: Numbers, size: float) -> Numbers:
    """Return the near photo's places as the far one's larger places would show them."""
    import numpy as np
    from scipy.ndimage import gaussian_filter

    return np.asarray(gaussian_filter(values, max(1e-6, (1 / size - 1) / 2), mode="nearest"))


def _laid(near: Sight, far: Sight, size: float, start: Numbers) -> Numbers:
    """Return how the near photo lies best, to parts of a place and a degree of turn."""
    import numpy as np
    from scipy.ndimage import map_coordinates
    from scipy.optimize import minimize

    coarse = far.detail
    fine = _detail(_softened(near.bright, size), _BLUR / size)
    units = np.array([0.1, 0.05, 1, 1])

    def unlike(moved: Numbers) -> float:
        at, within = _places(start + moved * units)
        if within.sum() < _FEWEST:
            return 1.0
        shown = map_coordinates(coarse, at, order=1)
        return -float(np.corrcoef(shown, fine[within])[0, 1])

    corners = np.vstack([np.zeros(4), np.eye(4) * 0.8])
    options = {"maxiter": 150, "initial_simplex": corners, "xatol": 0.02, "fatol": 1e-4}
    found = minimize(unlike, corners[0], method="Nelder-Mead", options=options)
    return np.asarray(start + found.x * units)


def _compared(near: Sight, far: Sight, best: _Place, is_first: bool) -> Overlap | None:
    """Return by how much what both photos show is brighter in one; None where they disagree."""
    import numpy as np
    from scipy.ndimage import map_coordinates

    size, (high, wide) = _SIZES[best.step], near.shapes[best.step]
    middle = (best.down + (high - 1) / 2, best.across + (wide - 1) / 2)
    laid = _laid(near, far, size, np.array([np.log2(size), 0.0, *middle]))
    at, within = _places(laid)

    def from_far(values: Numbers) -> Numbers:
        return np.asarray(map_coordinates(values, at, order=1))

    size = 2 ** float(laid[0])
    # A place beside one that is burnt out or black says too little.
    known = _softened(_known(near), size)[within] > 0.99
    known &= from_far(_known(far)) > 0.99
    if known.sum() < _FEWEST:
        return None
    shown = np.stack([_softened(near.held[..., c], size)[within] for c in range(3)], axis=1)[known]
    apart = shown - np.stack([from_far(far.held[..., c]) for c in range(3)], axis=1)[known]
    return _judged(shown @ np.array(WEIGHTS), apart, best.sureness, is_first)


def _known(sight: Sight) -> Numbers:
    import numpy as np

    return np.asarray(np.isfinite(sight.lights).all(axis=2).astype(float))


def _judged(bright: Numbers, apart: Numbers, sureness: float, is_first: bool) -> Overlap | None:
    """Return the overlap where its places agree well, and on what a camera may have done."""
    import numpy as np

    middle, spread = agreed(apart @ np.array(WEIGHTS))
    near = np.abs(apart @ np.array(WEIGHTS) - middle) <= max(8.0, 2 * spread)
    contrast = float(np.std(bright[near]))
    red, green, blue = (float(part) for part in np.median(apart[near], axis=0))
    exposure = sum(part * weight for part, weight in zip((red, green, blue), WEIGHTS, strict=True))
    colour = max(abs(part - exposure) for part in (red, green, blue))
    if contrast < _LEAST_CONTRAST or spread > _MOST_SPREAD * contrast:
        return None
    if colour > _MOST_COLOUR:
        return None
    return Overlap((red, green, blue) if is_first else (-red, -green, -blue), sureness)
