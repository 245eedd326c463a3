"""The correlation of two photos against numpy's, and what it says of a camera that moved."""

from __future__ import annotations

import numpy as np
import pytest

from animatic.board.light import BLACK, BURNT, COLUMNS, ROWS
from animatic.timeline.unmoved import Sight, correlation, is_unmoved


def sight(values: np.ndarray) -> Sight:
    return Sight(np.repeat(values[..., None], 3, axis=2))


def test_the_correlation_is_that_of_numpy_over_what_overlaps() -> None:
    """`numpy.corrcoef` of the two parts, for shifts to all sides."""
    random = np.random.default_rng(7)
    one, other = (sight(random.normal(0, 60, (ROWS, COLUMNS)) - 300) for _ in range(2))
    alike = correlation(one, other)
    assert alike.shape == (17, 17)
    part = one.detail[8:-8, 8:-8]
    for down, across in [(0, 0), (3, 5), (-8, 4), (8, -7), (8, 8), (-8, -8)]:
        there = other.detail[8 + down :, 8 + across :][: ROWS - 16, : COLUMNS - 16]
        wanted = np.corrcoef(part.ravel(), there.ravel())[0, 1]
        assert alike[8 + down, 8 + across] == pytest.approx(wanted, abs=1e-5)


@pytest.mark.parametrize(
    ("down", "across"), [(0, 0), (2, 0), (0, -2), (-2, 2), (3, 0), (0, -3), (0, 9)]
)
def test_a_camera_in_the_hand_moves_by_two_places_and_no_more(down: int, across: int) -> None:
    drawing = np.random.default_rng(3).normal(0, 80, (ROWS, COLUMNS)) - 300
    moved = np.roll(drawing, (down, across), (0, 1)) - 120
    assert is_unmoved(sight(drawing), sight(moved)) == (max(abs(down), abs(across)) <= 2)


@pytest.mark.parametrize("value", [0, BLACK, BURNT, -300])
def test_a_photo_without_any_drawing_is_of_no_view(value: int) -> None:
    flat = sight(np.full((ROWS, COLUMNS), {BURNT: np.inf, BLACK: -np.inf}.get(value, value)))
    drawing = sight(np.random.default_rng(3).normal(0, 80, (ROWS, COLUMNS)) - 300)
    assert not is_unmoved(flat, drawing)
    assert not is_unmoved(flat, flat)
    assert is_unmoved(drawing, drawing)


@pytest.mark.parametrize(("part", "is_one_view"), [(0.15, False), (0.7, True), (0.9, True)])
def test_a_view_is_one_where_enough_of_it_is_alike(part: float, is_one_view: bool) -> None:
    """The same drawing under another, so that the correlation is about its part."""
    random = np.random.default_rng(9)
    one, other = random.normal(0, 80, (2, ROWS, COLUMNS))
    mixed = part * one + (1 - part**2) ** 0.5 * other
    assert is_unmoved(sight(one - 300), sight(mixed - 300)) == is_one_view
    assert np.argmax(correlation(sight(one - 300), sight(mixed - 300))) == 8 * 17 + 8
