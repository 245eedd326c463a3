"""The timeline: the board laid on the frame grid, in whole frames and samples.

Frames count from 0 at the film's first frame; ranges are half-open. Samples are at
`animatic.frames.SAMPLE_RATE`. Every file is an absolute path that has been looked at: it is
there and can be read. Whatever is shown, heard or printed is derived from these values.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Literal

from animatic.files import file_word
from animatic.frames import Rate, ceil_div, poses_from_frames, samples_from_frames
from animatic.srgb import Gains
from animatic.timecode import label_from_frames
from animatic.timeline.take import Source, Take

__all__ = [
    "Box",
    "Bus",
    "Cue",
    "Ease",
    "Fit",
    "Lettering",
    "Line",
    "Mix",
    "Move",
    "Panel",
    "Shot",
    "Timeline",
    "Transition",
    "overlaps",
]

Fit = Literal["cover", "contain"]
Ease = Literal["none", "in", "out", "both"]
Bus = Literal["dialogue", "effects", "music"]


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the upright photo, in parts of its width and height (0 to 1).

    >>> Box(0.25, 0.0, 0.5, 1.0).is_whole
    False
    """

    left: float = 0.0
    top: float = 0.0
    width: float = 1.0
    height: float = 1.0

    @property
    def is_whole(self) -> bool:
        """Whether the box is the whole photo."""
        return (self.left, self.top, self.width, self.height) == (0.0, 0.0, 1.0, 1.0)


@dataclass(frozen=True, slots=True)
class Move:
    """A move of the framing from the panel's crop to `to`, over frames of the panel.

    `first` is the panel's frame (from 0) that still shows the crop, `last` the one that
    first shows `to`; before and after them the framing rests.
    """

    to: Box
    ease: Ease
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Line:
    """One spoken line: who, what, and its place in film samples [start, end)."""

    number: int
    """Counted from 1 over the film."""
    who: str
    text: str
    start: int
    end: int
    first_frame: int
    end_frame: int
    """The frames nearest to `start` and `end`."""
    voice: Path | None
    """The recording or scratch voice; None where the length is estimated from the words."""
    scratch: bool = False
    """Whether `voice` was spoken by the machine."""


@dataclass(frozen=True, slots=True)
class Cue:
    """A stretch of a sound file on a bus, in film samples [start, end).

    The sound at `start` is the file's sample `skip`, counted at the mix's sample rate.
    Levels are in dB; the fades' lengths are in samples, within [start, end).
    """

    bus: Bus
    file: Path
    start: int
    end: int
    shot: str
    """The shot in which it starts."""
    skip: int = 0
    level: float = 0.0
    fade_in: int = 0
    fade_out: int = 0
    licence: str = ""
    pan: float = 0.0
    """Where it stands, from -1 (left) to 1 (right)."""
    pieces: tuple[tuple[int, int], ...] = ()
    """Where a sound that repeats is played from `skip` on, in samples from `start`.

    Neighbours overlap and cross there; the last may end beyond `end`. Empty: it plays once.
    """


@dataclass(frozen=True, slots=True)
class Transition:
    """How a shot begins and ends, in frames; 0 is a plain cut.

    `dissolve` lies centred on the cut at the shot's start, [start - dissolve // 2,
    start - dissolve // 2 + dissolve); `from_black` covers the shot's first frames,
    `to_black` its last ones.
    """

    dissolve: int = 0
    from_black: int = 0
    to_black: int = 0


@dataclass(frozen=True, slots=True)
class Panel:
    """One photo held for frames [start, end)."""

    index: int
    """Counted from 0 over the film."""
    number: int
    """Counted from 1 within the shot."""
    shot: str
    start: int
    end: int
    shoot_on: int
    photo: Path
    photo_size: tuple[int, int]
    """Width and height in pixels of the upright photo, before any crop."""
    fit: Fit = "cover"
    crop: Box = Box()
    move: Move | None = None
    size: str = ""
    """The shot size (WS, CU ...), or an empty string."""
    lines: tuple[Line, ...] = ()
    carried: tuple[Line, ...] = ()
    """Lines of earlier panels that are still spoken when this one begins."""
    note: str = ""
    mirror: bool = False
    """Whether left and right are swapped, after crop and move."""
    looks: Literal["", "left", "right"] = ""
    """Which way the figure looks on the screen, where the board says so."""
    take: Take | None = None
    """What was shot for it, which is shown as it is: without crop, move or mirror."""
    gains: Gains = (0, 0, 0)
    """By how much the photo's light is raised, in hundredths of a stop, where it is evened."""

    @property
    def frames(self) -> int:
        """The panel's length."""
        return self.end - self.start

    def lettered_lines(self, frame: int) -> tuple[Line, ...]:
        """Return the lines whose words stand on the picture at a frame, counted from its start.

        They stand from the start of their own panel to its end, or to their own where that is
        later.
        """
        still = (line for line in self.carried if line.end_frame > self.start + frame)
        return (*still, *self.lines)


@dataclass(frozen=True, slots=True)
class Shot:
    """The consecutive panels from cut to cut, frames [start, end)."""

    index: int
    """Counted from 0 over the film."""
    name: str
    setup: str
    panels: tuple[Panel, ...]
    handles: int
    """Extra frames to shoot at each end."""
    transition: Transition = Transition()
    overlap_head: int = 0
    overlap_tail: int = 0
    """Frames to shoot beyond the cuts because of dissolves."""

    @property
    def start(self) -> int:
        """The first frame."""
        return self.panels[0].start

    @property
    def end(self) -> int:
        """The frame after the last."""
        return self.panels[-1].end

    @property
    def frames(self) -> int:
        """The length from cut to cut."""
        return self.end - self.start

    @property
    def frames_to_shoot(self) -> int:
        """Cut length + overlaps + handles at both ends."""
        return self.frames + self.overlap_head + self.overlap_tail + 2 * self.handles

    @property
    def first_to_shoot(self) -> int:
        """The film frame that the first of the frames to shoot stands for; it may be below 0."""
        return self.start - self.overlap_head - self.handles

    def frame_to_shoot(self, film: int) -> int:
        """Return a film frame's number on set: from 1 over the frames to shoot."""
        return film - self.first_to_shoot + 1

    @property
    def size(self) -> str:
        """The shot size: the first one that a panel of the shot names."""
        return next((panel.size for panel in self.panels if panel.size), "")

    @property
    def lines(self) -> tuple[Line, ...]:
        """The lines that begin in this shot."""
        return tuple(line for panel in self.panels for line in panel.lines)

    @property
    def exposures(self) -> tuple[tuple[int, int], ...]:
        """Runs of one `shoot_on` in the frames to shoot: (frames, shoot_on) in order.

        Overlap and handle go on at the pace of the panel beside them.
        """
        runs: list[tuple[int, int]] = []
        for panel in self.panels:
            if runs and runs[-1][1] == panel.shoot_on:
                runs[-1] = (runs[-1][0] + panel.frames, panel.shoot_on)
            else:
                runs.append((panel.frames, panel.shoot_on))
        runs[0] = (runs[0][0] + self.handles + self.overlap_head, runs[0][1])
        runs[-1] = (runs[-1][0] + self.handles + self.overlap_tail, runs[-1][1])
        return tuple(runs)

    @property
    def pose_starts(self) -> tuple[int, ...]:
        """The film frame at which each pose begins, from the first of the frames to shoot on."""
        starts: list[int] = []
        at = self.first_to_shoot
        for frames, on in self.exposures:
            starts += range(at, at + frames, on)
            at += frames
        return tuple(starts)

    @property
    def poses(self) -> int:
        """Poses to set for the frames to shoot: rounded up in every run of one `shoot_on`."""
        return sum(poses_from_frames(frames, on) for frames, on in self.exposures)


@dataclass(frozen=True, slots=True)
class Lettering:
    """What is written over the picture, and in which font (None: the built-in one)."""

    shot: bool = True
    size: bool = True
    dialogue: bool = True
    font: Path | None = None
    counter: bool = False
    """Whether a running counter of the shot's frames stands over the picture."""
    guide: float = 0.0
    """Width over height of another aspect whose edges are drawn; 0 for none."""


@dataclass(frozen=True, slots=True)
class Mix:
    """How the buses are put together; levels in dB, times in samples."""

    duck: float = 9.0
    """How much music goes down under dialogue."""
    duck_attack: int = 14_400
    """How long it takes to go down, before a line."""
    duck_hold: int = 19_200
    """How long it stays down after a line."""
    duck_release: int = 28_800
    """How long it takes to come back."""
    dialogue: float = 0.0
    effects: float = 0.0
    music: float = 0.0
    loudness: float | None = None
    """LUFS to which the whole film is brought; None leaves it as it is mixed."""


@dataclass(frozen=True)
class Timeline:
    """The whole film. Build it with `animatic.timeline.lay_out`."""

    title: str
    rate: Rate
    size: tuple[int, int]
    """Width and height of the picture in pixels, both even."""
    shots: tuple[Shot, ...]
    cues: tuple[Cue, ...] = ()
    start: int = 0
    """The frame count that the start label stands for."""
    drop: bool = False
    """Whether labels are drop-frame."""
    lettering: Lettering = Lettering()
    mix: Mix = Mix()
    media: str = "{shot}_take{take}"
    """How the shoot's files are named."""
    sources: Mapping[str, Source] = field(default_factory=dict)
    """What was shot, by the names of shots, where it is known."""
    whole: Timeline | None = None
    """The film of which this is a part: it sounds as that does from sample `begins` on."""
    begins: int = 0

    @cached_property
    def panels(self) -> tuple[Panel, ...]:
        """All panels in order."""
        return tuple(panel for shot in self.shots for panel in shot.panels)

    @cached_property
    def lines(self) -> tuple[Line, ...]:
        """All lines in order of their panels."""
        return tuple(line for panel in self.panels for line in panel.lines)

    @property
    def frames(self) -> int:
        """The film's length in frames."""
        return self.shots[-1].end

    @property
    def samples(self) -> int:
        """The film's length in samples."""
        return samples_from_frames(self.frames, self.rate)

    def label(self, frame: int) -> str:
        """Return the timecode label of a film frame."""
        return label_from_frames(self.start + frame, self.rate, drop=self.drop)

    def media_name(self, shot: Shot, take: int = 1) -> str:
        """Return the name that the media of a shot will have, as file systems take it."""
        return self.media.replace("{shot}", file_word(shot.name)).replace("{take}", str(take))

    def source(self, shot: Shot) -> Source:
        """Return what a shot is to the edit: the take that counts, else the first by its name."""
        return self.sources.get(shot.name) or Source(self.media_name(shot))

    def shot(self, name: str) -> Shot:
        """Return the shot of that name; KeyError where there is none."""
        for shot in self.shots:
            if shot.name == name:
                return shot
        raise KeyError(name)


def overlaps(dissolve: int) -> tuple[int, int]:
    """Return the frames that a dissolve adds to the shot before and to the shot after its cut.

    >>> overlaps(12), overlaps(7)
    ((6, 6), (4, 3))
    """
    return ceil_div(dissolve, 2), dissolve // 2
