"""What a writer tells while it writes, and when it is done."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from animatic.sound import Programme

__all__ = ["FilmReport", "Progress"]


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a film is: frames written, of all its frames."""

    done: int
    total: int


@dataclass(frozen=True, slots=True)
class FilmReport:
    """What was written."""

    path: Path
    frames: int
    samples: int
    size: tuple[int, int]
    segments: int
    """Stretches that the film is put together from."""
    coded: int
    """Of these, how many were coded in this run; the others were in the cache."""
    bytes: int
    """The file's length."""
    programme: Programme | None = None
    """How loud the whole film is; None where its sound is not the board's own."""
