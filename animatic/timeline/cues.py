"""Where each sound of the board lies, in film samples."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from animatic.board import Board
from animatic.board.durations import Duration
from animatic.board.schema import MusicEntry, SoundEntry
from animatic.frames import Rate, samples_from_frames, samples_from_seconds, seconds_from_frames
from animatic.timeline.model import Bus, Cue, Panel, Shot

__all__ = ["film_cues"]


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
    for music in board.content.music:
        begin = by_name[music.from_] if music.from_ is not None else shots[0]
        end = by_name[music.until].end if music.until is not None else None
        end_at = None if end is None else seconds_from_frames(end, rate)
        start_at = seconds_from_frames(begin.start, rate)
        yield _cue(board, rate, "music", music, begin.name, start_at, end_at)
    for shot in shots:
        for panel in shot.panels:
            yield from _panel_cues(board, rate, panel)


def _panel_cues(board: Board, rate: Rate, panel: Panel) -> Iterator[Cue]:
    entry = board.content.panels[panel.index]
    for line, written in zip(panel.lines, entry.dialogue, strict=True):
        if line.voice is not None:
            level = float(written.level)
            yield Cue("dialogue", line.voice, line.start, line.end, panel.shot, level=level)
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
    length = max(0, end - start)
    return Cue(
        bus=bus,
        file=file,
        start=start,
        end=end,
        shot=shot,
        skip=samples_from_seconds(skip),
        level=float(entry.level),
        fade_in=min(length, samples_from_seconds(_seconds(entry.fade_in, rate))),
        fade_out=min(length, samples_from_seconds(_seconds(entry.fade_out, rate))),
        licence=entry.licence or "",
    )


def _seconds(length: Duration | None, rate: Rate) -> Fraction:
    return length.in_seconds(rate) if length is not None else Fraction(0)
