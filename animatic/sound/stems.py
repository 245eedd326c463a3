"""The film's sound as three files for the edit: dialogue, music and effects, which sum to it.

Each is a Broadcast Wave of the film's exact length whose time reference is the film's start
timecode, so that an editing program lays it at its place.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from animatic.frames import samples_from_frames
from animatic.sound.loudness import Loudness
from animatic.sound.programme import Programme, find_programme, programme_stems
from animatic.sound.wavefile import Broadcast, write_wav
from animatic.timeline.model import Bus, Timeline

__all__ = ["STEMS", "time_reference", "write_stems"]

STEMS: tuple[Bus, ...] = ("dialogue", "music", "effects")


def write_stems(
    timeline: Timeline, folder: Path, programme: Programme | None = None
) -> dict[Path, Loudness]:
    """Write dialogue.wav, music.wav and effects.wav into a folder that is there.

    They have the film's gain and its limiter's curve; without a `programme` the film is
    measured first. Return the loudness of each. One stem at a time is in the works: memory
    does not grow with the film's length. MediaError for a sound that cannot be used, and for
    a stem that would be clipped; MachineError where a file cannot be written.
    """
    found = find_programme(timeline) if programme is None else programme
    return {
        folder / f"{bus}.wav": write_wav(
            folder / f"{bus}.wav",
            _stem(timeline, bus, found),
            timeline.samples,
            2,
            Broadcast(f"{timeline.title}: {bus}", "animatic", time_reference(timeline)),
        )
        for bus in STEMS
    }


def time_reference(timeline: Timeline) -> int:
    """Return the samples from midnight to the film's first frame.

    Frames are counted from 00:00:00:00 at the film's true rate: at 23.976 the label
    01:00:00:00 is 3603.6 s after midnight.
    """
    return samples_from_frames(timeline.start, timeline.rate)


def _stem(timeline: Timeline, bus: Bus, programme: Programme) -> Iterator[NDArray[np.float64]]:
    for stems in programme_stems(timeline, programme):
        yield stems[bus]
