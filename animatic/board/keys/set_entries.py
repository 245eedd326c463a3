"""Keys of the board file that say how the work on set goes."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated

from pydantic import Field

from animatic.board.keys.entry import Entry, Evening, of
from animatic.board.keys.fields import (
    Clock,
    Date,
    Name,
    Switch,
    Weekdays,
    Words,
    WorkOffset,
    WorkTime,
    number,
)

__all__ = ["ChangesEntry", "DayEntry", "PaceEntry", "SetupEntry"]


class ChangesEntry(Entry):
    """What it takes to go from one setup to the next, for each thing that differs."""

    place: WorkOffset = Field(of("30m"), description="Another place.")
    wall: WorkOffset = Field(of("10m"), description="Each wall taken off or put back.")
    light: WorkOffset = Field(of("10m"), description="Each light put up or taken down.")
    camera: WorkOffset = Field(of("5m"), description="Another camera position or lens.")


class PaceEntry(Entry):
    """How fast the work on set goes."""

    poses_per_hour: Annotated[Fraction, number(1, 3600)] = Field(
        Fraction(30), description="Poses set and exposed in an hour of shooting."
    )
    lost: Annotated[Fraction, number(0, 300, "%")] = Field(
        Fraction(10), description="Time lost to everything else, in percent of the shooting."
    )
    changes: ChangesEntry = Field(
        ChangesEntry(), description="What going from one setup to the next takes."
    )


class DayEntry(Entry):
    """A day of shooting, and the days that are shot on."""

    first_day: Date | None = Field(
        None, description="The first day of the shoot, as 2027-03-01; papers then carry dates."
    )
    days: Weekdays | None = Field(
        None, description="The weekdays of work, as mon-fri or mon,wed,sat; else mon-fri."
    )
    start: Clock = Field("09:00", description="When work begins, as 09:00.")
    hours: Annotated[Fraction, number(1, 16)] = Field(
        Fraction(7), description="Hours from start to end, breaks included."
    )
    break_every: WorkTime = Field(of("1h"), description="Work this long, then take a break.")
    break_length: WorkTime = Field(of("10m"), description="Length of a break.")


class SetupEntry(Entry):
    """Camera, walls opened and lights as rigged; many shots share one setup."""

    place: Words | None = Field(None, description="Which set or part of it.")
    opened: list[Words] = Field([], description="Walls or parts of the set taken off.")
    lights: list[Words] = Field([], description="Lights as rigged, one entry each.")
    camera: Words | None = Field(None, description="Where the camera stands.")
    lens: Words | None = Field(None, description="Lens and its setting.")
    rig: WorkTime | None = Field(None, description="Time to rig it, as 1h30m.")
    level: Evening | None = Field(
        None, description="As in `picture`, for the photos of this setup."
    )
    first: Switch = Field(False, description="Shot before all other setups.")
    last: Switch = Field(False, description="Shot after all others, as where a set is destroyed.")
    after: list[Name] = Field(
        [],
        description="Setups that must be shot before this one; none waits for itself in a circle.",
    )
    note: Words | None = Field(None, description="Anything else worth knowing on set.")
