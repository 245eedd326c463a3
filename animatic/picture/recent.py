"""What was made lately and is kept, up to a number of bytes; safe in threads."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from concurrent.futures import Future
from typing import Generic, TypeVar

__all__ = ["Recent"]

T = TypeVar("T")


class Recent(Generic[T]):
    """Values by key; over the limit the ones longest unused go first.

    Two threads that ask for one key at the same time get the same value, made once. What
    fails is not kept.

    >>> recent = Recent(limit=10, weigh=len)
    >>> [recent.get(word, lambda: word * 2) for word in ("abc", "de", "fghi")]
    ['abcabc', 'dede', 'fghifghi']
    >>> sorted(recent.keys())
    ['fghi']
    """

    def __init__(self, limit: int, weigh: Callable[[T], int]) -> None:
        self._limit = limit
        self._weigh = weigh
        self._kept: OrderedDict[Hashable, tuple[T, int]] = OrderedDict()
        self._making: dict[Hashable, Future[T]] = {}
        self._weight = 0
        self._lock = threading.Lock()

    def keys(self) -> list[Hashable]:
        """Return what is kept, longest unused first."""
        with self._lock:
            return list(self._kept)

    @property
    def weight(self) -> int:
        """The weight of all that is kept."""
        with self._lock:
            return self._weight

    def get(self, key: Hashable, make: Callable[[], T]) -> T:
        """Return the value of a key, made by `make` unless it is kept or being made."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key][0]
            other = self._making.get(key)
            if other is None:
                mine: Future[T] = Future()
                self._making[key] = mine
        if other is not None:
            return other.result()
        try:
            value = make()
        except BaseException as error:
            with self._lock:
                del self._making[key]
            mine.set_exception(error)
            raise
        self._keep(key, value)
        mine.set_result(value)
        return value

    def _keep(self, key: Hashable, value: T) -> None:
        weight = self._weigh(value)
        with self._lock:
            del self._making[key]
            self._kept[key] = value, weight
            self._weight += weight
            # The newest stays even if it alone is over the limit: it is about to be used.
            while self._weight > self._limit and len(self._kept) > 1:
                self._weight -= self._kept.popitem(last=False)[1][1]
