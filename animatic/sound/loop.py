"""A sound that repeats: its pieces laid over each other, crossing with equal power."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from animatic.sound.decode import Sound, open_sound
from animatic.sound.levels import Gains, fade_gains

__all__ = ["Looped"]


class Looped:
    """A sound file read forwards as one that repeats; used as a `Sound` is.

    `pieces` are half-open ranges in samples; each is played from the file's sample `skip` on.
    Where two neighbours overlap, they cross: their powers add up to one. No more than two
    are open at a time.
    """

    def __init__(self, path: Path, skip: int, pieces: Sequence[tuple[int, int]]) -> None:
        self._path, self._skip, self._pieces = path, skip, pieces
        self._ends = [end for _, end in pieces]
        self._at = 0
        self._open: dict[int, Sound] = {}

    def close(self) -> None:
        """Close the file."""
        for sound in self._open.values():
            sound.close()
        self._open = {}

    def ahead(self, count: int) -> int:
        """Return how many of the next `count` samples there are."""
        return max(0, min(count, self._ends[-1] - self._at))

    def skip(self, count: int) -> int:
        """Pass over `count` samples; return how many there were."""
        passed = self.ahead(count)
        self._at += passed
        return passed

    def read(self, count: int) -> NDArray[np.float64]:
        """Return the next `count` samples (samples, 1 or 2 channels); fewer only at the end."""
        first, end = self._at, self._at + self.ahead(count)
        parts: list[tuple[int, NDArray[np.float64]]] = []
        for number in range(bisect_right(self._ends, first), len(self._pieces)):
            start, over = self._pieces[number]
            if start >= end:
                break
            begin = max(start, first)
            sound = self._sound(number, begin - start)
            block = sound.read(min(over, end) - begin).astype(np.float64)
            gains = self._gains(number, begin, len(block))
            parts.append((begin - first, block * gains[:, np.newaxis]))
            if over <= end:
                self._open.pop(number).close()
        channels = max((block.shape[1] for _, block in parts), default=1)
        whole = np.zeros((end - first, channels))
        for at, block in parts:
            whole[at : at + len(block)] += block
        self._at = end
        return whole

    def _sound(self, number: int, at: int) -> Sound:
        if number not in self._open:
            self._open[number] = open_sound(self._path)
            self._open[number].skip(self._skip + at)
        return self._open[number]

    def _gains(self, number: int, first: int, count: int) -> Gains:
        start, end = self._pieces[number]
        gains = np.ones(count)
        if number and first < (over := self._pieces[number - 1][1]):
            gains *= fade_gains(first - start, count, over - start, "equal power")
        if number + 1 < len(self._pieces) and first + count > (
            following := self._pieces[number + 1][0]
        ):
            gains *= fade_gains(end - first - count, count, end - following, "equal power")[::-1]
        return gains
