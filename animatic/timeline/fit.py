"""Fitting a film to a length, to the exact frame.

What may move is scaled: its lengths are shared out in proportion to what was written, in whole
poses, by largest remainder, and never below a panel's least length. What is left when no whole
pose fits any more, a frame or two, goes to the last panel that may move.

The new length of a panel stands behind what was written, as `2.5s ~58f`, so that the next fit
starts from the same lengths as this one: one fit after another is as the last one alone, and a
fit to the length that was written takes it all back.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from animatic.board import Board, parse_duration
from animatic.board.keys.durations import LONGEST, Duration, fitted
from animatic.errors import AnimaticError
from animatic.frames import Rate, decimal, frames_from_seconds, share_in_steps
from animatic.timeline.layout import panel_ends
from animatic.timeline.least import Part, parts, unfitted
from animatic.timeline.model import Timeline
from animatic.timeline.overruns import cut_off
from animatic.words import counted

__all__ = [
    "CannotFit",
    "Limits",
    "fit_length",
    "lengths_to_write",
    "limits",
    "share_out",
]

_MOST_NAMED = 10
"""How many of the panels that hold the film a message names."""


class CannotFit(AnimaticError, ValueError):
    """No lengths of the panels give what was asked for; the message says what would do."""

    exit_code = 1


@dataclass(frozen=True, slots=True)
class Limits:
    """The shortest film in frames, and the longest: None where only a day, 24 hours, ends it."""

    shortest: int
    longest: int | None


def limits(board: Board, timeline: Timeline, everything: bool = False) -> Limits:
    """Return the shortest and longest film that fitting can make."""
    allowed = parts(board, timeline, everything)
    can_grow = any(part.moves for part in allowed)
    shortest = sum(part.least for part in allowed)
    return Limits(shortest, None if can_grow else shortest)


def fit_length(
    board: Board, timeline: Timeline, frames: int, everything: bool = False
) -> dict[int, Duration | None]:
    """Return the lengths to write, by panel, so that the film has `frames`.

    None stands for no length: the panel comes to its frames by itself. CannotFit says what
    would be possible and what holds it.
    """
    allowed = parts(board, timeline, everything)
    if frames == timeline.frames and not _is_cut_off(board, timeline, allowed):
        return {}
    bounds = limits(board, timeline, everything)
    longest = bounds.longest or frames_from_seconds(Fraction(LONGEST), timeline.rate)
    if not bounds.shortest <= frames <= longest:
        freed = None if everything else limits(board, timeline, everything=True)
        raise CannotFit(_why_not(timeline, frames, allowed, bounds, freed))
    wanted = [part.own for part in allowed]
    share_out(allowed, frames, wanted)
    return lengths_to_write(board, timeline.rate, wanted)


def _is_cut_off(board: Board, timeline: Timeline, allowed: Sequence[Part]) -> bool:
    """Whether a line runs over the end of its shot, and a fit would give it room."""
    return any(
        sum(allowed[later.index].least for later in shot.panels[panel.number - 1 :])
        > shot.end - panel.start
        for shot in timeline.shots
        for panel, _ in cut_off(board, shot)
    )


def share_out(group: Sequence[Part], total: int, lengths: list[int]) -> None:
    """Give the moving panels of a group new lengths, in proportion, so that all have `total`.

    `lengths` are the frames of all panels of the film, by their index, and are changed in place;
    what adds up already, with none below its least, stays.
    """
    moving = [part for part in group if part.moves]
    is_enough = all(lengths[part.index] >= part.least for part in group)
    if is_enough and sum(lengths[part.index] for part in group) == total:
        return
    shares = share_in_steps(
        [lengths[part.index] for part in moving],
        [part.least for part in moving],
        [part.step for part in moving],
        total - sum(lengths[part.index] for part in group if not part.moves),
    )
    for part, share in zip(moving, shares, strict=True):
        lengths[part.index] = share


def lengths_to_write(board: Board, rate: Rate, wanted: Sequence[int]) -> dict[int, Duration | None]:
    """Return the lengths to write so that every panel has the frames wanted of it.

    A panel that comes to them by what was written of it, before any fit, is left so or put
    back to it. So a panel that is held is written only where what lies before it would make it
    round to another pose. A count of the film-maker's own is written as such a one again.
    """
    lengths: dict[int, Duration | None] = {}
    bare = unfitted(board).content.panels

    def instead(index: int, frames: int) -> int | None:
        now, own = board.content.panels[index].duration, bare[index].duration
        is_own = frames == wanted[index]
        length = own
        if not is_own:
            count = parse_duration(f"{wanted[index]}f")
            is_counted = own is not None and own.is_count
            length = count if is_counted else fitted(own, count)
        if length != now and not _is_written(now, rate, wanted[index], is_own):
            lengths[index] = length
        return None if is_own else wanted[index]

    panel_ends(unfitted(board), rate, instead)
    return lengths


def _is_written(now: Duration | None, rate: Rate, frames: int, is_own: bool) -> bool:
    """Whether a panel is fitted to these frames already, however that is written."""
    return not is_own and now is not None and now.is_fitted and now.in_frames(rate) == frames


def _why_not(
    timeline: Timeline,
    frames: int,
    allowed: Sequence[Part],
    bounds: Limits,
    freed: Limits | None,
) -> str:
    """Return what is possible instead, with the panels that hold most frames.

    `freed` are the limits with all but locked panels moving, where that was not asked for.
    """

    def words(count: int) -> str:
        return f"{counted(count, 'frame')} ({decimal(count / timeline.rate.fps, 2)} s)"

    def longest(limit: int | None) -> str:
        return "24 hours" if limit is None else words(limit)

    lines = [
        f"the film cannot have {words(frames)}",
        f"shortest: {words(bounds.shortest)}; longest: {longest(bounds.longest)}",
        "what holds it:",
    ]
    most = sorted(allowed, key=lambda part: (-part.least, part.index))
    for part in most[:_MOST_NAMED]:
        panel = timeline.panels[part.index]
        lines.append(
            f"  shot {panel.shot}, panel {panel.number}:"
            f" {counted(part.least, 'frame')} by {part.held_by}"
        )
    if rest := most[_MOST_NAMED:]:
        count = sum(part.least for part in rest)
        lines.append(f"  {len(rest)} more: {counted(count, 'frame')}")
    if freed is not None and freed != bounds:
        lines.append(
            "with --all, which also moves counts such as 60f and recorded dialogue,"
            f" shortest: {words(freed.shortest)}; longest: {longest(freed.longest)}"
        )
    return "\n".join(lines)
