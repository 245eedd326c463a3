"""The order of setups: best by trying every order, and never against what must come first."""

from __future__ import annotations

from itertools import pairwise, permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from animatic.shoot.order import EXACT, best_order, cost_of, find_circle


@st.composite
def problems(
    draw: st.DrawFn, least: int, most: int
) -> tuple[list[list[int]], list[frozenset[int]]]:
    count = draw(st.integers(least, most))
    cost = st.integers(0, 60)
    costs = [[0 if i == j else draw(cost) for j in range(count)] for i in range(count)]
    before = [frozenset(j for j in range(i) if draw(st.integers(0, 5)) == 0) for i in range(count)]
    return costs, before


def keeps(order: tuple[int, ...], before: list[frozenset[int]]) -> bool:
    place = {setup: at for at, setup in enumerate(order)}
    return all(place[other] < place[i] for i, others in enumerate(before) for other in others)


@settings(max_examples=80, deadline=None)
@given(problems(1, 7))
def test_no_other_order_costs_less(problem: tuple[list[list[int]], list[frozenset[int]]]) -> None:
    check_against_every_order(*problem)


@settings(max_examples=5, deadline=None)
@given(problems(8, 8))
def test_no_order_of_eight_costs_less(
    problem: tuple[list[list[int]], list[frozenset[int]]],
) -> None:
    check_against_every_order(*problem)


def check_against_every_order(costs: list[list[int]], before: list[frozenset[int]]) -> None:
    found = best_order(costs, before)
    assert keeps(found.order, before)
    cheapest = min(
        sum(costs[a][b] for a, b in pairwise(order))
        for order in permutations(range(len(costs)))
        if keeps(order, before)
    )
    assert found.cost == cheapest == cost_of(found.order, costs)
    assert found.is_best


def test_eight_setups_against_every_order() -> None:
    costs = [[(i * 7 + j * 13) % 23 if i != j else 0 for j in range(8)] for i in range(8)]
    cheapest = min(cost_of(order, costs) for order in permutations(range(8)))
    assert best_order(costs, [frozenset()] * 8).cost == cheapest


@settings(max_examples=15, deadline=None)
@given(problems(EXACT + 1, EXACT + 4))
def test_a_large_order_is_allowed_and_its_bound_holds(
    problem: tuple[list[list[int]], list[frozenset[int]]],
) -> None:
    costs, before = problem
    found = best_order(costs, before)
    assert sorted(found.order) == list(range(len(costs)))
    assert keeps(found.order, before)
    assert found.bound <= found.cost


def test_a_circle_is_found_and_refused() -> None:
    before = [frozenset({2}), frozenset({0}), frozenset({1}), frozenset()]
    assert set(find_circle(before)) == {0, 1, 2}
    with pytest.raises(ValueError, match="wait for each other"):
        best_order([[0] * 4] * 4, before)


@pytest.mark.parametrize("count", range(1, 7))
def test_of_orders_that_cost_the_same_the_films_own_comes_first(count: int) -> None:
    same = [[600] * count for _ in range(count)]
    assert best_order(same, [frozenset()] * count).order == tuple(range(count))
