"""The numbered pictures of a take's folder: which file is of which number, and which are missing.

A sequence may start at any number. Two numberings in one folder are two sequences, and which
of them is the take is not for a program to guess.
"""

from __future__ import annotations

import os
import re
import unicodedata
from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from animatic.errors import MediaError

__all__ = ["Numbered", "numbered", "ranges"]

SUFFIXES = frozenset(
    f".{ending}"
    for ending in (
        *("jpg", "jpeg", "png", "tif", "tiff", "webp", "bmp", "ppm", "jp2", "avif", "heic", "heif"),
    )
)
_NUMBER = re.compile(r"^(.*?)(\d{1,18})(\D*)$", re.DOTALL)
_LAST_OF_CAMERA = 9999
"""A camera goes on from 9999 with 0001 (JEITA CP-3461, the design rule for camera files); there
are some that go on with 0000 (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Numbered:
    """The pictures of a folder in order, with their numbers and times of change (ns)."""

    files: tuple[Path, ...]
    numbers: tuple[int, ...]
    """Rising; from 10000 on where a camera began again at 1 or 0."""
    changed: tuple[int, ...]

    @property
    def slots(self) -> int:
        """Numbers from the first to the last, those that are missing included."""
        return self.numbers[-1] - self.numbers[0] + 1

    @property
    def missing(self) -> tuple[tuple[int, int], ...]:
        """The numbers that are not there, as (first, last)."""
        gaps = pairwise(self.numbers)
        return tuple((a + 1, b - 1) for a, b in gaps if b > a + 1)

    def name(self, number: int) -> str:
        """Return a number as the files write it: with the zeros of the first one.

        >>> Numbered((Path("f_0007.png"),), (7,), (0,)).name(12)
        '0012'
        """
        match = _NUMBER.match(self.files[0].stem)
        width = len(match[2]) if match else 0
        if number > _LAST_OF_CAMERA >= self.numbers[0] and width == 4:
            number -= self._again
        return f"{number:0{width}}"

    @property
    def _again(self) -> int:
        """By how much the numbers from 10000 on are higher than the files write them."""
        at = bisect_right(self.numbers, _LAST_OF_CAMERA)
        match = _NUMBER.match(self.files[at].stem) if at < len(self.files) else None
        return self.numbers[at] - int(match[2]) if match else _LAST_OF_CAMERA


def ranges(numbered: Numbered, runs: tuple[tuple[int, int], ...]) -> str:
    """Return runs of numbers in words.

    >>> ranges(Numbered((Path("f_0007.png"),), (7,), (0,)), ((3, 3), (5, 9)))
    '0003, 0005-0009'
    """
    names = ((numbered.name(a), numbered.name(b)) for a, b in runs)
    return ", ".join(a if a == b else f"{a}-{b}" for a, b in names)


def numbered(folder: Path) -> Numbered:
    """Return the numbered pictures of a folder; hidden files and other kinds are passed over.

    MediaError, in words that do not name the folder, where there are none, two numberings,
    or one number twice.
    """
    runs: dict[tuple[str, str, str], dict[int, list[os.DirEntry[str]]]] = {}
    try:
        with os.scandir(folder) as entries:
            for entry in entries:
                stem, suffix = os.path.splitext(entry.name)
                match = _NUMBER.match(stem)
                if entry.name[0] in "._" or suffix.lower() not in SUFFIXES or not match:
                    continue
                if entry.is_file():
                    key = (_plain(match[1]), _plain(match[3]), suffix.lower())
                    runs.setdefault(key, {}).setdefault(int(match[2]), []).append(entry)
        return _one(folder, runs)
    except OSError as fault:
        raise MediaError(f"the folder cannot be read ({fault.strerror})") from None


def _one(
    folder: Path, runs: dict[tuple[str, str, str], dict[int, list[os.DirEntry[str]]]]
) -> Numbered:
    """Return the one sequence that there is."""
    if not runs:
        raise MediaError("there are no numbered pictures in it, as 0001.jpg")
    if len(runs) > 1:
        shown = " and ".join(sorted(_shown(run) for run in runs.values()))
        raise MediaError(f"there are {len(runs)} numberings in it, {shown}; keep one of them")
    [run] = runs.values()
    twice = next((each for each in run.values() if len(each) > 1), None)
    if twice is not None:
        names = " and ".join(sorted(entry.name for entry in twice))
        raise MediaError(f"one number is there twice, {names}; keep one of them")
    found = sorted(_unwound(list(run)).items())
    entries = [run[written][0] for _, written in found]
    return Numbered(
        tuple(folder / entry.name for entry in entries),
        tuple(number for number, _ in found),
        tuple(entry.stat().st_mtime_ns for entry in entries),
    )


def _plain(text: str) -> str:
    """Return a name as it compares: one file system keeps accents apart, another does not."""
    return unicodedata.normalize("NFC", text).casefold()


def _shown(run: dict[int, list[os.DirEntry[str]]]) -> str:
    first, last = run[min(run)][0].name, run[max(run)][0].name
    return first if first == last else f"{first} to {last}"


def _unwound(numbers: list[int]) -> dict[int, int]:
    """Return each number as written under its place in a count that does not begin again."""
    ordered = sorted(numbers)
    if ordered[0] <= 1 and ordered[-1] == _LAST_OF_CAMERA and len(ordered) < _LAST_OF_CAMERA:
        gap, high = max((b - a, b) for a, b in pairwise(ordered))
        if gap > _LAST_OF_CAMERA // 2:
            again = _LAST_OF_CAMERA + (ordered[0] == 0)
            return {n if n >= high else n + again: n for n in ordered}
    return {n: n for n in ordered}
