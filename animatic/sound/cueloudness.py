"""How loud each cue's part of its file is, at the file's own level."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import NDArray

from animatic.frames import SAMPLE_RATE
from animatic.sound.decode import open_sound
from animatic.sound.loudness import measure_loudness
from animatic.timeline.model import Cue

__all__ = ["cue_loudness"]


def cue_loudness(cues: Iterable[Cue]) -> dict[Cue, float | None]:
    """Return the BS.1770 loudness (LUFS) of what each cue uses, before levels and fades.

    None for silence, and for a cue shorter than 400 ms. Mono is measured on two loudspeakers,
    as it plays. MediaError for a sound that cannot be used.
    """
    known: dict[tuple[object, ...], float | None] = {}
    found = {}
    for cue in cues:
        part = (cue.file, cue.skip, cue.end - cue.start)
        if part not in known:
            known[part] = measure_loudness(_part(cue)).integrated
        found[cue] = known[part]
    return found


def _part(cue: Cue) -> Iterator[NDArray[np.float32]]:
    with open_sound(cue.file) as sound:
        sound.skip(cue.skip)
        left = cue.end - cue.start
        while left and len(block := sound.read(min(left, SAMPLE_RATE))):
            left -= len(block)
            yield np.repeat(block, 2, axis=1) if block.shape[1] == 1 else block
