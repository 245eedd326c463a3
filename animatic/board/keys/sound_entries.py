"""Keys of the board file that say what is heard."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, Literal

from pydantic import Field

from animatic.board.keys.entry import Entry, Level, of
from animatic.board.keys.fields import (
    FilePath,
    Length,
    Licence,
    Loudness,
    Name,
    Offset,
    ShotRef,
    Switch,
    Words,
    choice,
    number,
    whole,
)

__all__ = ["CastEntry", "LineEntry", "MixEntry", "MusicEntry", "SoundEntry", "SpeechEntry"]

Pace = Annotated[Fraction, number(40, 400)]


class SpeechEntry(Entry):
    """How long dialogue takes, and the pauses around it."""

    words_per_minute: Pace = Field(
        Fraction(160), description="Speaking rate that times a line without a recording."
    )
    lead: Offset = Field(of("0.3s"), description="Pause before the first line of a panel.")
    gap: Offset = Field(of("0.3s"), description="Pause between two lines of a panel.")
    tail: Offset = Field(of("0.5s"), description="Pause after the last line of a panel.")
    scratch: Switch = Field(
        True,
        description="Whether lines without a recording are spoken by a scratch voice, where the"
        " extra `voice` is installed. Such a line is as long as it is spoken.",
    )


class CastEntry(Entry):
    """A speaker."""

    words_per_minute: Pace | None = Field(None, description="This speaker's own speaking rate.")
    voice: Name | None = Field(
        None,
        description="Scratch voice, by its name in espeak-ng as en-us, de or en-us+f3; else one for"
        " the letters that a line is written in: en-us for Latin ones, ru for Cyrillic, cmn for"
        " Chinese, he for Hebrew, and so on.",
    )
    pitch: Annotated[int, whole(0, 99)] | None = Field(
        None, description="Pitch of the scratch voice; else one of the speaker's own."
    )
    speed: Annotated[int, whole(80, 450)] | None = Field(
        None, description="Speed of the scratch voice, in words a minute; else as above."
    )


class MixEntry(Entry):
    """How the sounds are put together."""

    duck: Annotated[Fraction, number(0, 40, "dB")] = Field(
        Fraction(9), description="How far music goes down under dialogue, in dB."
    )
    duck_attack: Offset = Field(
        of("0.3s"), description="How long the music takes to go down, before a line begins."
    )
    duck_hold: Offset = Field(
        of("0.4s"),
        description="How long the music stays down after a line. In a gap too short to come back"
        " and go down again, it stays down too.",
    )
    duck_release: Offset = Field(of("0.6s"), description="How long the music takes to come back.")
    dialogue: Level = Field(Fraction(0), description="Level of all dialogue, in dB.")
    effects: Level = Field(Fraction(0), description="Level of all effects, in dB.")
    music: Level = Field(Fraction(0), description="Level of all music, in dB.")
    loudness: Loudness = Field(
        Fraction(-23),
        description="Loudness that the film is brought to, in LUFS: -23 as for broadcast, -16 as"
        " for the web, from -40 to -10; `none` leaves it as it is mixed.",
    )


class MusicEntry(Entry):
    """A piece of music over a range of shots."""

    file: FilePath = Field(description="The sound file, from the board's folder.")
    from_: ShotRef | None = Field(
        None, alias="from", description="Where it starts, as `shot 10`; else the film's start."
    )
    until: ShotRef | None = Field(
        None, description="The last shot under it, as `shot 30`; else it plays to its own end."
    )
    parked: Switch = Field(
        False,
        description="Whether it is kept here, and not in the film. `arrange` writes it where all"
        " shots under the piece are parked, and takes it out when they come back.",
    )
    level: Level = Field(Fraction(0), description="Level in dB.")
    fade_in: Offset | None = Field(None, description="Length of the fade at its start.")
    fade_out: Offset | None = Field(None, description="Length of the fade at its end.")
    skip: Offset | None = Field(None, description="How much of the file's start to leave out.")
    loop: Switch = Field(
        False, description="Whether it repeats, to the end of `until` or of the film."
    )
    crossfade: Length | None = Field(
        None, description="How long the end and the start of a loop cross; else 0.5s."
    )
    bpm: Annotated[Fraction, number(20, 400)] | None = Field(
        None, description="Beats a minute, for `fit --beats`."
    )
    first_beat: Offset | None = Field(
        None, description="Beside `bpm`: where in the file the first beat lies; else at its start."
    )
    beats: FilePath | None = Field(
        None,
        description="Instead of `bpm`: a text file with the beats' times in seconds, one a line.",
    )
    licence: Licence | None = Field(
        None,
        description="Licence state: `to buy`, `bought` and its receipt, `own`, or `free` and"
        " the terms.",
    )


class LineEntry(Entry):
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
    licence: Licence | None = Field(
        None,
        description="Licence state of the recording: `to buy`, `bought` and its receipt, `own`,"
        " or `free` and the terms.",
    )
    note: Words | None = Field(None, description="How it is meant, for the actor.")


class SoundEntry(Entry):
    """A sound effect."""

    file: FilePath = Field(description="The sound file, from the board's folder.")
    at: Offset | None = Field(None, description="Where it starts in the panel; else at once.")
    level: Level = Field(Fraction(0), description="Level in dB.")
    pan: Annotated[Fraction, number(-1, 1)] = Field(
        Fraction(0), description="Where it is heard: -1 is left, 0 the middle, 1 right."
    )
    fade_in: Offset | None = Field(None, description="Length of the fade at its start.")
    fade_out: Offset | None = Field(None, description="Length of the fade at its end.")
    skip: Offset | None = Field(None, description="How much of the file's start to leave out.")
    length: Length | None = Field(None, description="How much of it plays; else all of it.")
    licence: Licence | None = Field(
        None,
        description="Licence state: `to buy`, `bought` and its receipt, `own`, or `free` and"
        " the terms.",
    )
