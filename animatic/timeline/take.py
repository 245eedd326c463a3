"""A take: what was shot for a shot, as one stored picture for each frame."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from animatic.words import counted

__all__ = ["COUNTED", "Source", "Take", "Taken"]

COUNTED = "each source: one picture a frame to shoot, first the handle"
"""What the lists for the edit take for granted of the media that they name."""


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


@dataclass(frozen=True, slots=True)
class Source:
    """What a shot is to the edit: media with a picture for each of its frames to shoot.

    A take may hold something else, and then says what is to be done with it first.
    """

    name: str
    frames: int = 0
    """Frames to shoot that a take covers; 0 where none is known."""
    pictures: int = 0
    """Pictures that it has for them: fewer where it has one a pose."""
    late: int = 0
    """Frames to shoot before its first picture, which it leaves out."""

    @property
    def is_one_a_pose(self) -> bool:
        """Whether its pictures stand for the frames of their poses."""
        return self.pictures < self.frames

    def remarks(self) -> Iterator[str]:
        """Yield what the media lacks of what the edit counts on.

        >>> list(Source("30_take1", 72, 36, 8).remarks())
        ['36 pictures, one a pose: expand to 72 frames first', 'begins at source frame 8']
        """
        if self.is_one_a_pose:
            pictures = counted(self.pictures, "picture")
            yield f"{pictures}, one a pose: expand to {counted(self.frames, 'frame')} first"
        if self.late:
            yield f"begins at source frame {self.late}"
