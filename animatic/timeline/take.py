"""A take: what was shot for a shot, as one stored picture for each frame."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

__all__ = ["Take", "Taken"]


@dataclass(frozen=True, slots=True)
class Taken:
    """One stored picture: a file, or picture `number` (from 0) of a video file."""

    file: Path
    number: int | None = None


@dataclass(frozen=True, slots=True)
class Take:
    """The pictures of frames [first, end), one a frame.

    On a panel, frames count from the panel's start: a handle or an overlap before it has
    numbers below 0. `size` is the width and height in pixels of every upright picture.

    >>> take = Take("10_take1", (640, 360), -1, (Taken(Path("1.png")), Taken(Path("2.png"))))
    >>> take.end, take.at(0).file.name, take.at(1)
    (1, '2.png', None)
    """

    name: str
    size: tuple[int, int]
    first: int
    pictures: tuple[Taken, ...]

    @property
    def end(self) -> int:
        """The frame after the last."""
        return self.first + len(self.pictures)

    def at(self, frame: int) -> Taken | None:
        """Return the picture of a frame; None where the take has none."""
        return self.pictures[frame - self.first] if self.first <= frame < self.end else None
