"""A good order of many setups: always on to the nearest, then improved move by move.

All moves of one kind are weighed at once, as tables of numpy: what is cut, what is joined, and
where something would come before what it waits for. A round takes time with the square of the
setups. Costs are whole numbers, and every order here keeps what must come before what.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

__all__ = ["good_order"]

LONGEST = 4
"""Setups of a stretch that is moved elsewhere."""
_MOST_PLACES = 400_000
"""So many places in the tables of all orders that are improved together: about a second."""
_NEVER = np.iinfo(np.int64).max // 4
Table = NDArray[np.int64]
Order = NDArray[np.intp]
_Move = tuple[int, int, int, bool]
"""First and last place of a stretch, the place that it goes behind, and whether it is turned."""


def good_order(costs: Sequence[Sequence[int]], before: Sequence[frozenset[int]]) -> tuple[int, ...]:
    """Return an order that no move of a stretch, and no turning round of one, makes cheaper.

    `costs[i][j]` is what j right after i costs; `before[i]` are those that come before i, and
    none waits for itself in a circle.

    >>> good_order([[0, 9, 1], [9, 0, 1], [1, 1, 0]], [frozenset()] * 3)
    (0, 2, 1)
    """
    count = len(costs)
    # Behind the last setup stands one of no cost: the start and the end of every order.
    table: Table = np.zeros((count + 1, count + 1), np.int64)
    table[:count, :count] = costs
    waits = np.zeros((count + 1, count + 1), np.bool_)
    for i, others in enumerate(before):
        waits[list(others), i] = True
    found = [_improved(order, table, waits) for order in _nearest_next(table, waits)]
    return min(found)[1] if found else ()


def _improved(order: Order, table: Table, waits: NDArray[np.bool_]) -> tuple[int, tuple[int, ...]]:
    """Return what an order costs after the best move, again and again until none helps; and it."""
    while len(order) > 1 and (move := _best_move(order, table, waits)) is not None:
        order = _moved(order, *move)
    return int(table[order[:-1], order[1:]].sum()), tuple(int(i) for i in order)


def _nearest_next(table: Table, waits: NDArray[np.bool_]) -> list[Order]:
    """Return the best of the orders that always go on to the nearest setup that is free.

    They are as many as there is time to improve: all of 60 setups, ten of 200, one of 500.
    """
    count = len(table) - 1
    costs, follows = table[:count, :count], waits[:count, :count]
    starts = np.flatnonzero(~follows.any(axis=0))
    rows = np.arange(len(starts))
    # A row for each start: how many each setup still waits for.
    left = np.tile(follows.sum(axis=0, dtype=np.int64), (len(starts), 1))
    orders = np.empty((len(starts), count), np.intp)
    spent = np.zeros(len(starts), np.int64)
    last = starts
    for step in range(count):
        if step:
            ways = np.where(left == 0, costs[last], _NEVER)
            then = ways.argmin(axis=1)
            spent += costs[last, then]
            last = then
        orders[:, step] = last
        left -= follows[last]
        left[rows, last] = -1
    most = max(1, _MOST_PLACES // max(1, count) ** 2)
    return [orders[at] for at in spent.argsort(kind="stable")[:most]]


def _best_move(order: Order, table: Table, waits: NDArray[np.bool_]) -> _Move | None:
    """Return the move that saves most, None where none saves anything."""
    around = np.concatenate(([len(order)], order, [len(order)]))
    laid, ahead = table[np.ix_(around, around)], waits[np.ix_(around, around)]
    least, best = 0, None
    for saves, move in (*_turns(laid, ahead), *_shifts(laid, ahead)):
        if saves < least:
            least, best = saves, move
    return best


def _turned_cost(laid: Table) -> Table:
    """Return by how much each way up to a place costs more the other way round."""
    there, back = np.diagonal(laid, 1), np.diagonal(laid, -1)
    return np.concatenate(([0], np.cumsum(back - there)))


def _turns(laid: Table, ahead: NDArray[np.bool_]) -> Iterator[tuple[int, _Move]]:
    """Yield the best turning round of a stretch from place i to place j; places count from 1."""
    count = len(laid) - 2
    steps, turned = np.diagonal(laid, 1), _turned_cost(laid)[1:-1]
    cost = laid[:count, 1:-1] + laid[1:-1, 2:]
    cost = cost - steps[:count, None] - steps[None, 1:] + turned[None, :] - turned[:, None]
    places = np.arange(count + 2)
    # The latest place that something up to j waits for has to lie before i.
    latest = np.maximum.accumulate((ahead * places[:, None]).max(axis=0))[1:-1]
    first = places[1:-1, None]
    cost[(first >= places[None, 1:-1]) | (latest[None, :] >= first)] = _NEVER
    i, j = np.unravel_index(cost.argmin(), cost.shape)
    yield int(cost[i, j]), (int(i) + 1, int(j) + 1, int(i), True)


def _shifts(laid: Table, ahead: NDArray[np.bool_]) -> Iterator[tuple[int, _Move]]:
    """Yield the best shift of a stretch of each length, as it is and turned round."""
    count = len(laid) - 2
    steps, turned = np.diagonal(laid, 1), _turned_cost(laid)
    places = np.arange(count + 2)
    waits_for = (ahead * places[:, None]).max(axis=0)
    gaps = places[None, :-1]
    for length in range(1, min(LONGEST, count - 1) + 1):
        first = places[1 : count - length + 2]
        last = first + length - 1
        inside = [first + n for n in range(length)]
        # Up to where a stretch may go: behind what it waits for, and before what waits for it.
        needed = np.logical_or.reduce([ahead[:, at].T for at in inside])
        needed &= places[None, :] < first[:, None]
        waiting = np.logical_or.reduce([ahead[at] for at in inside])
        waiting &= places[None, :] > last[:, None]
        earliest = (needed * places[None, :]).max(axis=1)
        latest = np.where(waiting, places[None, :], count + 2).min(axis=1) - 1
        may = (gaps >= earliest[:, None]) & (gaps <= latest[:, None])
        may &= (gaps < first[:, None] - 1) | (gaps > last[:, None])
        rest = (laid[first - 1, last + 1] - steps[first - 1] - steps[last])[:, None] - steps
        straight = rest + laid[:-1, first].T + laid[last, 1:]
        yield _cheapest(np.where(may, straight, _NEVER), length, is_turned=False)
        if length > 1:
            round_ = rest + laid[:-1, last].T + laid[first, 1:]
            round_ += (turned[last] - turned[first])[:, None]
            may &= (np.max([waits_for[at] for at in inside], axis=0) < first)[:, None]
            yield _cheapest(np.where(may, round_, _NEVER), length, is_turned=True)


def _cheapest(cost: Table, length: int, *, is_turned: bool) -> tuple[int, _Move]:
    row, gap = np.unravel_index(cost.argmin(), cost.shape)
    first = int(row) + 1
    return int(cost[row, gap]), (first, first + length - 1, int(gap), is_turned)


def _moved(order: Order, first: int, last: int, gap: int, is_turned: bool) -> Order:
    """Return the order with a stretch behind the place `gap` of it; places count from 1.

    >>> _moved(np.arange(5), 1, 2, 4, True).tolist()
    [2, 3, 1, 0, 4]
    """
    stretch = order[first - 1 : last]
    parts = (order[: min(first - 1, gap)], order[min(first - 1, gap) : first - 1])
    after = (order[last : max(last, gap)], order[max(last, gap) :])
    stretch = stretch[::-1] if is_turned else stretch
    if gap < first:
        return np.concatenate((parts[0], stretch, parts[1], *after))
    return np.concatenate((*parts, after[0], stretch, after[1]))
