"""The correlation of two photos against numpy's, and what it says of a camera that moved."""

from __future__ import annotations

import numpy as np
import pytest

from animatic.board.light import BLACK, BURNT, COLUMNS, ROWS
from animatic.timeline.unmoved import SHAPE, Sight, correlation, is_unmoved, transformed


def sight(values: np.ndarray) -> Sight:
    return Sight(np.repeat(values[..., None], 3, axis=2))


def test_the_correlation_is_that_of_numpy_over_what_overlaps() -> None:
    """`numpy.corrcoef` of the two parts, for shifts to all sides."""
    random = np.random.default_rng(7)
    far, near = random.normal(size=(ROWS, COLUMNS)), random.normal(size=(20, 26))
    alike, count, least = correlation(transformed(far), transformed(near))
    for down, across in [(0, 0), (3, 5), (-8, 4), (10, -9), (25, 30), (-15, -20), (30, 40)]:
        top, left = max(0, down), max(0, across)
        bottom, right = min(ROWS, down + 20), min(COLUMNS, across + 26)
        one = far[top:bottom, left:right].ravel()
        two = near[top - down : bottom - down, left - across : right - across].ravel()
        at = (down % SHAPE[0], across % SHAPE[1])
        assert alike[at] == pytest.approx(np.corrcoef(one, two)[0, 1], abs=1e-3)
        assert count[at] == one.size
        assert least[at] == pytest.approx(min(one.std(), two.std()), abs=1e-3)


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
