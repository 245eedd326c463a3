"""Sharing whole frames, and rounding positions, against published examples and a library.

Sharing by largest remainder is the Hamilton method of apportioning seats; its published
examples show that a share may fall when the total grows, which no other common method does.
"""

from __future__ import annotations

import random
from fractions import Fraction

import pytest
from apportionment import methods

from animatic.frames import Rate, apportion, lengths_from_seconds, round_half_up

SEEN = "published example, seen; author not noted"
ENCYCLOPEDIA = "Alabama paradox, open encyclopedias (reference.com and academickids.com), seen"
NET_MATH = "'Alabama paradox', net.math newsgroup, 15 March 1982, seen"
COMAP = "COMAP, For All Practical Purposes, 10th edition, question 14.45, seen"

SHARES = [
    ([6, 6, 2], 10, [4, 4, 2], ENCYCLOPEDIA),
    ([6, 6, 2], 11, [5, 5, 1], ENCYCLOPEDIA),
    ([5670, 3850, 420, 60], 323, [183, 124, 14, 2], ENCYCLOPEDIA),
    ([5670, 3850, 420, 60], 324, [184, 125, 13, 2], ENCYCLOPEDIA),
    ([1, 5, 13], 28, [2, 7, 19], SEEN),
    ([1, 5, 13], 29, [1, 8, 20], SEEN),
    ([50, 30, 20], 7, [4, 2, 1], SEEN),
    ([3, 7, 90], 49, [2, 3, 44], NET_MATH),
    ([3, 7, 90], 51, [1, 4, 46], NET_MATH),
    ([5576330, 1387342, 3334241, 7512860, 310968], 89, [27, 7, 16, 37, 2], COMAP),
    ([5576330, 1387342, 3334241, 7512860, 310968], 90, [28, 7, 17, 37, 1], COMAP),
    ([5576330, 1387342, 3334241, 7512860, 310968], 91, [28, 7, 17, 38, 1], COMAP),
]


@pytest.mark.parametrize(("weights", "total", "shares", "source"), SHARES)
def test_published_shares(weights: list[int], total: int, shares: list[int], source: str) -> None:
    """Two witnesses for each row: what was printed, and apportionment 1.0 (Lackner)."""
    assert apportion(weights, total) == shares, source
    assert methods.compute("largest_remainder", weights, total, fractions=True) == shares, source


def test_against_the_library() -> None:
    """apportionment 1.0, largest remainder in exact fractions, over films of many shapes."""
    chance, compared = random.Random(20), 0
    for _ in range(1500):
        weights = [chance.randint(1, 400) for _ in range(chance.randint(1, 40))]
        total = chance.randint(1, 5000)
        try:
            expected = methods.compute(
                "largest_remainder", weights, total, fractions=True, tiesallowed=False
            )
        except methods.TiesException:
            continue
        assert apportion(weights, total) == expected, (weights, total)
        compared += 1
    assert compared > 1400


def test_the_library_is_wrong_where_a_tie_stands_before_a_greater_remainder() -> None:
    """Shares 0.6, 0.6 and 1.8, two left to give: 1.8 comes first, then one of the others.

    apportionment 1.0 gives in the order of the parties and has none left for the greatest
    remainder. If this fails the library has been mended: then compare ties at random as well.
    """
    assert methods.compute("largest_remainder", [1, 1, 3], 3, fractions=True) == [1, 1, 1]
    assert apportion([1, 1, 3], 3) == [1, 0, 2]


@pytest.mark.parametrize(
    ("weights", "total"), [([1, 1], 3), ([1, 1, 1, 1], 6), ([2, 4, 2], 2), ([7] * 9, 40)]
)
def test_ties_against_the_library(weights: list[int], total: int) -> None:
    """Where nothing but equals are left, apportionment 1.0 gives to the first, as we do."""
    expected = methods.compute("largest_remainder", weights, total, fractions=True)
    assert apportion(weights, total) == expected


WRITTEN = [Fraction(length) for length in ("1.3", "2.1", "0.7", "3.33", "1.25")]


@pytest.mark.parametrize(
    ("name", "lengths", "total"),
    [("24", [31, 51, 16, 80, 30], 208), ("25", [33, 52, 18, 83, 31], 217)],
)
def test_positions_are_rounded_and_not_lengths(name: str, lengths: list[int], total: int) -> None:
    """Arithmetic, computed with two independent libraries; the halves go up."""
    laid = lengths_from_seconds(WRITTEN, Rate.named(name))
    assert laid == lengths
    assert sum(laid) == total


def test_rounding_each_length_alone_would_be_a_frame_too_long() -> None:
    """What the rule above is for: the same lengths, each rounded by itself, make 218."""
    alone = [round_half_up(length * 25) for length in WRITTEN]
    assert (alone, sum(alone)) == ([33, 53, 18, 83, 31], 218)
    assert sum(lengths_from_seconds(WRITTEN, Rate.named("25"))) == 217


def test_halves_go_up_and_not_to_even() -> None:
    """Python's own round takes 32.5 to 32 (Python language reference, from memory)."""
    assert round(32.5) == 32
    assert round_half_up(Fraction("32.5")) == 33
    assert lengths_from_seconds([Fraction("1.3")], Rate.named("25")) == [33]
