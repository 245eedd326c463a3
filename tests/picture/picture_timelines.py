"""Small timelines for the tests of the picture, built by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from PIL import Image

from animatic.frames import Rate
from animatic.timeline.model import (
    Box,
    Fit,
    Lettering,
    Line,
    Move,
    Panel,
    Shot,
    Timeline,
    Transition,
)

QUIET = Lettering(shot=False, size=False, dialogue=False)


def line(text: str, who: str = "Odd", number: int = 1) -> Line:
    """A spoken line; where it lies in the sound does not matter to the picture."""
    return Line(number, who, text, 0, 48_000, 0, 24, None)


def size_of(photo: Path) -> tuple[int, int]:
    with Image.open(photo) as image:
        return image.size


@dataclass(frozen=True)
class P:
    """What a test says of one panel."""

    photo: Path
    frames: int = 24
    fit: Fit = "cover"
    crop: Box = field(default_factory=Box)
    move: Move | None = None
    size: str = ""
    lines: tuple[Line, ...] = ()
    upright: tuple[int, int] | None = None
    """The photo's upright size, where the file's head does not give it."""


def timeline(
    *shots: Sequence[P],
    size: tuple[int, int] = (320, 180),
    rate: str = "24",
    lettering: Lettering = QUIET,
    names: Sequence[str] = (),
    transitions: dict[int, Transition] | None = None,
) -> Timeline:
    """A timeline of shots, each a list of panels; shots are named 10, 20, 30 ..."""
    made, start, index = [], 0, 0
    for number, panels in enumerate(shots):
        name = names[number] if number < len(names) else str(10 * number + 10)
        laid = []
        for place, one in enumerate(panels, start=1):
            end = start + one.frames
            upright = one.upright or size_of(one.photo)
            laid.append(
                Panel(
                    index,
                    place,
                    name,
                    start,
                    end,
                    2,
                    one.photo,
                    upright,
                    one.fit,
                    one.crop,
                    one.move,
                    one.size,
                    one.lines,
                )
            )
            start, index = end, index + 1
        shot = Shot(number, name, "", tuple(laid), 0)
        made.append(replace(shot, transition=(transitions or {}).get(number, Transition())))
    return Timeline("Test", Rate.named(rate), size, tuple(made), lettering=lettering)
