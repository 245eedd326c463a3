"""What is rigged for a shot, laid into the head of its exposure sheet so that all of it is there.

The head grows as far as the rows below can give way; then the page is laid across, and only where
that is not enough its letters become smaller.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from animatic.board.keys.schema import SetupEntry
from animatic.sheets.pdfpage import ELSEWHERE
from animatic.sheets.rows import notes, one_line
from animatic.timeline.model import Shot

__all__ = ["Laid", "laid", "rigged"]

_SIZES = tuple(half / 2 for half in range(18, 8, -1))
"""Points, from nine down."""
_LEADING = 1.3


@dataclass(frozen=True, slots=True)
class Laid:
    """Lines of words and what stands before each; `size` and `height` in points."""

    size: float
    lines: tuple[tuple[str, str], ...]

    @property
    def leading(self) -> float:
        """From line to line."""
        return self.size * _LEADING

    @property
    def height(self) -> float:
        """From the first base line to the last."""
        return self.leading * max(0, len(self.lines) - 1)


def rigged(shot: Shot, setup: SetupEntry) -> list[tuple[str, str]]:
    """Return what a shot needs on set, each with the word that stands before it."""
    pairs = [
        ("setup", ", ".join(filter(None, (shot.setup, setup.place)))),
        ("setup note", setup.note or ""),
        ("camera", ", ".join(filter(None, (setup.camera, setup.lens)))),
        ("lights", ", ".join(setup.lights)),
        ("notes", notes(shot)),
    ]
    return [(word, one_line(words)) for word, words in pairs if words]


def laid(
    pairs: Sequence[tuple[str, str]], wrap: Callable[[str, float], Sequence[str]], room: float
) -> Laid:
    """Return pairs in lines, in the largest letters with which they are at most `room` high.

    `wrap` gives words in lines at a size. What no size shows ends with where it stands whole.

    >>> laid([("camera", "low, 35 mm")], lambda words, size: words.split(", "), 12).lines
    (('camera', 'low'), ('', '35 mm'))
    """
    for size in _SIZES:
        lines = [
            ("" if at else word, line)
            for word, words in pairs
            for at, line in enumerate(wrap(words, size))
        ]
        found = Laid(size, tuple(lines))
        if found.height <= room:
            return found
    most = max(1, int(room / found.leading) + 1)
    return Laid(found.size, (*found.lines[: most - 1], ("", ELSEWHERE)))
