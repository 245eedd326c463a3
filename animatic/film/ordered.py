"""Work in parallel threads, with results in order, bounded memory and a prompt end."""

from __future__ import annotations

import contextlib
import os
import queue
import threading
from collections import deque
from collections.abc import Callable, Generator, Iterable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from typing import Generic, TypeVar, cast

__all__ = ["Stop", "Stopped", "ahead", "default_workers", "in_order"]

Task = TypeVar("Task")
Result = TypeVar("Result")

_PATIENCE = 0.1
"""Seconds after which a waiting thread looks whether it should end."""


class Stop:
    """A sign to all threads of one piece of work that it is over."""

    def __init__(self) -> None:
        self._event = threading.Event()

    def set(self) -> None:
        """Ask all threads to end."""
        self._event.set()

    def is_set(self) -> bool:
        """Whether they have been asked."""
        return self._event.is_set()

    def check(self) -> None:
        """Raise `Stopped` where they have been asked."""
        if self._event.is_set():
            raise Stopped


class Stopped(Exception):
    """Raised inside a thread whose result nobody waits for any more."""


def default_workers() -> int:
    """Return how many threads code pictures: one a core that this process may use, at most 8."""
    try:
        cores = len(os.sched_getaffinity(0))
    except AttributeError:
        cores = os.cpu_count() or 1
    return max(1, min(8, cores))


def in_order(
    work: Callable[[Task], Result], tasks: Iterable[Task], workers: int, stop: Stop
) -> Generator[tuple[Task, Result], None, None]:
    """Yield (task, work(task)) in the order of the tasks, worked on by `workers` threads.

    At most workers + 2 tasks are begun before their results are taken. The first exception
    ends it; so does closing the generator, as soon as the tasks in work see `stop`.
    """
    pool = ThreadPoolExecutor(workers, thread_name_prefix="picture")
    waiting: deque[tuple[Task, Future[Result]]] = deque()
    try:
        for task in tasks:
            waiting.append((task, pool.submit(work, task)))
            if len(waiting) > workers + 1:
                first, future = waiting.popleft()
                yield first, future.result()
        while waiting:
            first, future = waiting.popleft()
            yield first, future.result()
    except BaseException:
        stop.set()
        raise
    finally:
        pool.shutdown(cancel_futures=True)


def ahead(items: Iterable[Result], depth: int, stop: Stop) -> Generator[Result, None, None]:
    """Yield the items, made by a thread of their own that is at most `depth` items ahead.

    An exception of the items is raised here. Closing the generator ends the thread at its
    next item.
    """
    made: queue.Queue[_Made[Result]] = queue.Queue(depth)
    over = threading.Event()

    def put(item: _Made[Result]) -> bool:
        while not (over.is_set() or stop.is_set()):
            with contextlib.suppress(queue.Full):
                made.put(item, timeout=_PATIENCE)
                return True
        return False

    def make() -> None:
        try:
            for item in items:
                if not put(_Made(item)):
                    return
            put(_Made(None, is_last=True))
        except BaseException as error:
            put(_Made(None, error=error))

    # A thread that is still in a long call must not hold up the end of the program.
    thread = threading.Thread(target=make, name="sound", daemon=True)
    thread.start()
    try:
        while True:
            item = made.get()
            if item.error is not None:
                raise item.error
            if item.is_last:
                return
            yield cast(Result, item.value)
    finally:
        over.set()
        thread.join(timeout=1)


@dataclass(frozen=True, slots=True)
class _Made(Generic[Result]):
    value: Result | None
    error: BaseException | None = None
    is_last: bool = False
