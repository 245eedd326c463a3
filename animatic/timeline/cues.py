"""Where each sound of the board lies, in film samples."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import count

from animatic.board import Board
from animatic.board.keys.durations import Duration
from animatic.board.keys.schema import MusicEntry, SoundEntry
from animatic.frames import Rate, samples_from_frames, samples_from_seconds, seconds_from_frames
from animatic.timeline.model import Bus, Cue, Panel, Shot

__all__ = ["crossfade", "film_cues", "looped_length", "one_by_one"]

CROSSFADE = Fraction(1, 2)
"""Seconds over which a loop crosses where the board does not say."""


def film_cues(board: Board, rate: Rate, shots: tuple[Shot, ...]) -> Iterator[Cue]:
    """Yield the film's cues: music, then the panels' lines and effects in order.

    A cue that would go on beyond the film's end stops there.
    """
    film_end = samples_from_frames(shots[-1].end, rate)
    for cue in _all_cues(board, rate, shots):
        if cue.start < min(cue.end, film_end):
            yield cue if cue.end <= film_end else _ending_at(cue, film_end)


def _ending_at(cue: Cue, end: int) -> Cue:
    length = end - cue.start
    fade_in, fade_out = min(cue.fade_in, length), min(cue.fade_out, length)
    return replace(cue, end=end, fade_in=fade_in, fade_out=fade_out)


def _all_cues(board: Board, rate: Rate, shots: tuple[Shot, ...]) -> Iterator[Cue]:
    by_name = {shot.name: shot for shot in shots}
    for _, music in board.content.played:
        begin = by_name[music.from_] if music.from_ is not None else shots[0]
        end = by_name[music.until].end if music.until is not None else None
        end_at = None if end is None else seconds_from_frames(end, rate)
        start_at = seconds_from_frames(begin.start, rate)
        if music.loop:
            loop_end = end_at if end_at is not None else seconds_from_frames(shots[-1].end, rate)
            yield _looped(board, rate, music, begin.name, start_at, loop_end)
        else:
            yield _cue(board, rate, "music", music, begin.name, start_at, end_at)
    for shot in shots:
        for panel in shot.panels:
            yield from _panel_cues(board, rate, panel)


def _panel_cues(board: Board, rate: Rate, panel: Panel) -> Iterator[Cue]:
    entry = board.content.panels[panel.index]
    for line, written in zip(panel.lines, entry.dialogue, strict=True):
        if line.voice is not None:
            yield Cue(
                "dialogue",
                line.voice,
                line.start,
                line.end,
                panel.shot,
                level=float(written.level),
                licence="" if line.scratch else written.licence or "",
            )
    for sound in entry.sounds:
        start_at = seconds_from_frames(panel.start, rate) + _seconds(sound.at, rate)
        end_at = start_at + sound.length.in_seconds(rate) if sound.length is not None else None
        yield _cue(board, rate, "effects", sound, panel.shot, start_at, end_at)


def _cue(
    board: Board,
    rate: Rate,
    bus: Bus,
    entry: MusicEntry | SoundEntry,
    shot: str,
    start_at: Fraction,
    end_at: Fraction | None,
) -> Cue:
    """Return the cue from `start_at` to `end_at` or the file's end, in film seconds."""
    file = board.path(entry.file)
    skip = _seconds(entry.skip, rate)
    file_end = start_at + board.media.sounds[file].seconds - skip
    end = samples_from_seconds(file_end if end_at is None else min(end_at, file_end))
    start = samples_from_seconds(start_at)
    return _between(board, rate, bus, entry, shot, start, end)


def _looped(
    board: Board, rate: Rate, music: MusicEntry, shot: str, start_at: Fraction, end_at: Fraction
) -> Cue:
    """Return the cue of music that repeats from `start_at` to `end_at`."""
    start, end = samples_from_seconds(start_at), samples_from_seconds(end_at)
    length = looped_length(board, rate, music)
    step = length - crossfade(music, rate)
    pieces: list[tuple[int, int]] = []
    # Each place is rounded from its own exact position, so that no error adds up.
    for number in count():
        at = start_at + number * step
        pieces.append((samples_from_seconds(at) - start, samples_from_seconds(at + length) - start))
        # A step of nothing is a misfit, which is found elsewhere.
        if at + length >= end_at or step <= 0:
            break
    cue = _between(board, rate, "music", music, shot, start, end)
    return replace(cue, pieces=tuple(pieces)) if len(pieces) > 1 else cue


def looped_length(board: Board, rate: Rate, music: MusicEntry) -> Fraction:
    """Return the seconds of a file that are left to repeat."""
    return board.media.sounds[board.path(music.file)].seconds - _seconds(music.skip, rate)


def crossfade(music: MusicEntry, rate: Rate) -> Fraction:
    """Return the seconds over which the end of a loop and its start cross."""
    return CROSSFADE if music.crossfade is None else music.crossfade.in_seconds(rate)


def one_by_one(cue: Cue) -> list[Cue]:
    """Return a cue that repeats as a cue for each time it plays, and any other as it is."""
    if not cue.pieces:
        return [cue]
    found: list[Cue] = []
    for number, (first, end) in enumerate(cue.pieces):
        is_first, is_last = number == 0, number == len(cue.pieces) - 1
        fade_in = cue.fade_in if is_first else cue.pieces[number - 1][1] - first
        fade_out = cue.fade_out if is_last else end - cue.pieces[number + 1][0]
        begins, stops = cue.start + first, min(cue.end, cue.start + end)
        found.append(
            replace(cue, start=begins, end=stops, fade_in=fade_in, fade_out=fade_out, pieces=())
        )
    return found


def _between(
    board: Board,
    rate: Rate,
    bus: Bus,
    entry: MusicEntry | SoundEntry,
    shot: str,
    start: int,
    end: int,
) -> Cue:
    """Return the cue over film samples [start, end)."""
    length = max(0, end - start)
    skip = _seconds(entry.skip, rate)
    return Cue(
        bus=bus,
        file=board.path(entry.file),
        start=start,
        end=end,
        shot=shot,
        skip=samples_from_seconds(skip),
        level=float(entry.level),
        fade_in=min(length, samples_from_seconds(_seconds(entry.fade_in, rate))),
        fade_out=min(length, samples_from_seconds(_seconds(entry.fade_out, rate))),
        licence=entry.licence or "",
        pan=float(entry.pan) if isinstance(entry, SoundEntry) else 0.0,
    )


def _seconds(length: Duration | None, rate: Rate) -> Fraction:
    return length.in_seconds(rate) if length is not None else Fraction(0)
