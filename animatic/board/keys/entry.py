"""What every part of the board file has in common: unknown keys and loose types are refused."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict

from animatic.board.keys.durations import Duration, parse_duration
from animatic.board.keys.fields import choice, number

__all__ = ["Entry", "Evening", "Fit", "Level", "of"]


class Entry(BaseModel):
    """A mapping in the board file."""

    model_config = ConfigDict(
        strict=True,
        extra="forbid",
        frozen=True,
        allow_inf_nan=False,
        arbitrary_types_allowed=True,
        populate_by_name=False,
    )


def of(text: str) -> Duration:
    """Return a duration, for the defaults.

    >>> str(of("2s"))
    '2s'
    """
    return parse_duration(text)


Level = Annotated[Fraction, number(-60, 12, "dB")]
Fit = Annotated[Literal["cover", "contain"], choice("cover", "contain")]
Evening = Annotated[Literal["even", "none"], choice("even", "none")]
