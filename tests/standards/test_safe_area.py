"""Safe areas of 16:9 pictures: SMPTE ST 2046-1 as quoted in the BKSTS Illustrated Dictionary,
4th edition: action 93 %, title 90 % of width and height."""

from __future__ import annotations

import pytest

from animatic.picture.safe import action_safe, title_safe

SIZES = [(1920, 1080), (3840, 2160), (1280, 720), (998, 666), (160, 90), (1080, 1920)]


def test_title_safe_in_full_hd() -> None:
    left, top, right, bottom = title_safe((1920, 1080))
    assert (right - left, bottom - top) == (1728, 972)
    assert (left, right - 1, top, bottom - 1) == (96, 1823, 54, 1025)


def test_action_safe_in_full_hd() -> None:
    left, top, right, bottom = action_safe((1920, 1080))
    assert abs(right - left - 1786) <= 2
    assert abs(bottom - top - 1004) <= 1
    # 93 % is 1785.6 x 1004.4: no pixel may lie outside.
    assert right - left <= 1785.6
    assert bottom - top <= 1004.4


@pytest.mark.parametrize("size", SIZES)
def test_areas_lie_in_the_middle_and_within_their_part(size: tuple[int, int]) -> None:
    for area, part in ((title_safe, 0.90), (action_safe, 0.93)):
        left, top, right, bottom = area(size)
        assert (left, top) == (size[0] - right, size[1] - bottom)
        assert size[0] * part - 2 < right - left <= size[0] * part + 1e-9
        assert size[1] * part - 2 < bottom - top <= size[1] * part + 1e-9
