"""The mix: the timeline's cues summed by sample number, in blocks, at 48 kHz stereo.

The film has exactly `timeline.samples` samples, each cue begins at its exact sample, and
memory does not grow with the film's length. Cues are summed in float64 in an order of their
own, in chunks that lie fixed on the film: neither the order of the cues nor the size of the
blocks asked for changes a bit of the result.

What is added up stays under `CEILING`: a first pass finds the peak, and one gain for the whole
film, never above 1, keeps it there. The balance of the cut is never touched.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import get_args

import numpy as np
from numpy.typing import NDArray

from animatic.frames import SAMPLE_RATE
from animatic.sound.decode import Sound, open_sound
from animatic.sound.levels import (
    Duck,
    Fade,
    Gains,
    dialogue_stretches,
    fade_gains,
    gain_from_db,
)
from animatic.timeline.model import Bus, Cue, Timeline

__all__ = ["BUSES", "CEILING", "mix_blocks", "mix_to_array", "peak_gain", "stem_blocks"]

CEILING = -1.0
"""The highest sample of a mix, in dB of full scale."""

BUSES: tuple[Bus, ...] = get_args(Bus)

EDGE = 96
"""Where a cue cuts into a sound, these samples (2 ms) of it are ramped: no click."""

_CHUNK = SAMPLE_RATE
Block = NDArray[np.float32]
Stems = Mapping[Bus, NDArray[np.float64]]


def stem_blocks(timeline: Timeline) -> Iterator[Stems]:
    """Yield, second by second of the film, what each bus sounds: float64 (samples, 2).

    Levels, fades and ducking are in, the gain for `CEILING` is not. Concatenated, each bus
    has `timeline.samples` samples. MediaError for a sound that cannot be used.
    """
    duck = _duck(timeline)
    levels = {bus: gain_from_db(getattr(timeline.mix, bus)) for bus in BUSES}
    waiting = sorted(_plan(timeline.cues), key=lambda player: player.key, reverse=True)
    playing: list[_Player] = []
    try:
        for first in range(0, timeline.samples, _CHUNK):
            count = min(_CHUNK, timeline.samples - first)
            while waiting and waiting[-1].cue.start < first + count:
                playing.append(waiting.pop())
            stems = {bus: np.zeros((count, 2)) for bus in BUSES}
            for player in playing:
                player.add_to(stems[player.cue.bus], first)
            playing = [player for player in playing if not player.done(first + count)]
            for bus in BUSES:
                stems[bus] *= levels[bus]
            stems["music"] *= duck.gains(first, count)[:, np.newaxis]
            yield stems
    finally:
        for player in playing:
            player.close()


def peak_gain(timeline: Timeline) -> float:
    """Return the one gain, at most 1, that keeps the mix's highest sample under `CEILING`."""
    peak = max((float(np.abs(_sum(stems)).max()) for stems in stem_blocks(timeline)), default=0.0)
    # float32 rounds the result up by at most half of 2**-23 of it.
    ceiling = gain_from_db(CEILING) * (1.0 - 2.0**-23)
    return min(1.0, ceiling / peak) if peak else 1.0


def mix_blocks(timeline: Timeline, block: int = SAMPLE_RATE) -> Iterator[Block]:
    """Yield the film's sound, float32 (samples, 2) at 48 kHz, `block` samples at a time.

    The last block may be shorter; all together have exactly `timeline.samples` samples, none
    above `CEILING`. Full scale is 1.0. MediaError for a sound that cannot be used, ValueError
    for a block under 1.
    """
    if block < 1:
        raise ValueError(f"a block of {block} samples; allowed: 1 or more")
    gain = peak_gain(timeline)
    chunks = ((_sum(stems) * gain).astype(np.float32) for stems in stem_blocks(timeline))
    return _in_blocks(chunks, block)


def mix_to_array(timeline: Timeline) -> Block:
    """Return the sound of a short film in one piece: 23 MB a minute."""
    return np.concatenate([np.zeros((0, 2), np.float32), *mix_blocks(timeline)])


def _sum(stems: Stems) -> NDArray[np.float64]:
    return stems["dialogue"] + stems["effects"] + stems["music"]


def _in_blocks(chunks: Iterable[Block], block: int) -> Iterator[Block]:
    held: list[Block] = []
    have = 0
    for chunk in chunks:
        held.append(chunk)
        have += len(chunk)
        if have < block:
            continue
        whole = np.concatenate(held)
        full = have - have % block
        for first in range(0, full, block):
            yield whole[first : first + block]
        held, have = [whole[full:]], have - full
    if have:
        yield np.concatenate(held)


def _duck(timeline: Timeline) -> Duck:
    lines = [(cue.start, cue.end) for cue in timeline.cues if cue.bus == "dialogue"]
    mix = timeline.mix
    return Duck(dialogue_stretches(lines, mix.duck_hold), mix.duck, mix.duck_ramp)


def _plan(cues: Iterable[Cue]) -> list[_Player]:
    """Return a player for each cue; fades that cross on a bus get equal power."""
    players = [_Player(cue) for cue in cues if cue.end > max(0, cue.start)]
    fading_out = [p for p in players if p.cue.fade_out]
    fading_in = [p for p in players if p.cue.fade_in]
    for out in fading_out:
        for into in fading_in:
            if out is into or out.cue.bus != into.cue.bus:
                continue
            if (
                out.cue.end - out.cue.fade_out < into.cue.start + into.cue.fade_in
                and into.cue.start < out.cue.end
                and out.cue.start <= into.cue.start
            ):
                out.out_shape = into.in_shape = "equal power"
    return players


@dataclass
class _Player:
    """One cue being played: its file is open from its first sample to its last."""

    cue: Cue
    in_shape: Fade = "smooth"
    out_shape: Fade = "smooth"
    _sound: Sound | None = field(default=None, repr=False)
    _over: bool = False

    @cached_property
    def key(self) -> tuple[object, ...]:
        """An order that depends on the cue's values alone."""
        cue = self.cue
        return (cue.start, cue.end, cue.bus, str(cue.file), cue.skip, cue.level,
                cue.fade_in, cue.fade_out, cue.shot)  # fmt: skip

    def done(self, at: int) -> bool:
        """Whether nothing of the cue is left at film sample `at`; its file is then closed."""
        if not self._over and self.cue.end > at:
            return False
        self.close()
        return True

    def close(self) -> None:
        """Close the file."""
        if self._sound is not None:
            self._sound.close()
            self._sound = None

    def add_to(self, bus: NDArray[np.float64], first: int) -> None:
        """Add the cue to a bus's chunk, which begins at film sample `first`."""
        cue = self.cue
        start, end = max(first, cue.start), min(first + len(bus), cue.end)
        if self._sound is None:
            self._sound = open_sound(cue.file)
            self._sound.skip(cue.skip + start - cue.start)
        cut = cue.fade_out == 0 and end > cue.end - EDGE and self._goes_on(self._sound, start)
        block = self._sound.read(end - start)
        gains = self._gains(start, len(block), cut=cut)
        # A mono block, (samples, 1), goes to both sides as it is.
        bus[start - first : start - first + len(block)] += block * gains[:, np.newaxis]
        self._over = len(block) < end - start

    def _goes_on(self, sound: Sound, at: int) -> bool:
        """Whether the file has more sound than the cue takes."""
        more = self.cue.end - at + 1
        return sound.ahead(more) == more

    def _gains(self, first: int, count: int, *, cut: bool) -> Gains:
        cue = self.cue
        gains = np.full(count, gain_from_db(cue.level))
        fade_in = cue.fade_in or (EDGE if cue.skip else 0)
        fade_out = cue.fade_out or (EDGE if cut else 0)
        if fade_in and first < cue.start + fade_in:
            gains *= fade_gains(first - cue.start, count, fade_in, self.in_shape)
        if fade_out and first + count > cue.end - fade_out:
            backwards = fade_gains(cue.end - first - count, count, fade_out, self.out_shape)
            gains *= backwards[::-1]
        return gains
