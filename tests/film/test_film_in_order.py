"""Threads: results in order, bounded, with the first fault, and a prompt end."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator

import pytest

from animatic.film.ordered import InOrder, Stop, Stopped, ahead


@pytest.mark.parametrize("workers", [1, 2, 5])
def test_order_and_bound(workers: int) -> None:
    begun: list[int] = []
    lead: list[int] = []

    def work(task: int) -> int:
        begun.append(task)
        time.sleep(0.002 * (task % 3))
        return task * task

    for task, result in InOrder(work, range(40), workers, Stop()):
        assert result == task * task
        lead.append(len(begun) - task)
    assert len(lead) == 40
    assert max(lead) <= workers + 2


def test_work_begins_before_it_is_asked_for_and_heavy_tasks_are_not_piled_up() -> None:
    begun: list[int] = []
    lead: list[int] = []

    def work(task: int) -> int:
        begun.append(task)
        return task

    # Ten tasks of weight 1 go into the room of 10, of the heavy ones behind them only the least.
    run = InOrder(work, range(40), 2, Stop(), weigh=lambda task: 1 if task < 20 else 100, room=10)
    time.sleep(0.2)
    assert sorted(begun) == list(range(10))
    for task, _ in run:
        time.sleep(0.002)
        lead.append(len(begun) - task)
    assert len(begun) == 40
    assert max(lead[:8]) == 10
    assert max(lead[20:]) <= 4


def test_closing_it_before_it_is_used_ends_the_work() -> None:
    stop = Stop()

    def work(task: int) -> int:
        while True:
            stop.check()
            time.sleep(0.005)

    InOrder(work, range(10), 2, stop).close()
    assert stop.is_set()


def test_the_first_fault_comes_through_and_ends_the_rest() -> None:
    stop = Stop()
    seen: list[int] = []

    def work(task: int) -> int:
        if task == 3:
            raise ValueError("three")
        for _ in range(500 if task > 3 else 1):
            stop.check()
            time.sleep(0.01)
        return task

    begun = time.monotonic()
    with pytest.raises(ValueError, match=r"^three$"):
        seen.extend(task for task, _ in InOrder(work, range(100), 2, stop))
    assert seen == [0, 1, 2]
    assert stop.is_set()
    assert time.monotonic() - begun < 4
    with pytest.raises(Stopped):
        stop.check()


def test_closing_ends_the_work() -> None:
    stop = Stop()

    def work(task: int) -> int:
        while task:
            stop.check()
            time.sleep(0.005)
        return task

    results = InOrder(work, range(10), 1, stop)
    begun = time.monotonic()
    threading.Timer(0.2, stop.set).start()
    with pytest.raises(Stopped):
        list(results)
    assert time.monotonic() - begun < 4


def test_ahead_is_bounded_and_in_order() -> None:
    made: list[int] = []

    def items() -> Iterator[int]:
        for number in range(100):
            made.append(number)
            yield number

    for number in (run := ahead(items(), 5, Stop())):
        if number == 50:
            time.sleep(0.05)
        assert len(made) - number <= 8
    assert made == list(range(100))
    run.close()


def test_ahead_passes_faults_on() -> None:
    def items() -> Iterator[int]:
        yield 1
        raise ValueError("two")

    run = ahead(items(), 5, Stop())
    assert next(run) == 1
    with pytest.raises(ValueError, match=r"^two$"):
        next(run)


def test_closing_ahead_ends_its_thread() -> None:
    def items() -> Iterator[int]:
        while True:
            yield 1

    run = ahead(items(), 2, Stop())
    next(run)
    run.close()
    assert not [one for one in threading.enumerate() if one.name == "sound"]


def test_a_stop_ends_one_ahead_of_another() -> None:
    """As the coded sound runs ahead of the film, and the mix ahead of the coding."""
    before = threading.active_count()
    for _ in range(5):
        stop = Stop()
        run = ahead(ahead(until(stop), 2, stop), 2, stop)
        assert next(run) == 1
        stop.set()
        run.close()
    assert_ended(before)


def until(stop: Stop) -> Iterator[int]:
    """Yield one item, and the next only after the stop."""
    yield 1
    while not stop.is_set():
        time.sleep(0.005)
    yield 2


def assert_ended(before: int) -> None:
    """Wait until no more threads run than before; they look every tenth of a second."""
    for _ in range(100):
        if threading.active_count() <= before:
            return
        time.sleep(0.05)
    raise AssertionError([one.name for one in threading.enumerate()])
