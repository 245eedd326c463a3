"""Keeping the process's memory in one piece, and giving back what is left over.

Threads that make and drop pictures of several megabytes are hard on the GNU C library. By its
own rules it gives every large block back at once, and takes fresh pages for the next, which
costs a third of the time here; and it has a heap for each thread, whose holes grow with the
film: measured, 330 MB for 40 photos of 12 MP and 410 to 670 MB for 400. So blocks come from
one heap and stay in it, and when much has come together, it is asked to give back what is
free. With other C libraries nothing happens here.
"""

from __future__ import annotations

import ctypes
import os
import sys
import threading
from collections.abc import Callable
from functools import cache
from pathlib import Path

__all__ = ["Heap", "keep_together"]

_ROOM = 128_000_000
"""Bytes by which the process may grow before freed memory is given back."""
_STATE = Path("/proc/self/statm")
_RULES = {
    -8: 1,  # M_ARENA_MAX: one heap for all threads.
    -3: 32 * 2**20,  # M_MMAP_THRESHOLD, at its highest: blocks come from the heap.
    -1: 256 * 2**20,  # M_TRIM_THRESHOLD: what is free at its end stays, up to this.
}
"""The parameters of mallopt(3), by their numbers in malloc.h."""


@cache
def _library() -> ctypes.CDLL | None:
    return ctypes.CDLL(None) if sys.platform == "linux" else None


@cache
def keep_together() -> None:
    """Set the rules for the whole process; best before it has a second thread."""
    library = _library()
    if library is not None and hasattr(library, "malloc_trim"):
        for rule, value in _RULES.items():
            library.mallopt(rule, value)


class Heap:
    """Watches how large the process is, and gives freed memory back; safe in threads.

    >>> sizes = iter([100, 150, 220, 110, 160])
    >>> heap = Heap(room=100, size=lambda: next(sizes))
    >>> [heap.after_work() for _ in range(4)]
    [False, False, True, False]
    """

    def __init__(self, room: int = _ROOM, size: Callable[[], int] | None = None) -> None:
        self._room, self._size = room, size or _resident
        keep_together()
        self._give_back = getattr(_library(), "malloc_trim", None)
        self._lock = threading.Lock()
        self._least: int | None = None

    def after_work(self) -> bool:
        """Give memory back if much has come together; return whether it had."""
        if self._give_back is None:
            return False
        with self._lock:
            size = self._size()
            self._least = size if self._least is None else min(self._least, size)
            if size - self._least <= self._room:
                return False
            self._give_back(0)
            self._least = self._size()
            return True


def _resident() -> int:
    """Return the bytes of memory that the process has; 0 where nobody says so."""
    try:
        return int(_STATE.read_text().split()[1]) * os.sysconf("SC_PAGESIZE")
    except (OSError, IndexError, ValueError):
        return 0
