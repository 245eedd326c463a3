"""The board file's keys, as pydantic models. Unknown keys are refused.

The descriptions of the fields are the board reference (docs/board.md is generated from them).
"""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, Literal

from pydantic import Field

from animatic.board.keys.entry import Entry, Fit, of
from animatic.board.keys.fields import (
    FilePath,
    Length,
    MediaPattern,
    Name,
    Offset,
    PanelLength,
    RateName,
    ShotSize,
    StartLabel,
    Switch,
    Words,
    WorkTime,
    choice,
    number,
    whole,
)
from animatic.board.keys.picture_entries import (
    BoxEntry,
    LetteringEntry,
    MoveEntry,
    PictureEntry,
    TransitionEntry,
)
from animatic.board.keys.set_entries import ChangesEntry, DayEntry, PaceEntry, SetupEntry
from animatic.board.keys.sound_entries import (
    CastEntry,
    LineEntry,
    MixEntry,
    MusicEntry,
    SoundEntry,
    SpeechEntry,
)

__all__ = [
    "BoardContent",
    "BoxEntry",
    "CastEntry",
    "ChangesEntry",
    "DayEntry",
    "DefaultsEntry",
    "LetteringEntry",
    "LineEntry",
    "MixEntry",
    "MoveEntry",
    "MusicEntry",
    "PaceEntry",
    "PanelEntry",
    "PictureEntry",
    "SetupEntry",
    "SoundEntry",
    "SpeechEntry",
    "TransitionEntry",
]


class DefaultsEntry(Entry):
    """What holds where a panel says nothing."""

    duration: Length = Field(
        of("2s"), description="Length of a panel with neither duration nor dialogue."
    )
    shortest: Length = Field(
        of("1s"), description="A panel timed by its dialogue is never shorter than this."
    )


class PanelEntry(Entry):
    """One photo, held for a time."""

    shot: Name | None = Field(
        None,
        description="Name of the shot that begins here, written once; without it the shot above"
        " goes on.",
    )
    photo: FilePath = Field(description="The photo, from the board's folder.")
    size: ShotSize | None = Field(
        None, description="Shot size: EWS WS LS MLS MS MCU CU ECU, and INSERT, OTS, POV, 2S."
    )
    setup: Name | None = Field(None, description="The setup it is shot on, by its key.")
    duration: PanelLength | None = Field(
        None,
        description="Its length; else its dialogue decides, else the default. What `fit` made of"
        " it stands behind a `~`, as `2.5s ~58f`, or `~58f` where nothing was written: exactly 58"
        " frames, until it is fitted again.",
    )
    shortest: Length | None = Field(None, description="Its own least length.")
    lock: Switch = Field(False, description="Its length stays, whatever is fitted.")
    shoot_on: Annotated[int, whole(1, 8)] | None = Field(
        None, description="Frames a pose is exposed, from here to the end of the shot."
    )
    fit: Fit | None = Field(None, description="As in `picture`, for this panel.")
    crop: BoxEntry | None = Field(None, description="The part of the photo that is used.")
    move: MoveEntry | None = Field(None, description="A camera move on the photo.")
    mirror: Switch = Field(
        False,
        description="Left and right are swapped, after crop and move. The papers say so, and"
        " count the camera's steps of a move as they are then seen.",
    )
    looks: Annotated[Literal["left", "right"], choice("left", "right")] | None = Field(
        None, description="Which way the figure looks on the screen; `check` keeps the line."
    )
    transition: TransitionEntry | None = Field(
        None, description="How the shot begins (on its first panel) or ends (on its last)."
    )
    dialogue: list[LineEntry] = Field([], description="Lines, in the order they are spoken.")
    sounds: list[SoundEntry] = Field([], description="Sound effects that start in the panel.")
    dress: WorkTime | None = Field(None, description="Time to dress the set for the shot.")
    poses_per_hour: Annotated[Fraction, number(1, 3600)] | None = Field(
        None,
        description="Poses an hour, from here to the end of the shot, where it goes slower or"
        " faster than `pace` says.",
    )
    note: Words | None = Field(None, description="A note, for the shot list.")


class BoardContent(Entry):
    """Everything a board file holds."""

    board: Annotated[str, choice("1")] = Field(description="Version of the board file; it is 1.")
    title: Words | None = Field(None, description="The film's title; else the folder's name.")
    rate: RateName = Field("24", description="Frames a second.")
    shoot_on: Annotated[int, whole(1, 8)] = Field(
        2, description="Frames a pose is exposed: 1 ones, 2 twos, 3 threes."
    )
    start: StartLabel = Field(
        "01:00:00:00",
        description="Timecode of the first frame; a semicolon before the frames is drop-frame.",
    )
    picture: PictureEntry = Field(PictureEntry(), description="Size and fit of the picture.")
    handles: Offset = Field(of("0f"), description="Extra frames to shoot at each end of a shot.")
    defaults: DefaultsEntry = Field(
        DefaultsEntry(), description="What holds where a panel says nothing."
    )
    speech: SpeechEntry = Field(SpeechEntry(), description="How long dialogue takes.")
    cast: dict[Name, CastEntry] = Field({}, description="Speakers by name.")
    lettering: LetteringEntry = Field(
        LetteringEntry(), description="What is written over the picture."
    )
    mix: MixEntry = Field(MixEntry(), description="How the sounds are put together.")
    pace: PaceEntry = Field(PaceEntry(), description="How fast the work on set goes.")
    day: DayEntry = Field(DayEntry(), description="A day of shooting.")
    setups: dict[Name, SetupEntry] = Field({}, description="Setups by name.")
    music: list[MusicEntry] = Field([], description="Music over ranges of shots.")
    media: MediaPattern = Field(
        "{shot}_take{take}",
        description="How takes are named: for `takes`, and in the lists that go to the edit.",
    )
    outside: Annotated[str, choice("refuse", "allow")] = Field(
        "refuse", description="Whether files may lie outside the board's folder."
    )
    panels: list[PanelEntry] = Field(description="The panels in order.", min_length=1)
    parked: list[PanelEntry] = Field(
        [], description="Panels that `arrange` left out: kept here, and not in the film."
    )

    @property
    def played(self) -> list[tuple[int, MusicEntry]]:
        """The pieces of music that are in the film, each with its number in `music` from 0."""
        return [(i, piece) for i, piece in enumerate(self.music) if not piece.parked]
