"""The pace of a film: how long its shots are, where it talks, where it ticks evenly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby
from statistics import fmean, median, pstdev

from animatic.board import Board
from animatic.frames import SAMPLE_RATE, samples_from_seconds, seconds_from_frames
from animatic.timeline.beats import landings
from animatic.timeline.model import Shot, Timeline

__all__ = ["Pace", "Stretch", "even_runs", "pace"]

EVENNESS = Fraction(1, 10)
"""Shots in a row whose lengths differ by less than this part feel like one length
(common practice)."""
NEAR_FRAMES = 2
"""How close the end of a line and a cut on a beat lie when they fall together (common practice)."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Consecutive shots at one place."""

    place: str
    first: str
    last: str
    shots: int
    seconds: float

    @property
    def shots_a_minute(self) -> float:
        """Cutting rate."""
        return self.shots * 60 / self.seconds


@dataclass(frozen=True, slots=True)
class Pace:
    """Shot lengths in seconds, and what there is to notice in them."""

    mean: float
    median: float
    deviation: float
    """Standard deviation of all shots (population)."""
    longest: Shot
    shortest: Shot
    speech: float
    """Part of the film in which somebody speaks, 0 to 1."""
    sequences: tuple[Stretch, ...]
    even: tuple[tuple[str, ...], ...]
    """Every longest run of three shots or more of nearly one length, by name: `even_runs`."""
    together: tuple[str, ...]
    """Shots whose cut falls on a beat and on the last word of a line."""


def pace(board: Board, timeline: Timeline) -> Pace:
    """Return the pace of a film.

    >>> from pathlib import Path
    >>> from animatic.board import read_board
    >>> from animatic.timeline import lay_out
    >>> board = read_board(Path("demo_board"))
    >>> measured = pace(board, lay_out(board))
    >>> round(float(measured.median), 2), measured.longest.name
    (4.29, '160')
    """
    lengths = [_seconds(shot, timeline) for shot in timeline.shots]
    return Pace(
        mean=fmean(lengths),
        median=median(lengths),
        deviation=pstdev(lengths),
        longest=max(timeline.shots, key=lambda shot: (shot.frames, -shot.index)),
        shortest=min(timeline.shots, key=lambda shot: (shot.frames, shot.index)),
        speech=_speech_share(timeline),
        sequences=tuple(_sequences(board, timeline)),
        even=tuple(even_runs(timeline.shots)),
        together=tuple(_together(board, timeline)),
    )


def _seconds(shot: Shot, timeline: Timeline) -> float:
    return float(seconds_from_frames(shot.frames, timeline.rate))


def _speech_share(timeline: Timeline) -> float:
    """Return the part of the film's samples that lie in a line, overlaps counted once."""
    covered, reached = 0, 0
    for start, end in sorted((line.start, line.end) for line in timeline.lines):
        start, end = max(start, reached), min(end, timeline.samples)
        covered += max(0, end - start)
        reached = max(reached, end)
    return covered / timeline.samples


def _sequences(board: Board, timeline: Timeline) -> list[Stretch]:
    """Return the film's sequences: shots in a row at one place (or on one setup)."""

    def place(shot: Shot) -> str:
        setup = board.content.setups.get(shot.setup)
        return (setup.place if setup is not None else None) or shot.setup or "no setup"

    found = []
    for name, group in groupby(timeline.shots, key=place):
        shots = list(group)
        seconds = sum(_seconds(shot, timeline) for shot in shots)
        found.append(Stretch(name, shots[0].name, shots[-1].name, len(shots), seconds))
    return found


def even_runs(shots: Sequence[Shot]) -> list[tuple[str, ...]]:
    """Return every longest run of three shots or more of nearly one length, by name.

    In a run the shortest shot is less than a tenth of the longest one shorter than that. A
    run is a longest one where neither the shot before nor the shot after it could join; two
    of them may have shots in common, where the lengths drift.
    """
    frames = [shot.frames for shot in shots]
    found: list[tuple[str, ...]] = []
    reached = 0
    for start in range(len(shots)):
        # A part of an even run is even: what the last start reached, this one does.
        end = max(reached, start + 1)
        while end < len(shots) and _is_even(frames[start : end + 1]):
            end += 1
        if end > reached and end - start >= 3:
            found.append(tuple(shot.name for shot in shots[start:end]))
        reached = end
        if end == len(shots):
            break
    return found


def _is_even(frames: Sequence[int]) -> bool:
    return max(frames) - min(frames) < EVENNESS * max(frames)


def _together(board: Board, timeline: Timeline) -> list[str]:
    """Return the shots that begin on a beat just where a line ends: it feels mechanical."""
    near = samples_from_seconds(seconds_from_frames(NEAR_FRAMES, timeline.rate), SAMPLE_RATE)
    found = []
    for one in landings(board, timeline):
        if not one.is_on:
            continue
        at = samples_from_seconds(seconds_from_frames(one.shot.start, timeline.rate))
        if any(abs(line.end - at) <= near for line in timeline.lines):
            found.append(one.shot.name)
    return found
