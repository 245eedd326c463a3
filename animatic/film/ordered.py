"""Work in parallel threads, with results in order, bounded memory and a prompt end."""

from __future__ import annotations

import contextlib
import os
import queue
import threading
from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from typing import Generic, TypeVar, cast

__all__ = ["InOrder", "Stop", "Stopped", "ahead", "default_workers"]

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


class InOrder(Generic[Task, Result]):
    """The pairs (task, work(task)) in the order of the tasks, worked on by threads.

    Work begins at once, before the first pair is asked for. `workers` + 2 tasks are begun
    before their results are taken, and more as long as what they weigh in all stays below
    `room`. The first exception ends it; so does closing it, as soon as the tasks in work see
    `stop`.
    """

    def __init__(
        self,
        work: Callable[[Task], Result],
        tasks: Iterable[Task],
        workers: int,
        stop: Stop,
        *,
        weigh: Callable[[Task], int] = lambda task: 1,
        room: int = 0,
    ) -> None:
        self._work, self._tasks, self._stop = work, iter(tasks), stop
        self._weigh, self._room, self._least = weigh, room, workers + 2
        self._pool = ThreadPoolExecutor(workers, thread_name_prefix="picture")
        self._waiting: deque[tuple[Task, Future[Result]]] = deque()
        self._weight = 0
        self._begin()

    def _begin(self) -> None:
        """Begin as many tasks as may be."""
        while len(self._waiting) < self._least or self._weight < self._room:
            for task in self._tasks:
                self._waiting.append((task, self._pool.submit(self._work, task)))
                self._weight += self._weigh(task)
                break
            else:
                return

    def __iter__(self) -> Iterator[tuple[Task, Result]]:
        """Yield the pairs; to be called once."""
        try:
            while self._waiting:
                self._begin()
                task, future = self._waiting.popleft()
                self._weight -= self._weigh(task)
                yield task, future.result()
        except BaseException:
            self._stop.set()
            raise
        finally:
            self.close()

    def close(self) -> None:
        """Wait for what is in work, and begin nothing more."""
        if self._waiting:
            self._stop.set()
        self._tasks = iter(())
        self._pool.shutdown(cancel_futures=True)


def ahead(items: Iterable[Result], depth: int, stop: Stop) -> Generator[Result, None, None]:
    """Yield the items, made by a thread of their own that is at most `depth` items ahead.

    An exception of the items is raised here, and `Stopped` once `stop` is set and nothing
    more comes. Closing the generator ends the thread at its next item.
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
            try:
                item = made.get(timeout=_PATIENCE)
            except queue.Empty:
                # A thread that was stopped says nothing more, not even that it ends.
                stop.check()
                continue
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
