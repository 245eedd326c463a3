"""The board file's keys, as pydantic models. Unknown keys are refused.

The descriptions of the fields are the board reference (docs/board.md is generated from them).
"""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from animatic.board.durations import Duration, parse_duration
from animatic.board.fields import (
    Clock,
    FilePath,
    Length,
    Licence,
    MediaPattern,
    Name,
    Offset,
    PictureSize,
    RateName,
    ShotRef,
    ShotSize,
    StartLabel,
    Switch,
    Tighten,
    Words,
    choice,
    number,
    whole,
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


def _of(text: str) -> Duration:
    return parse_duration(text)


class _Entry(BaseModel):
    model_config = ConfigDict(
        strict=True,
        extra="forbid",
        frozen=True,
        allow_inf_nan=False,
        arbitrary_types_allowed=True,
        populate_by_name=False,
    )


Level = Annotated[Fraction, number(-60, 12, "dB")]
Fit = Annotated[Literal["cover", "contain"], choice("cover", "contain")]
Ease = Annotated[Literal["none", "in", "out", "both"], choice("none", "in", "out", "both")]
Part = Annotated[Fraction, number(0, 1)]
Pace = Annotated[Fraction, number(40, 400)]


class PictureEntry(_Entry):
    """The picture of the film."""

    size: PictureSize = Field((1920, 1080), description="Width x height in pixels, both even.")
    fit: Fit = Field(
        "cover",
        description="How photos of another shape sit in the picture: `cover` fills it and cuts"
        " what stands over, `contain` shows the whole photo between black bars.",
    )


class DefaultsEntry(_Entry):
    """What holds where a panel says nothing."""

    duration: Length = Field(
        _of("2s"), description="Length of a panel with neither duration nor dialogue."
    )
    shortest: Length = Field(
        _of("1s"), description="A panel timed by its dialogue is never shorter than this."
    )


class SpeechEntry(_Entry):
    """How long dialogue takes, and the pauses around it."""

    words_per_minute: Pace = Field(
        Fraction(160), description="Speaking rate that times a line without a recording."
    )
    lead: Offset = Field(_of("0.3s"), description="Pause before the first line of a panel.")
    gap: Offset = Field(_of("0.3s"), description="Pause between two lines of a panel.")
    tail: Offset = Field(_of("0.5s"), description="Pause after the last line of a panel.")
    scratch: Switch = Field(
        True,
        description="Whether lines without a recording are spoken by a scratch voice, where the"
        " extra `voice` is installed. Such a line is as long as it is spoken.",
    )


class CastEntry(_Entry):
    """A speaker."""

    words_per_minute: Pace | None = Field(None, description="This speaker's own speaking rate.")
    voice: Name | None = Field(
        None, description="Scratch voice, by its name in espeak-ng as en-us, de or en-us+f3."
    )
    pitch: Annotated[int, whole(0, 99)] | None = Field(
        None, description="Pitch of the scratch voice; else one of the speaker's own."
    )
    speed: Annotated[int, whole(80, 450)] | None = Field(
        None, description="Speed of the scratch voice, in words a minute; else as above."
    )


class LetteringEntry(_Entry):
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


class MixEntry(_Entry):
    """How the sounds are put together."""

    duck: Annotated[Fraction, number(0, 40, "dB")] = Field(
        Fraction(9), description="How far music goes down under dialogue, in dB."
    )
    duck_ramp: Offset = Field(
        _of("0.3s"), description="How long the music takes to go down and to come back."
    )
    duck_hold: Offset = Field(
        _of("0.4s"), description="A gap between lines shorter than this keeps the music down."
    )
    dialogue: Level = Field(Fraction(0), description="Level of all dialogue, in dB.")
    effects: Level = Field(Fraction(0), description="Level of all effects, in dB.")
    music: Level = Field(Fraction(0), description="Level of all music, in dB.")


class ChangesEntry(_Entry):
    """What it takes to go from one setup to the next, for each thing that differs."""

    place: Offset = Field(_of("30m"), description="Another place.")
    wall: Offset = Field(_of("10m"), description="Each wall taken off or put back.")
    light: Offset = Field(_of("10m"), description="Each light put up or taken down.")
    camera: Offset = Field(_of("5m"), description="Another camera position or lens.")


class PaceEntry(_Entry):
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


class DayEntry(_Entry):
    """A day of shooting."""

    start: Clock = Field("09:00", description="When work begins, as 09:00.")
    hours: Annotated[Fraction, number(1, 16)] = Field(
        Fraction(7), description="Hours from start to end, breaks included."
    )
    break_every: Length = Field(_of("1h"), description="Work this long, then take a break.")
    break_length: Length = Field(_of("10m"), description="Length of a break.")


class SetupEntry(_Entry):
    """Camera, walls opened and lights as rigged; many shots share one setup."""

    place: Words | None = Field(None, description="Which set or part of it.")
    opened: list[Words] = Field([], description="Walls or parts of the set taken off.")
    lights: list[Words] = Field([], description="Lights as rigged, one entry each.")
    camera: Words | None = Field(None, description="Where the camera stands.")
    lens: Words | None = Field(None, description="Lens and its setting.")
    rig: Length | None = Field(None, description="Time to rig it, as 1h30m.")
    first: Switch = Field(False, description="Shot before all other setups.")
    last: Switch = Field(False, description="Shot after all others, as where a set is destroyed.")
    after: list[Name] = Field([], description="Setups that must be shot before this one.")
    note: Words | None = Field(None, description="Anything else worth knowing on set.")


class MusicEntry(_Entry):
    """A piece of music over a range of shots."""

    file: FilePath = Field(description="The sound file, from the board's folder.")
    from_: ShotRef | None = Field(
        None, alias="from", description="Where it starts, as `shot 10`; else the film's start."
    )
    until: ShotRef | None = Field(
        None, description="The last shot under it, as `shot 30`; else it plays to its own end."
    )
    level: Level = Field(Fraction(0), description="Level in dB.")
    fade_in: Offset | None = Field(None, description="Length of the fade at its start.")
    fade_out: Offset | None = Field(None, description="Length of the fade at its end.")
    skip: Offset | None = Field(None, description="How much of the file's start to leave out.")
    bpm: Annotated[Fraction, number(20, 400)] | None = Field(
        None, description="Beats a minute, for `fit --beats`."
    )
    first_beat: Offset | None = Field(
        None, description="Where in the file the first beat lies; else at its start."
    )
    beats: FilePath | None = Field(
        None, description="A text file with the beats' times in seconds, one a line."
    )
    licence: Licence | None = Field(
        None,
        description="Licence state: `to buy`, `bought` and its receipt, `own`, or `free` and"
        " the terms.",
    )


class LineEntry(_Entry):
    """A spoken line."""

    who: Name = Field(description="Who speaks.")
    line: Words = Field(description="The words.")
    voice: FilePath | None = Field(None, description="The recording, if there is one.")
    at: Offset | None = Field(
        None, description="Where it starts in the panel; else after the line before it."
    )
    level: Level = Field(Fraction(0), description="Level in dB.")
    over: Annotated[Literal["no", "next"], choice("no", "next")] = Field(
        "no",
        description="`next` lets the line run on over the cut: the panel's length is then its"
        " own, not the line's.",
    )
    note: Words | None = Field(None, description="How it is meant, for the actor.")


class SoundEntry(_Entry):
    """A sound effect."""

    file: FilePath = Field(description="The sound file, from the board's folder.")
    at: Offset | None = Field(None, description="Where it starts in the panel; else at once.")
    level: Level = Field(Fraction(0), description="Level in dB.")
    fade_in: Offset | None = Field(None, description="Length of the fade at its start.")
    fade_out: Offset | None = Field(None, description="Length of the fade at its end.")
    skip: Offset | None = Field(None, description="How much of the file's start to leave out.")
    length: Length | None = Field(None, description="How much of it plays; else all of it.")
    licence: Licence | None = Field(
        None,
        description="Licence state: `to buy`, `bought` and its receipt, `own`, or `free` and"
        " the terms.",
    )


class BoxEntry(_Entry):
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


class MoveEntry(_Entry):
    """A camera move on the photo, from the panel's crop to another."""

    to: BoxEntry = Field(description="The framing it ends on.")
    ease: Ease = Field(
        "both", description="Where it goes slowly: at its start (in), its end (out), both."
    )
    start: Offset | None = Field(None, description="When it starts in the panel; else at once.")
    length: Length | None = Field(None, description="How long it takes; else to the panel's end.")


class TransitionEntry(_Entry):
    """How a shot begins or ends, if not by a plain cut."""

    dissolve: Length | None = Field(
        None, description="Dissolve from the shot before, centred on the cut."
    )
    from_black: Length | None = Field(None, description="Fade in from black at its start.")
    to_black: Length | None = Field(None, description="Fade out to black at its end.")


class PanelEntry(_Entry):
    """One photo, held for a time."""

    shot: Name | None = Field(
        None, description="Name of the shot that begins here; without it the shot above goes on."
    )
    photo: FilePath = Field(description="The photo, from the board's folder.")
    size: ShotSize | None = Field(
        None, description="Shot size: EWS WS LS MLS MS MCU CU ECU, and INSERT, OTS, POV, 2S."
    )
    setup: Name | None = Field(None, description="The setup it is shot on, by its key.")
    duration: Length | None = Field(
        None, description="Its length; else its dialogue decides, else the default."
    )
    shortest: Length | None = Field(None, description="Its own least length.")
    lock: Switch = Field(False, description="Its length stays, whatever is fitted.")
    shoot_on: Annotated[int, whole(1, 8)] | None = Field(
        None, description="Frames a pose is exposed, from here to the end of the shot."
    )
    fit: Fit | None = Field(None, description="As in `picture`, for this panel.")
    crop: BoxEntry | None = Field(None, description="The part of the photo that is used.")
    move: MoveEntry | None = Field(None, description="A camera move on the photo.")
    mirror: Switch = Field(False, description="Left and right are swapped, after crop and move.")
    looks: Annotated[Literal["left", "right"], choice("left", "right")] | None = Field(
        None, description="Which way the figure looks on the screen; `check` keeps the line."
    )
    transition: TransitionEntry | None = Field(
        None, description="How the shot begins (on its first panel) or ends (on its last)."
    )
    dialogue: list[LineEntry] = Field([], description="Lines, in the order they are spoken.")
    sounds: list[SoundEntry] = Field([], description="Sound effects that start in the panel.")
    dress: Length | None = Field(None, description="Time to dress the set for the shot.")
    poses_per_hour: Annotated[Fraction, number(1, 3600)] | None = Field(
        None, description="Poses an hour in this shot, where it goes slower or faster."
    )
    note: Words | None = Field(None, description="A note, for the shot list.")


class BoardContent(_Entry):
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
    handles: Offset = Field(_of("0f"), description="Extra frames to shoot at each end of a shot.")
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
        description="How the shoot's files are named, for the lists that go to the edit.",
    )
    outside: Annotated[str, choice("refuse", "allow")] = Field(
        "refuse", description="Whether files may lie outside the board's folder."
    )
    panels: list[PanelEntry] = Field(description="The panels in order.", min_length=1)
    parked: list[PanelEntry] = Field(
        [], description="Panels that `arrange` left out: kept here, and not in the film."
    )
