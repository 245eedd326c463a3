"""The programme: one gain for the whole film, and a limiter for what is then over.

The film is measured as ITU-R BS.1770 says and brought to the loudness that the board asks for
by one gain; the balance of the cut is not touched. Only where the true peak would pass the
ceiling does a limiter hold it back, and then the gain makes up for what that takes. A film
without a target is only ever made softer, so that its peaks stay under the ceiling.

What is done to the sum is done to every bus, so that the buses still add up to the film. A
part of a film has the gain that the whole film has.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from math import log10

import numpy as np

from animatic.sound.buses import BUSES, Stems, stem_blocks, summed
from animatic.sound.levels import Gains, gain_from_db
from animatic.sound.limiter import AHEAD, CEILING, MEMORY, WORKING, Limiter
from animatic.sound.loudness import Loudness, Meter
from animatic.sound.truepeak import DELAY
from animatic.timeline.model import Bus, Timeline

__all__ = ["MOST_GAIN", "SILENT", "Programme", "find_programme", "programme_stems"]

MOST_GAIN = 20.0
"""dB by which a film is made louder at most: a film of hiss stays one."""
SILENT = Loudness(None, None, None, None, None)

_CLOSE = 0.1
"""LU from the target that are near enough (EBU R 128 allows 0.5 to a finished programme)."""
_PASSES = 7
"""Times the limiter is run at most to find the gain that makes up for it."""
_LEAST_BROUGHT = 0.15
"""LU that a dB more is taken to bring at least: no raise is a leap."""
_IN_WORK = 4


@dataclass(frozen=True, slots=True)
class Programme:
    """What makes a film's mix as loud as it is to be, and how loud it then is."""

    target: float | None
    """LUFS that were asked for."""
    gain: float
    """The factor for every sample."""
    limits: bool
    """Whether the limiter works."""
    held: float
    """dB by which the limiter holds the highest peak back."""
    film: Loudness
    buses: Mapping[Bus, Loudness]

    @property
    def gain_db(self) -> float:
        """The gain in dB."""
        return 20.0 * log10(self.gain)


def find_programme(timeline: Timeline) -> Programme:
    """Measure a film, or the film that a part is from, and return its programme.

    MediaError for a sound that cannot be used.

    >>> from pathlib import Path
    >>> from animatic.board import read_board
    >>> from animatic.timeline import lay_out
    >>> programme = find_programme(lay_out(read_board(Path("demo_board"))))
    >>> f"{programme.gain_db:+.1f} dB to {programme.film.integrated:.1f} LUFS"
    '-1.7 dB to -23.0 LUFS'
    """
    film = timeline.whole or timeline
    target = film.mix.loudness
    if not film.cues:
        return Programme(target, 1.0, False, 0.0, SILENT, dict.fromkeys(BUSES, SILENT))
    meters = _Meters(film)
    meters.push_all(stem_blocks(film))
    peak = meters.film.read().true_peak
    if target is None or meters.film.read().integrated is None:
        # What is too short or too soft to be measured is left as it is.
        # float32 rounds the result up by at most half of 2**-23 of it.
        room = gain_from_db(CEILING - peak) * (1.0 - 2.0**-23) if peak is not None else 1.0
        gain = min(1.0, room)
        return Programme(target, gain, False, 0.0, *meters.read(gain))
    gain = _gain_to(target, meters.film)
    if peak is None or peak + 20.0 * log10(gain) <= WORKING:
        return Programme(target, gain, False, 0.0, *meters.read(gain))
    return _limited_programme(film, target, gain)


def programme_stems(timeline: Timeline, programme: Programme) -> Iterator[Stems]:
    """Yield what each bus sounds in the finished film, float64 (samples, 2), in blocks.

    Together they have `timeline.samples` samples, and their sum is the film's sound.
    """
    film, begin = timeline.whole or timeline, timeline.begins
    end = begin + timeline.samples
    if not programme.limits:
        for stems in stem_blocks(film, begin, end):
            yield {bus: stems[bus] * programme.gain for bus in BUSES}
        return
    # The limiter's curve hangs on what comes before and after the part.
    first = max(0, begin - MEMORY)
    last = end + AHEAD + DELAY if timeline.whole else end
    at = first
    for stems in _limited(stem_blocks(film, first, last), programme.gain, Limiter()):
        count = len(stems["music"])
        keep = slice(max(0, begin - at), max(0, min(count, end - at)))
        if keep.start < keep.stop:
            yield {bus: stems[bus][keep] for bus in BUSES}
        at += count


def _limited_programme(film: Timeline, target: float, gain: float) -> Programme:
    """Return the programme of a film whose peaks are over the ceiling at `gain`.

    The limiter takes from the loudness what it takes from the peaks, so the gain is raised
    until the film is close to its target: by what is missing, over how much the last raise
    brought.
    """
    raised, brought = 0.0, 1.0
    before: float | None = None
    for left in reversed(range(_PASSES)):
        meters, limiter = _Meters(film), Limiter()
        meters.push_all(_limited(stem_blocks(film), gain, limiter))
        found = Programme(target, gain, True, limiter.most, *meters.read())
        reached = found.film.integrated
        if not left or reached is None or abs(target - reached) <= _CLOSE:
            return found
        if before is not None and raised:
            brought = min(1.0, max(_LEAST_BROUGHT, (reached - before) / raised))
        room = MOST_GAIN - found.gain_db
        raised, before = min(room, (target - reached) / brought), reached
        if abs(raised) < _CLOSE / 10:
            return found
        gain *= gain_from_db(raised)
    raise AssertionError("a programme is found in the last pass at the latest")


def _gain_to(target: float, meter: Meter) -> float:
    """Return the factor that brings what was measured to a loudness, within `MOST_GAIN`."""
    gain = 1.0
    # More gain lifts soft parts over the absolute gate: what counts may change.
    for _ in range(4):
        reached = meter.read(gain).integrated
        if reached is None:
            break
        gain = min(gain * gain_from_db(target - reached), gain_from_db(MOST_GAIN))
    return gain


def _limited(blocks: Iterable[Stems], gain: float, limiter: Limiter) -> Iterator[Stems]:
    waiting: Stems = {bus: np.zeros((0, 2)) for bus in BUSES}

    def taken(gains: Gains) -> Iterator[Stems]:
        nonlocal waiting
        count = len(gains)
        if count:
            yield {bus: waiting[bus][:count] * gains[:, np.newaxis] for bus in BUSES}
            waiting = {bus: waiting[bus][count:] for bus in BUSES}

    for stems in blocks:
        raised = {bus: stems[bus] * gain for bus in BUSES}
        waiting = {bus: np.concatenate([waiting[bus], raised[bus]]) for bus in BUSES}
        yield from taken(limiter.push(summed(raised)))
    yield from taken(limiter.finish())


class _Meters:
    """A meter for the film and one for each bus that sounds."""

    def __init__(self, film: Timeline) -> None:
        self.film = Meter()
        self._buses: dict[Bus, Meter] = {cue.bus: Meter() for cue in film.cues}

    def push_all(self, blocks: Iterable[Stems]) -> None:
        """Measure blocks, in a thread of its own while the next ones are made."""
        waiting: deque[Future[None]] = deque()
        with ThreadPoolExecutor(1, thread_name_prefix="meter") as pool:
            for stems in blocks:
                waiting.append(pool.submit(self._push, stems))
                if len(waiting) > _IN_WORK:
                    waiting.popleft().result()
            for future in waiting:
                future.result()

    def _push(self, stems: Stems) -> None:
        self.film.push(summed(stems))
        for bus, meter in self._buses.items():
            meter.push(stems[bus])

    def read(self, gain: float = 1.0) -> tuple[Loudness, dict[Bus, Loudness]]:
        """Return the loudness of film and buses, made louder by a factor."""
        buses = {
            bus: self._buses[bus].read(gain) if bus in self._buses else SILENT for bus in BUSES
        }
        return self.film.read(gain), buses
