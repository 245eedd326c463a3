"""Keys of the board file that say what the picture looks like."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, Literal

from pydantic import Field

from animatic.board.keys.entry import Entry, Evening, Fit
from animatic.board.keys.fields import (
    FilePath,
    Length,
    Offset,
    PictureSize,
    Switch,
    Tighten,
    choice,
    number,
)

__all__ = ["BoxEntry", "LetteringEntry", "MoveEntry", "PictureEntry", "TransitionEntry"]

Ease = Annotated[Literal["none", "in", "out", "both"], choice("none", "in", "out", "both")]
Part = Annotated[Fraction, number(0, 1)]


class PictureEntry(Entry):
    """The picture of the film."""

    size: PictureSize = Field((1920, 1080), description="Width x height in pixels, both even.")
    fit: Fit = Field(
        "cover",
        description="How photos of another shape sit in the picture: `cover` fills it and cuts"
        " what stands over, `contain` shows the whole photo between black bars.",
    )
    level: Evening = Field(
        "none",
        description="`even` brings the photos of each setup to one exposure and one white.",
    )


class LetteringEntry(Entry):
    """What is written over the picture."""

    shot: Switch = Field(True, description="Shot name and panel number, at the top.")
    size: Switch = Field(True, description="Shot size, at the top.")
    dialogue: Switch = Field(True, description="Speaker and line, at the foot.")
    counter: Annotated[Literal["none", "shot"], choice("none", "shot")] = Field(
        "none", description="`shot` counts the frames of the shot in a band at the top."
    )
    guide: Annotated[Fraction, number(0.3, 4)] | None = Field(
        None, description="Lines that show another aspect, as 2.39 for 2.39:1."
    )
    font: FilePath | None = Field(
        None, description="A font file (TrueType or OpenType) instead of the built-in one."
    )


class BoxEntry(Entry):
    """A rectangle on the upright photo, in parts of its width and height (0 to 1)."""

    left: Part = Field(Fraction(0), description="Left edge.")
    top: Part = Field(Fraction(0), description="Top edge.")
    width: Part = Field(Fraction(1), description="Width.")
    height: Part = Field(Fraction(1), description="Height.")
    tighten: Tighten | None = Field(
        None,
        description="In place of the other keys: how many times closer, and on which place of"
        " the photo, as `1.6 at 0.4,0.3` (in braces `1.6 at 0.4 0.3`).",
    )


class MoveEntry(Entry):
    """A camera move on the photo, from the panel's crop to another."""

    to: BoxEntry = Field(description="The framing it ends on.")
    ease: Ease = Field(
        "both", description="Where it goes slowly: at its start (in), its end (out), both."
    )
    start: Offset | None = Field(None, description="When it starts in the panel; else at once.")
    length: Length | None = Field(None, description="How long it takes; else to the panel's end.")


class TransitionEntry(Entry):
    """How a shot begins or ends, if not by a plain cut; mixed as coded, in gamma light."""

    dissolve: Length | None = Field(
        None, description="Dissolve from the shot before, centred on the cut."
    )
    from_black: Length | None = Field(None, description="Fade in from black at its start.")
    to_black: Length | None = Field(None, description="Fade out to black at its end.")
