"""Fitting a film to a length, to the exact frame.

What may move is scaled: its lengths are shared out in proportion to what they are now, in
whole poses, by largest remainder, and never below a panel's least length. What is left when
no whole pose fits any more, a frame or two, goes to the last panel that may move.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from animatic.board import Board
from animatic.board.schema import PanelEntry
from animatic.errors import AnimaticError
from animatic.frames import Rate, ceil_frames_from_seconds, ceil_to, share_in_steps
from animatic.timeline.layout import panel_ends, read_slots
from animatic.timeline.model import Shot, Timeline, overlaps
from animatic.timeline.reading import reading_seconds
from animatic.timeline.speech import dialogue_length

__all__ = ["CannotFit", "Limits", "Part", "counts_to_write", "fit_length", "limits", "parts"]


@dataclass(frozen=True, slots=True)
class Part:
    """A panel as `fit` sees it: its frames now, the least it may have, and its pose step."""

    index: int
    frames: int
    least: int
    step: int
    moves: bool
    """Whether its length may change."""
    held_by: str
    """What holds it where it may not change, or what sets its least length."""


class CannotFit(AnimaticError, ValueError):
    """No lengths of the panels give what was asked for; the message says what would do."""

    exit_code = 1


@dataclass(frozen=True, slots=True)
class Limits:
    """The shortest film in frames, and the longest: None where there is no end to it."""

    shortest: int
    longest: int | None


def parts(board: Board, timeline: Timeline, everything: bool = False) -> list[Part]:
    """Return what each panel allows; `everything` frees all but the locked ones."""
    rate, found = timeline.rate, []
    least_of_shots = {
        index: least for shot in timeline.shots for index, least in _at_cuts(shot, timeline.shots)
    }
    for slot in read_slots(board):
        panel = timeline.panels[slot.index]
        held_by = _held(slot.entry, everything)
        least, why = _least(board, slot.entry, rate, slot.shoot_on)
        for_cuts = least_of_shots[slot.index]
        if for_cuts > least:
            least, why = ceil_to(for_cuts, slot.shoot_on), "its transitions"
        if panel.move is not None and slot.entry.move is not None:
            needed = panel.move.last + 1 if slot.entry.move.length else panel.move.first + 2
            if needed > least:
                least, why = ceil_to(needed, slot.shoot_on), "its move"
        # What is shorter already may stay so, but goes no further.
        least = min(least, panel.frames) if not held_by else panel.frames
        found.append(
            Part(slot.index, panel.frames, least, slot.shoot_on, not held_by, held_by or why)
        )
    return found


def _held(entry: PanelEntry, everything: bool) -> str:
    """Return what holds a panel's length, or an empty string."""
    if entry.lock:
        return "lock"
    if everything:
        return ""
    if any(line.voice is not None for line in entry.dialogue):
        return "recorded dialogue"
    if entry.duration is not None and entry.duration.is_count:
        return f"an explicit count ({entry.duration})"
    return ""


def _least(board: Board, entry: PanelEntry, rate: Rate, step: int) -> tuple[int, str]:
    """Return the least frames of a panel, in whole poses, and what sets them."""
    shortest = entry.shortest or board.content.defaults.shortest
    bounds = [(Fraction(0), "one pose"), (shortest.in_seconds(rate), "shortest")]
    if entry.dialogue:
        bounds.append((dialogue_length(board, entry, rate), "its dialogue"))
        if board.content.lettering.dialogue:
            words = [line.line for line in entry.dialogue]
            bounds.append((reading_seconds(words), "its reading time"))
    seconds, why = max(bounds, key=lambda bound: bound[0])
    return max(step, ceil_to(ceil_frames_from_seconds(seconds, rate), step)), why


def _at_cuts(shot: Shot, shots: Sequence[Shot]) -> list[tuple[int, int]]:
    """Return (panel, frames) that a shot's transitions need at its two ends."""
    how = shot.transition
    following = shots[shot.index + 1].transition.dissolve if shot.index + 1 < len(shots) else 0
    needed = dict.fromkeys((panel.index for panel in shot.panels), 0)
    needed[shot.panels[0].index] += how.from_black or overlaps(how.dissolve)[0]
    needed[shot.panels[-1].index] += how.to_black or overlaps(following)[1]
    return list(needed.items())


def limits(board: Board, timeline: Timeline, everything: bool = False) -> Limits:
    """Return the shortest and longest film that fitting can make."""
    allowed = parts(board, timeline, everything)
    can_grow = any(part.moves for part in allowed)
    return Limits(sum(part.least for part in allowed), None if can_grow else timeline.frames)


def fit_length(
    board: Board, timeline: Timeline, frames: int, everything: bool = False
) -> dict[int, int]:
    """Return the counts of frames to write, by panel, so that the film has `frames`.

    CannotFit says what would be possible and what holds it.
    """
    if frames == timeline.frames:
        return {}
    allowed = parts(board, timeline, everything)
    moving = [part for part in allowed if part.moves]
    bounds = limits(board, timeline, everything)
    if not moving or frames < bounds.shortest:
        raise CannotFit(_why_not(timeline, frames, allowed, bounds))
    shares = share_in_steps(
        [part.frames for part in moving],
        [part.least for part in moving],
        [part.step for part in moving],
        frames - sum(part.frames for part in allowed if not part.moves),
    )
    wanted = [part.frames for part in allowed]
    for part, share in zip(moving, shares, strict=True):
        wanted[part.index] = share
    return counts_to_write(board, timeline.rate, wanted)


def counts_to_write(board: Board, rate: Rate, wanted: Sequence[int]) -> dict[int, int]:
    """Return the counts to write so that every panel has the frames wanted of it.

    A panel that comes to them by itself is left as it is written. So a panel that is held is
    written only where what lies before it would make it round to another pose.
    """
    counts: dict[int, int] = {}

    def instead(index: int, frames: int) -> int | None:
        if frames == wanted[index]:
            return None
        counts[index] = wanted[index]
        return wanted[index]

    panel_ends(board, rate, instead)
    return counts


def _why_not(timeline: Timeline, frames: int, allowed: Sequence[Part], bounds: Limits) -> str:
    """Return what is possible instead, with the panels that hold most frames."""

    def words(count: int) -> str:
        seconds = float(count / timeline.rate.fps)
        return f"{count} frames ({seconds:.2f} s)"

    longest = "no upper limit" if bounds.longest is None else words(bounds.longest)
    lines = [
        f"the film cannot have {words(frames)}",
        f"shortest: {words(bounds.shortest)}; longest: {longest}",
        "what holds it:",
    ]
    for part in sorted(allowed, key=lambda part: (-part.least, part.index))[:10]:
        panel = timeline.panels[part.index]
        lines.append(
            f"  shot {panel.shot}, panel {panel.number}: {part.least} frames by {part.held_by}"
        )
    return "\n".join(lines)
