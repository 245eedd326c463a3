"""The buses: the timeline's cues summed by sample number, in blocks, at 48 kHz stereo.

Each cue begins at its exact sample, and memory does not grow with the film's length. Cues are
summed in float64 in an order of their own, and every gain is a function of the sample's
number: neither the order of the cues nor the place of the blocks changes a bit of the result.
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
    pan_gains,
)
from animatic.sound.loop import Looped
from animatic.timeline.model import Bus, Cue, Timeline

__all__ = ["BUSES", "EDGE", "Stems", "stem_blocks", "summed"]

BUSES: tuple[Bus, ...] = get_args(Bus)

EDGE = 96
"""Where a cue cuts into a sound, these samples (2 ms) of it are ramped: no click."""

_CHUNK = SAMPLE_RATE
Stems = Mapping[Bus, NDArray[np.float64]]


def stem_blocks(timeline: Timeline, first: int = 0, end: int | None = None) -> Iterator[Stems]:
    """Yield, second by second, what each bus sounds: float64 (samples, 2).

    `first` and `end` are film samples; without them it is the whole film. Levels, fades,
    places and ducking are in, the gain of the whole film is not. MediaError for a sound that
    cannot be used.
    """
    end = timeline.samples if end is None else end
    duck = _duck(timeline)
    levels = {bus: gain_from_db(getattr(timeline.mix, bus)) for bus in BUSES}
    players = [player for player in _plan(timeline.cues) if player.cue.end > first]
    waiting = sorted(players, key=lambda player: player.key, reverse=True)
    playing: list[_Player] = []
    try:
        for begin in range(first, end, _CHUNK):
            count = min(_CHUNK, end - begin)
            while waiting and waiting[-1].cue.start < begin + count:
                playing.append(waiting.pop())
            stems = {bus: np.zeros((count, 2)) for bus in BUSES}
            for player in playing:
                player.add_to(stems[player.cue.bus], begin)
            playing = [player for player in playing if not player.done(begin + count)]
            for bus in BUSES:
                stems[bus] *= levels[bus]
            stems["music"] *= duck.gains(begin, count)[:, np.newaxis]
            yield stems
    finally:
        for player in playing:
            player.close()


def summed(stems: Stems) -> NDArray[np.float64]:
    """Return the sum of the buses."""
    return stems["dialogue"] + stems["effects"] + stems["music"]


def _duck(timeline: Timeline) -> Duck:
    lines = [(cue.start, cue.end) for cue in timeline.cues if cue.bus == "dialogue"]
    mix = timeline.mix
    # Where it would have to go down again before it is back, it stays down: music that comes
    # up half way and goes is heard as breathing.
    back = mix.duck_hold + mix.duck_release + mix.duck_attack
    stretches = dialogue_stretches(lines, back)
    return Duck(stretches, mix.duck, mix.duck_attack, mix.duck_hold, mix.duck_release)


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
    _sound: Sound | Looped | None = field(default=None, repr=False)
    _over: bool = False

    @cached_property
    def key(self) -> tuple[object, ...]:
        """An order that depends on the cue's values alone."""
        cue = self.cue
        return (cue.start, cue.end, cue.bus, str(cue.file), cue.skip, cue.level,
                cue.fade_in, cue.fade_out, cue.shot, cue.pan, cue.pieces)  # fmt: skip

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
            self._sound = self._opened(start - cue.start)
        cut = cue.fade_out == 0 and end > cue.end - EDGE and self._goes_on(self._sound, start)
        block = self._sound.read(end - start)
        gains = self._gains(start, len(block), cut=cut)
        # A mono block, (samples, 1), goes to both sides.
        placed = block * gains[:, np.newaxis]
        if cue.pan:
            placed = placed * np.array(pan_gains(cue.pan, block.shape[1]))
        bus[start - first : start - first + len(block)] += placed
        self._over = len(block) < end - start

    def _opened(self, at: int) -> Sound | Looped:
        """Return the cue's sound, to be read from sample `at` of the cue on."""
        cue = self.cue
        if cue.pieces:
            looped = Looped(cue.file, cue.skip, cue.pieces)
            looped.skip(at)
            return looped
        sound = open_sound(cue.file)
        sound.skip(cue.skip + at)
        return sound

    def _goes_on(self, sound: Sound | Looped, at: int) -> bool:
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
