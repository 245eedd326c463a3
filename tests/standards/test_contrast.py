"""Contrast of lettering: WCAG 2.2 (W3C, 2023), SC 1.4.3 and the definition of contrast ratio.

The figures are computed from the definition; wcag-contrast-ratio 0.9 is the second reference.
"""

from __future__ import annotations

import numpy as np
import pytest
import wcag_contrast_ratio

from animatic.picture.contrast import Colour, contrast, least_opacity, over
from animatic.picture.lettering import INKS, OPACITY

BLACK, WHITE = (0, 0, 0), (255, 255, 255)

TABLE = [
    ("767676", "FFFFFF", 4.5422),
    ("777777", "FFFFFF", 4.4781),
    ("808080", "000000", 5.3172),
    ("FFFF00", "000000", 19.556),
    ("0000FF", "FFFFFF", 8.5925),
    ("000000", "FFFFFF", 21.0),
]


def colour(code: str) -> Colour:
    red, green, blue = bytes.fromhex(code)
    return red, green, blue


def reference(one: Colour, other: Colour) -> float:
    ratio: float = wcag_contrast_ratio.rgb(
        tuple(value / 255 for value in one), tuple(value / 255 for value in other)
    )
    return ratio


@pytest.mark.parametrize(("one", "other", "ratio"), TABLE)
def test_the_ratio_is_that_of_the_definition(one: str, other: str, ratio: float) -> None:
    assert contrast(colour(one), colour(other)) == pytest.approx(ratio, abs=6e-4)
    assert contrast(colour(other), colour(one)) == contrast(colour(one), colour(other))


def test_777777_on_white_fails() -> None:
    assert contrast(colour("777777"), WHITE) < 4.5 < contrast(colour("767676"), WHITE)


# White letters on a black box of this opacity over a white picture; an opacity in 255ths.
@pytest.mark.parametrize(("opacity", "ratio"), [(0.53, 4.415), (0.54, 4.608), (0.75, 10.368)])
def test_a_box_over_a_white_picture(opacity: float, ratio: float) -> None:
    # The published figures blend without rounding to 8 bits: half a code either way.
    codes = [255 * (1 - opacity) + half for half in (-0.5, 0.5)]
    low, high = sorted(reference(WHITE, (code, code, code)) for code in codes)  # type: ignore[arg-type]
    assert low <= ratio <= high
    assert low <= contrast(WHITE, over(BLACK, round(opacity * 255), WHITE)) <= high


def test_the_least_opacity_is_the_least() -> None:
    opacity = least_opacity(WHITE, 4.5)
    assert contrast(WHITE, over(BLACK, opacity, WHITE)) >= 4.5
    assert contrast(WHITE, over(BLACK, opacity - 1, WHITE)) < 4.5
    assert 0.53 < opacity / 255 < 0.54
    with pytest.raises(ValueError, match=r"\(90, 90, 90\) does not reach a contrast of 7 on"):
        least_opacity((90, 90, 90), 7)


def test_the_ratio_agrees_with_the_reference_library() -> None:
    colours = np.random.default_rng(7).integers(0, 256, (300, 2, 3)).tolist()
    for one, other in colours:
        assert contrast(tuple(one), tuple(other)) == pytest.approx(
            reference(tuple(one), tuple(other)), rel=1e-3
        )


@pytest.mark.parametrize("ink", INKS)
def test_every_ink_can_be_read_over_any_colour(ink: Colour) -> None:
    greys = [(code, code, code) for code in range(256)]
    colours = np.random.default_rng(1).integers(0, 256, (500, 3)).tolist()
    pure = [(r, g, b) for r in (0, 255) for g in (0, 255) for b in (0, 255)]
    for under in [*greys, *map(tuple, colours), *pure]:
        assert reference(ink, over(BLACK, OPACITY, under)) >= 7.0
