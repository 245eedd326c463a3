"""Flashes: WCAG 2.2 (W3C, 2023), success criterion 2.3.1 and its definitions.

The sequences of full-frame greys at 30 frames a second are those of pse-test-media (Jordan,
HCII 2025, BSD-3); those at 24 follow from the definitions. u' and v' are checked against
colour-science.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import colour
import numpy as np
import pytest
from numpy.typing import NDArray

from animatic.picture.flashes import FlashMeter, _colour
from animatic.picture.flashing import MOST_CHANGES

Picture = NDArray[np.uint8]


def plain(code: str) -> Picture:
    values = bytes.fromhex(code if len(code) == 6 else code * 3)
    return np.full((90, 160, 3), list(values), np.uint8)


def fails(codes: Sequence[str], fps: int) -> bool:
    meter = FlashMeter(Fraction(fps), MOST_CHANGES)
    for frame, code in enumerate(codes):
        meter.push(frame, plain(code))
    return meter.fails


def runs(*each: tuple[str, int]) -> list[str]:
    return [code for code, frames in each for _ in range(frames)]


def gaps(*frames: int) -> list[str]:
    """Return 40, then 6D for a frame before each stretch of 40 so long."""
    return ["40", *(code for count in frames for code in ["6D", *["40"] * count])]


@pytest.mark.parametrize(
    ("codes", "is_refused"),
    [
        (["40", "6D", "40", "6D", "40", "6D", "40", *["6D"] * 25], True),
        (["40", "6D", "40", "6D", "40", "6D", *["40"] * 26], False),
        (["40", "6C", "40", "6C", "40", "6C", "40", *["6C"] * 25], False),
        (gaps(9, 9, 8, 3), True),
        (gaps(9, 9, 9, 3), False),
    ],
)
def test_published_sequences_at_30(codes: list[str], is_refused: bool) -> None:
    assert fails(codes, 30) is is_refused


@pytest.mark.parametrize(
    ("codes", "is_refused"),
    [
        (runs(("00", 3), ("FF", 3)) * 8, True),
        (runs(("00", 4), ("FF", 4)) * 8, False),
        (["E8", "FF"] * 24, False),
        (["E7", "FF"] * 24, True),
        (["00", "59"] * 24, False),
        (["00", "5A"] * 24, True),
    ],
)
def test_sequences_from_the_definitions_at_24(codes: list[str], is_refused: bool) -> None:
    assert fails(codes, 24) is is_refused


def test_a_slow_change_and_one_way_only_are_no_flashes() -> None:
    assert not fails([f"{code:02X}" for code in range(0, 256, 5)], 24)
    # Each step is under a tenth, and they add up: up and down, four times a second.
    ramp = [f"{code:02X}" for code in (0, 60, 85, 100, 85, 60)]
    assert fails(ramp * 8, 24)


def test_a_saturated_red_flashes_where_luminance_does_not() -> None:
    assert fails(["800000", "3C3C3C"] * 24, 24)
    assert not fails(["803020", "3C3C3C"] * 24, 24)
    assert fails(["800000", "000000"] * 24, 24)


@pytest.mark.parametrize(("columns", "is_refused"), [(53, False), (86, True)])
def test_only_a_part_over_a_quarter_of_a_block_counts(columns: int, is_refused: bool) -> None:
    # A stripe a third as high as a block: three quarters of the block's width are the limit.
    meter = FlashMeter(Fraction(24), MOST_CHANGES)
    for frame in range(24):
        picture = np.zeros((576, 1024, 3), np.uint8)
        picture[:85, : columns * 4] = 255 * (frame % 2)
        meter.push(frame, picture)
    assert meter.fails is is_refused


@pytest.mark.parametrize(("parts", "is_refused"), [(1, False), (2, True)])
def test_small_parts_in_one_block_count_together(parts: int, is_refused: bool) -> None:
    meter = FlashMeter(Fraction(24), MOST_CHANGES)
    for frame in range(24):
        picture = np.zeros((576, 1024, 3), np.uint8)
        for part in range(parts):
            begin, end = 128 * part, 128 * (part + 1)
            picture[begin:end, begin:end] = 255 * (frame % 2)
        meter.push(frame, picture)
    assert meter.fails is is_refused


def test_the_second_is_that_of_the_film_and_half_open() -> None:
    # Seven changes over 24 frames: at 23.976 that is just over a second, at 25 under one.
    codes = ["00", "FF"]
    for fps, is_refused in ((Fraction(24_000, 1001), False), (Fraction(25), True)):
        meter = FlashMeter(fps, MOST_CHANGES)
        for count in range(8):
            meter.push(4 * count, plain(codes[count % 2]))
        assert meter.fails is is_refused


def test_the_colour_is_that_of_the_cie() -> None:
    light = np.array([[[0.5, 0.1, 0.05], [1.0, 0.0, 0.0], [0.2, 0.2, 0.2]]])
    matrix = colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ
    xyz = light @ matrix.T
    reference = colour.xy_to_Luv_uv(colour.XYZ_to_xy(xyz))
    assert _colour(light) == pytest.approx(reference, abs=2e-4)
