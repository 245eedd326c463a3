"""What does not fit: transitions, moves and cues against the lengths around them."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from animatic.board import Board
from animatic.board.keys.schema import MusicEntry, SoundEntry
from animatic.board.text.yamltree import KeyPath, key_words
from animatic.errors import Problem
from animatic.frames import Rate, decimal
from animatic.timeline.cues import crossfade, looped_length
from animatic.timeline.model import Shot, overlaps
from animatic.words import counted

__all__ = ["ends_taken", "misfits", "too_long", "transition_at"]

_SHORTEST_CROSSFADE = Fraction(1, 100)
"""Seconds under which crossing is a click (common practice, no source)."""


def misfits(board: Board, rate: Rate, shots: tuple[Shot, ...]) -> Iterator[Problem]:
    """Yield a problem for everything that cannot be laid as written."""
    for shot in shots:
        yield from _misplaced(board, shot)
        yield from _bad_moves(board, shot)
    yield from _too_long(board, shots)
    yield from _skipped_away(board, rate)
    yield from _bad_loops(board, rate)
    yield from _idle_beats(board)


def _problem(board: Board, key: KeyPath, found: str, allowed: str = "", hint: str = "") -> Problem:
    return Problem(board.place(key), key_words(key), found, allowed, hint)


def _misplaced(board: Board, shot: Shot) -> Iterator[Problem]:
    """Transitions on a panel, or a shot, where they have no meaning."""
    for panel in shot.panels:
        written = board.content.panels[panel.index].transition
        if written is None:
            continue
        key = ("panels", panel.index, "transition")
        first, last = shot.panels[0].index, shot.panels[-1].index
        for word in ("dissolve", "from_black"):
            if getattr(written, word) is not None and panel.index != first:
                found = f"{word} on panel {panel.number} of shot {shot.name}"
                hint = "a transition lies at a cut: put it on the shot's first panel"
                yield _problem(board, (*key, word), found, hint=hint)
        if written.to_black is not None and panel.index != last:
            found = f"to_black on panel {panel.number} of shot {shot.name}"
            hint = "put it on the shot's last panel"
            yield _problem(board, (*key, "to_black"), found, hint=hint)
        if written.dissolve is not None and panel.index == 0:
            found = "a dissolve into the first shot, with nothing before it"
            yield _problem(board, (*key, "dissolve"), found, hint="write from_black")
        if written.dissolve is not None and written.from_black is not None:
            found = "a dissolve and a fade from black at one cut"
            yield _problem(board, key, found, hint="leave one of them out")


def _too_long(board: Board, shots: tuple[Shot, ...]) -> Iterator[Problem]:
    """Transitions at a shot's two ends that meet in its middle; the longer one is at fault."""
    for shot in shots:
        if shot.transition.to_black and _following(shot, shots):
            key = ("panels", shot.panels[-1].index, "transition", "to_black")
            found = f"shot {shot.name} fades to black and the next one dissolves from it"
            yield _problem(board, key, found, hint="leave one of them out")
    for shot, word in too_long(shots):
        yield _shortened(board, shots, shot, word)


def too_long(shots: tuple[Shot, ...]) -> Iterator[tuple[Shot, str]]:
    """Yield each transition that is too long for the shots around it: its shot and its key."""
    told: set[tuple[int, str]] = set()
    for shot in shots:
        head, tail = ends_taken(shot, shots)
        both = bool(shot.transition.to_black and _following(shot, shots))
        if both or head + tail <= shot.frames:
            continue
        if head >= tail:
            at = shot.index, "from_black" if shot.transition.from_black else "dissolve"
        elif shot.transition.to_black:
            at = shot.index, "to_black"
        else:
            at = shot.index + 1, "dissolve"
        if at not in told:
            told.add(at)
            yield shots[at[0]], at[1]


def _following(shot: Shot, shots: tuple[Shot, ...]) -> int:
    """Return the frames of the dissolve into the next shot."""
    return shots[shot.index + 1].transition.dissolve if shot.index + 1 < len(shots) else 0


def ends_taken(shot: Shot, shots: tuple[Shot, ...]) -> tuple[int, int]:
    """Return the frames that transitions take of a shot at its start and at its end."""
    how = shot.transition
    head = how.from_black or overlaps(how.dissolve)[0]
    return head, how.to_black or overlaps(_following(shot, shots))[1]


def _shortened(board: Board, shots: tuple[Shot, ...], shot: Shot, word: str) -> Problem:
    """Return the problem of a transition that is too long, with the longest that would fit."""
    head, tail = ends_taken(shot, shots)
    key = ("panels", transition_at(shot, word), "transition", word)
    if word == "dissolve":
        before, length = shots[shot.index - 1], shot.transition.dissolve
        room = max(0, before.frames - ends_taken(before, shots)[0]), max(0, shot.frames - tail)
        taken = overlaps(length)[1], overlaps(length)[0]
        # Of n frames floor(n / 2) lie before the cut and ceil(n / 2) after it.
        most = min(2 * room[0] + 1, 2 * room[1])
        found = (
            f"a dissolve of {counted(length, 'frame')} takes {taken[0]} of shot {before.name}"
            f" and {taken[1]} of shot {shot.name}, which have {room[0]}"
            f" and {counted(room[1], 'frame')} for it"
        )
        short = [
            one.name
            for one, has, takes in zip((before, shot), room, taken, strict=True)
            if takes > has
        ]
    else:
        most = max(0, shot.frames - (tail if word == "from_black" else head))
        length = head if word == "from_black" else tail
        found = (
            f"a fade of {counted(length, 'frame')} in shot {shot.name},"
            f" which has {counted(most, 'frame')} for it"
        )
        short = [shot.name]
    hint = "shorten it" if most else "leave it out"
    hint += f", or give shot{'s' * (len(short) > 1)} {' and '.join(short)} more frames"
    return _problem(board, key, found, f"at most {most}f" if most else "", hint)


def transition_at(shot: Shot, word: str) -> int:
    """Return the panel, by its index over the film, that says how a shot begins or ends."""
    return shot.panels[-1 if word == "to_black" else 0].index


def _bad_moves(board: Board, shot: Shot) -> Iterator[Problem]:
    for panel in shot.panels:
        if panel.move is None:
            continue
        key = ("panels", panel.index, "move")
        if panel.move.first >= panel.move.last or panel.move.last >= panel.frames:
            found = (
                f"a move from frame {panel.move.first} to frame {panel.move.last} of a panel"
                f" with frames 0 to {panel.frames - 1}"
            )
            hint = "start it earlier, shorten it, or give the panel more frames"
            yield _problem(board, key, found, hint=hint)


def _skipped_away(board: Board, rate: Rate) -> Iterator[Problem]:
    """Sounds of which `skip` leaves nothing."""
    entries: list[tuple[KeyPath, MusicEntry | SoundEntry]] = []
    entries += [(("music", i), music) for i, music in board.content.played]
    for i, panel in enumerate(board.content.panels):
        entries += [(("panels", i, "sounds", j), sound) for j, sound in enumerate(panel.sounds)]
    for key, entry in entries:
        if entry.skip is None:
            continue
        length = board.media.sounds[board.path(entry.file)].seconds
        if entry.skip.in_seconds(rate) >= length:
            found = f"{entry.skip} left out of a sound of {decimal(length, 3)} s leaves nothing"
            allowed = f"less than {decimal(length, 3, down=True)}s"
            yield _problem(board, (*key, "skip"), found, allowed)


def _bad_loops(board: Board, rate: Rate) -> Iterator[Problem]:
    """Loops that are too short to cross with themselves, and crossfades without a loop."""
    for index, music in board.content.played:
        key: KeyPath = ("music", index, "crossfade")
        if not music.loop:
            if music.crossfade is not None:
                found = f"a crossfade of {music.crossfade} on music that does not repeat"
                yield _problem(board, key, found, hint="add loop: true, or leave it out")
            continue
        length, across = looped_length(board, rate, music), crossfade(music, rate)
        if across < _SHORTEST_CROSSFADE:
            found = f"{music.crossfade} is too short to cross without a click"
            yield _problem(board, key, found, "0.01s or more")
        elif 0 < length < 2 * across:
            place = key if music.crossfade is not None else ("music", index, "loop")
            found = (
                f"a sound of {decimal(length, 2)} s cannot repeat with a crossfade of"
                f" {decimal(across, 2)} s at either end"
            )
            most = decimal(length / 2, 2, down=True)
            hint = f"write crossfade: {most}s or less" if Fraction(most) else ""
            hint = ", or ".join(filter(None, (hint, "take a longer piece")))
            yield _problem(board, place, found, "at least two crossfades long", hint)


def _idle_beats(board: Board) -> Iterator[Problem]:
    """Keys that say where the beats of a piece lie, and that mean nothing as they stand."""
    for index, music in enumerate(board.content.music):
        if music.beats is not None:
            idle = [word for word in ("bpm", "first_beat") if getattr(music, word) is not None]
            for word in idle[:1]:
                found = f"{' and '.join(idle)} beside beats, which lists every beat"
                hint = f"leave {'them' if len(idle) > 1 else 'it'} out, or beats"
                yield _problem(board, ("music", index, word), found, hint=hint)
        elif music.first_beat is not None and music.bpm is None:
            found = f"a first beat at {music.first_beat}, and no bpm to count on by"
            hint = "write bpm beside it (animatic beats FILE listens for both), or leave it out"
            yield _problem(board, ("music", index, "first_beat"), found, hint=hint)
