"""The order of setups that costs least, under "this one before that one".

It is the travelling salesman's way without return, with precedences. Up to `EXACT` setups a
dynamic programme over sets of setups (Held and Karp, 1962) finds the best order; beyond, a
good order is improved by moving stretches until no move helps, and a lower bound says how far
from the best it can be at most. Costs are whole seconds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from itertools import pairwise

__all__ = ["EXACT", "Ordered", "best_order", "find_circle"]

EXACT = 12
"""So many setups are ordered by trying everything, in a second."""


@dataclass(frozen=True, slots=True)
class Ordered:
    """An order of setups by index, what its changes cost, and the least any order could."""

    order: tuple[int, ...]
    cost: int
    bound: int
    """Equal to `cost` where the order is proved best."""

    @property
    def is_best(self) -> bool:
        """Whether no order can cost less."""
        return self.cost == self.bound


def find_circle(before: Sequence[frozenset[int]]) -> tuple[int, ...]:
    """Return setups that wait for each other in a circle, or nothing.

    `before[i]` are the setups that must come before setup i.

    >>> find_circle([frozenset({1}), frozenset({0})])
    (0, 1)
    >>> find_circle([frozenset(), frozenset({0})])
    ()
    """
    try:
        TopologicalSorter({i: sorted(others) for i, others in enumerate(before)}).prepare()
    except CycleError as fault:
        return tuple(sorted(fault.args[1][1:]))
    return ()


def best_order(costs: Sequence[Sequence[int]], before: Sequence[frozenset[int]]) -> Ordered:
    """Return the order with the least sum of `costs[i][j]` over neighbours i, j.

    `before[i]` are the setups that must come before setup i. ValueError where they wait for
    each other in a circle. Of several best orders it is the one that keeps closest to the
    given one, so that the same input always gives the same order.

    >>> best_order([[0, 5, 1], [5, 0, 1], [1, 1, 0]], [frozenset()] * 3)
    Ordered(order=(0, 2, 1), cost=2, bound=2)
    """
    if circle := find_circle(before):
        raise ValueError(f"setups {circle} wait for each other")
    if len(costs) <= EXACT:
        order = _by_all_sets(costs, before)
        cost = cost_of(order, costs)
        return Ordered(order, cost, cost)
    from animatic.shoot.heuristic import good_order

    order = good_order(costs, before)
    return Ordered(order, cost_of(order, costs), min(cost_of(order, costs), _bound(costs, before)))


def cost_of(order: Sequence[int], costs: Sequence[Sequence[int]]) -> int:
    """Return the sum of the changes along an order."""
    return sum(costs[a][b] for a, b in pairwise(order))


def _by_all_sets(
    costs: Sequence[Sequence[int]], before: Sequence[frozenset[int]]
) -> tuple[int, ...]:
    """Return the cheapest order; of several, the one that keeps closest to the given order."""
    count = len(costs)
    if not count:
        return ()
    needs = [sum(1 << other for other in others) for others in before]

    def free(done: int) -> list[int]:
        return [i for i in range(count) if not done >> i & 1 and not needs[i] & ~done]

    # left[done][last] = what the cheapest way through all other setups costs from there.
    everything = (1 << count) - 1
    left: list[dict[int, int]] = [{} for _ in range(1 << count)]
    left[everything] = dict.fromkeys(range(count), 0)
    for done in range(everything - 1, 0, -1):
        ways = [(then, left[done | 1 << then].get(then)) for then in free(done)]
        ends = [(then, cost) for then, cost in ways if cost is not None]
        for last in range(count):
            if ends and done >> last & 1:
                left[done][last] = min(costs[last][then] + cost for then, cost in ends)
    order = [min(free(0), key=lambda i: (left[1 << i][i], i))]
    done = 1 << order[0]
    while done != everything:
        last = order[-1]
        then = min(free(done), key=lambda i: (costs[last][i] + left[done | 1 << i][i], i))
        order.append(then)
        done |= 1 << then
    return tuple(order)


def _bound(costs: Sequence[Sequence[int]], before: Sequence[frozenset[int]]) -> int:
    """Return a sum that no order can go below.

    Each setup but one is left for another: the cheapest assignment of followers, with one
    setup that has none, is a relaxation of every order.
    """
    import numpy as np
    from scipy.optimize import linear_sum_assignment

    count = len(costs)
    never = 1 + sum(max(row) for row in costs)
    # The extra row and column stand for the start and the end of the order.
    table = np.zeros((count + 1, count + 1), dtype=np.int64)
    table[:count, :count] = costs
    for i in range(count):
        table[i, i] = never
        for j in before[i]:
            table[i, j] = never
    table[count, count] = never
    rows, columns = linear_sum_assignment(table)
    return int(table[rows, columns].sum())
