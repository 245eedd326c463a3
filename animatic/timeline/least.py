"""What each panel must have at least, and what holds it where it may not move.

Some needs lie on one panel: a pose, `shortest`, its own dialogue, its move. Others lie on a
run of panels to the end of a shot: a line that is heard over later panels of its shot, and the
transitions at the shot's two ends. What a run lacks is shared out among those of it that move.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from animatic.board import Board
from animatic.board.keys.schema import PanelEntry
from animatic.frames import (
    Rate,
    ceil_frames_from_seconds,
    ceil_to,
    frames_from_seconds,
    round_half_up,
    share_in_steps,
)
from animatic.timeline.fits import ends_taken
from animatic.timeline.layout import Slot, panel_ends, read_slots
from animatic.timeline.model import Panel, Shot, Timeline
from animatic.timeline.reading import reading_seconds
from animatic.timeline.speech import dialogue_length, spoken_seconds

__all__ = ["Part", "frames_for_move", "parts", "unfitted"]

_RECORDED = "recorded dialogue"


@dataclass(frozen=True, slots=True)
class Part:
    """A panel as a fit sees it: where it starts from, the least it may have, its pose step."""

    index: int
    own: int
    """The frames it starts from; where held, those it keeps."""
    least: int
    step: int
    moves: bool
    """Whether its length may change."""
    held_by: str
    """What holds it where it may not change, or what sets its least length."""
    bare: int
    """The frames that it would have if nothing had ever been fitted; where held, `own`."""

    @property
    def may_grow(self) -> bool:
        """Whether its lines can be given more: what a recording holds is only as long as that."""
        return self.moves or self.held_by == _RECORDED


def parts(
    board: Board, timeline: Timeline, everything: bool = False, *, as_now: bool = False
) -> list[Part]:
    """Return what each panel allows; `everything` frees all but the locked ones.

    They start from the lengths that they would have if nothing had ever been fitted, or
    `as_now` from those that they have.
    """
    bare_ends = [0, *panel_ends(unfitted(board), timeline.rate)]
    found = []
    for slot in read_slots(board):
        bare = bare_ends[slot.index + 1] - bare_ends[slot.index]
        panel = timeline.panels[slot.index]
        found.append(_part(board, timeline.rate, slot, panel, bare, everything, as_now))
    for shot in timeline.shots:
        first, last = shot.panels[0].index, shot.panels[-1].index
        group = found[first : last + 1]
        found[first : last + 1] = _with_runs(board, timeline, shot, group, as_now)
    return found


def unfitted(board: Board) -> Board:
    """Return the board as if no panel of it had ever been fitted."""

    def bare(entry: PanelEntry) -> PanelEntry:
        if entry.duration is None or not entry.duration.is_fitted:
            return entry
        return entry.model_copy(update={"duration": entry.duration.own})

    panels = [bare(entry) for entry in board.content.panels]
    return replace(board, content=board.content.model_copy(update={"panels": panels}))


def _part(
    board: Board, rate: Rate, slot: Slot, panel: Panel, bare: int, everything: bool, as_now: bool
) -> Part:
    """Return what a panel allows by itself."""
    start = panel.frames if as_now else bare
    move = frames_for_move(slot.entry, rate)
    if held_by := _held(slot.entry, everything):
        # A recording sets its panel's length, whatever that or the film before it was fitted to.
        returns = held_by == _RECORDED and not as_now
        own = max(bare, move) if returns else panel.frames
        return Part(slot.index, own, own, slot.shoot_on, False, held_by, own)
    least, why = _least(board, slot.entry, rate)
    if move > least:
        least, why = move, "its move"
    # What is shorter already may stay so, but goes no further; no move may lose its room.
    caps = [frames for frames in (bare, start) if frames >= move]
    least = min([max(slot.shoot_on, ceil_to(least, slot.shoot_on)), *caps])
    return Part(slot.index, start, least, slot.shoot_on, True, why, bare)


def _held(entry: PanelEntry, everything: bool) -> str:
    """Return what holds a panel's length, or an empty string."""
    if entry.lock:
        return "lock"
    if everything:
        return ""
    # A count is its author's word, also where a recording lies in the panel.
    if entry.duration is not None and entry.duration.is_own_count:
        return f"an explicit count ({entry.duration})"
    if any(line.voice is not None for line in entry.dialogue):
        return _RECORDED
    return ""


def frames_for_move(entry: PanelEntry, rate: Rate) -> int:
    """Return the least frames that a panel's move needs; 0 without one."""
    if entry.move is None:
        return 0
    start, length = (
        round_half_up(time.in_frames(rate)) if time is not None else 0
        for time in (entry.move.start, entry.move.length)
    )
    # A move that ends with its panel may reach its framing on the frame after it.
    return start + (max(2, length) if entry.move.length is not None else 2)


def _least(board: Board, entry: PanelEntry, rate: Rate) -> tuple[int, str]:
    """Return the least frames of a panel that moves nothing, and what sets them."""
    shortest = entry.shortest or board.content.defaults.shortest
    bounds = [(Fraction(0), "one pose"), (shortest.in_seconds(rate), "shortest")]
    if entry.dialogue:
        bounds.append((dialogue_length(board, entry, rate), "its dialogue"))
        if board.content.lettering.dialogue:
            words = [line.line for line in entry.dialogue]
            bounds.append((reading_seconds(words), "its reading time"))
    seconds, why = max(bounds, key=lambda bound: bound[0])
    return ceil_frames_from_seconds(seconds, rate), why


def _with_runs(
    board: Board, timeline: Timeline, shot: Shot, group: list[Part], as_now: bool
) -> list[Part]:
    """Return a shot's panels with the least lengths that its runs need, from the last one on.

    Raising a later panel serves the earlier runs too, so that no more is asked for than must be.
    """
    for at in reversed(range(len(group))):
        run = group[at:]
        entry, rate = board.content.panels[run[0].index], timeline.rate
        if not entry.dialogue:
            continue
        # What lacks only the pause behind a line may stay so, but goes no further down.
        need = min(
            ceil_frames_from_seconds(dialogue_length(board, entry, rate), rate),
            sum(part.bare for part in run),
            sum(part.own for part in run),
        )
        if not as_now:
            need = max(need, _spoken(board, entry, rate, run))
        why = f"a line of panel {at + 1}" if len(group) > 1 else "its dialogue"
        group[at:] = _raised(run, need, why)
    taken = sum(ends_taken(shot, timeline.shots))
    return _raised(group, taken, "its transitions" if len(group) == 1 else "its shot's transitions")


def _spoken(board: Board, entry: PanelEntry, rate: Rate, run: Sequence[Part]) -> int:
    """Return the frames that a run needs so that no line of its first panel runs over its end.

    0 where none does. A panel that its lines time may be rounded to the pose before their end.
    """
    written = entry.duration.own if entry.duration and entry.duration.is_fitted else entry.duration
    end = spoken_seconds(board, entry, rate)
    over = end * rate.fps - sum(part.own for part in run)
    is_rounded = written is None and over < run[-1].step
    return 0 if is_rounded or over <= 0 else frames_from_seconds(end, rate)


def _raised(run: Sequence[Part], need: int, why: str) -> list[Part]:
    """Return a run of panels whose least lengths come to `need` frames, in whole poses.

    As long as that will do, no panel is raised above where it starts from.
    """
    lacking = need - sum(part.least for part in run)
    if lacking <= 0:
        return list(run)
    # Where none moves, recordings that go back to their own length have left too little room.
    rising = [part for part in run if part.moves] or [part for part in run if part.may_grow][-1:]
    if not rising:
        return list(run)
    starts, lows = [part.own for part in rising], [part.least for part in rising]
    steps, most = [part.step for part in rising], list(map(max, starts, lows))
    room, whole = sum(most) - sum(lows), ceil_to(lacking, steps[-1])
    if lacking > room:
        shares = share_in_steps(starts, lows, steps, sum(lows) + whole)
    else:
        shares = share_in_steps(starts, lows, steps, sum(lows) + min(whole, room))
        shares = _under(most, shares)
    new = {
        part.index: replace(
            part,
            own=part.own if part.moves else share,
            bare=part.bare if part.moves else share,
            least=share,
            held_by=why if share > part.least and part.moves else part.held_by,
        )
        for part, share in zip(rising, shares, strict=True)
    }
    return [new.get(part.index, part) for part in run]


def _under(most: Sequence[int], shares: Sequence[int]) -> list[int]:
    """Return shares of the same sum of which none is above its most, which have room for all."""
    over = sum(max(0, share - top) for share, top in zip(shares, most, strict=True))
    found = [min(share, top) for share, top in zip(shares, most, strict=True)]
    for at in reversed(range(len(found))):
        more = min(over, most[at] - found[at])
        found[at] += more
        over -= more
    return found
