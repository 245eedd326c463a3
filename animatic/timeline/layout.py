"""Laying a board on the frame grid.

Ends of panels are found from exact sums and rounded once. A panel timed in seconds ends on
the pose grid of its shot, at most half a pose from its exact end; an explicit frame count is
never altered. What a cut is off by is made good at the next one, so no error adds up.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from animatic.board import Board
from animatic.board.keys.durations import Duration
from animatic.board.keys.schema import BoxEntry, PanelEntry
from animatic.errors import BoardError
from animatic.frames import Rate, on_grid, round_half_up, samples_from_seconds
from animatic.timecode import frames_from_label
from animatic.timeline.cues import film_cues
from animatic.timeline.fits import misfits, too_long, transition_at
from animatic.timeline.level import levels
from animatic.timeline.model import (
    Box,
    Lettering,
    Line,
    Mix,
    Move,
    Panel,
    Shot,
    Timeline,
    Transition,
    overlaps,
)
from animatic.timeline.speech import dialogue_length, place_lines

__all__ = ["Slot", "lay_out", "long_transitions", "panel_ends", "read_slots"]


def lay_out(board: Board) -> Timeline:
    """Return the timeline of a board.

    BoardError where a transition, a move or a cue does not fit the lengths around it.

    >>> from pathlib import Path
    >>> from animatic.board import read_board
    >>> film = lay_out(read_board(Path("demo_board")))
    >>> film.frames, film.samples, [(shot.name, shot.start) for shot in film.shots[:3]]
    (1724, 3448000, [('10', 0), ('20', 156), ('30', 248)])
    """
    content, rate = board.content, Rate.named(board.content.rate)
    shots = _Layout(board, rate).shots()
    if problems := list(misfits(board, rate, shots)):
        raise BoardError(board.tree.with_shots(problems))
    return Timeline(
        title=board.title,
        rate=rate,
        size=content.picture.size,
        shots=shots,
        cues=tuple(film_cues(board, rate, shots)),
        start=frames_from_label(content.start, rate),
        drop=";" in content.start,
        lettering=_lettering(board),
        mix=_mix(board, rate),
        media=content.media,
    )


def long_transitions(board: Board) -> list[tuple[int, str]]:
    """Return the transitions that `lay_out` refuses as too long, by the panel and the key.

    Panels are counted from 0 over the film. Where two of a shot do not fit together, it is the
    longer one.
    """
    shots = _Layout(board, Rate.named(board.content.rate)).shots()
    return [(transition_at(shot, word), word) for shot, word in too_long(shots)]


@dataclass(frozen=True, slots=True)
class Slot:
    """A panel as written, with what it takes over from its shot."""

    index: int
    entry: PanelEntry
    is_first: bool
    """Whether a shot begins here."""
    shoot_on: int
    opens_grid: bool
    """Whether its pose grid begins here: a new shot, or another `shoot_on`."""


def read_slots(board: Board) -> Iterator[Slot]:
    """Yield the board's panels with their pose grids."""
    shot, shoot_on = None, board.content.shoot_on
    for index, entry in enumerate(board.content.panels):
        is_first = entry.shot is not None and entry.shot != shot
        before = shoot_on
        if is_first:
            shot, shoot_on = entry.shot, board.content.shoot_on
        shoot_on = entry.shoot_on or shoot_on
        yield Slot(index, entry, is_first, shoot_on, is_first or shoot_on != before)


def panel_ends(
    board: Board,
    rate: Rate,
    instead: Callable[[int, int], int | None] = lambda index, frames: None,
) -> list[int]:
    """Return the end frame of each panel: the one place where lengths become frames.

    `instead(index, frames)` is told what a panel comes to and may give it another number of
    frames, as an explicit count would; None leaves it as it is.
    """
    ends: list[int] = []
    exact, at, grid = Fraction(0), 0, 0
    for slot in read_slots(board):
        if slot.opens_grid:
            grid = at
        length = _length(board, slot.entry, rate).in_frames(rate)
        end = _end(slot, exact + length, at, grid, rate)
        count = instead(slot.index, end - at)
        exact += length if count is None else count
        at = end if count is None else at + count
        ends.append(at)
    return ends


def _end(slot: Slot, exact: Fraction, at: int, grid: int, rate: Rate) -> int:
    """Return the end of a panel that starts at frame `at` and ends at `exact` frames."""
    written = slot.entry.duration
    if written is not None and written.is_count:
        return at + round_half_up(written.in_frames(rate))
    # A panel has one pose at least, however short it is written.
    first_end = grid + ((at - grid) // slot.shoot_on + 1) * slot.shoot_on
    return max(on_grid(exact, grid, slot.shoot_on), first_end)


def _length(board: Board, entry: PanelEntry, rate: Rate) -> Duration:
    """Return a panel's length: written, or from its dialogue, or the default."""
    if entry.duration is not None:
        return entry.duration
    defaults = board.content.defaults
    if all(line.over == "next" for line in entry.dialogue):
        return defaults.duration
    shortest = (entry.shortest or defaults.shortest).in_seconds(rate)
    spoken = dialogue_length(board, entry, rate)
    return Duration("from its dialogue", seconds=max(shortest, spoken))


class _Layout:
    """One board being laid out."""

    def __init__(self, board: Board, rate: Rate) -> None:
        self.board, self.rate = board, rate
        self.slots = list(read_slots(board))
        self.ends = panel_ends(board, rate)
        self.gains = {(one.setup, one.photo): one.gains for one in levels(board)}
        self.spoken = 0
        self.heard: tuple[Line, ...] = ()
        """Lines of the panels so far that may be heard in the next."""

    def shots(self) -> tuple[Shot, ...]:
        """Return the shots with their panels, transitions and overlaps."""
        firsts = [slot.index for slot in self.slots if slot.is_first]
        groups = [self.slots[a:b] for a, b in pairwise([*firsts, len(self.slots)])]
        transitions = [self._transition(group) for group in groups]
        following = [*(transition.dissolve for transition in transitions[1:]), 0]
        return tuple(
            Shot(
                index=index,
                name=group[0].entry.shot or "",
                setup=_setup(group),
                panels=tuple(self._panels(group)),
                handles=self._frames(self.board.content.handles),
                transition=transitions[index],
                overlap_head=overlaps(transitions[index].dissolve)[1],
                overlap_tail=overlaps(following[index])[0],
            )
            for index, group in enumerate(groups)
        )

    def _panels(self, group: list[Slot]) -> Iterator[Panel]:
        shot = group[0].entry.shot or ""
        setup = _setup(group)
        size = next((slot.entry.size for slot in group if slot.entry.size), "")
        for number, slot in enumerate(group, 1):
            entry, end = slot.entry, self.ends[slot.index]
            start = self.ends[slot.index - 1] if slot.index else 0
            size = entry.size or size
            photo = self.board.path(entry.photo)
            facts = self.board.media.photos[photo]
            lines = place_lines(self.board, entry, self.rate, start, self.spoken)
            self.spoken += len(lines)
            carried = tuple(line for line in self.heard if line.end_frame > start)
            self.heard = (*carried, *lines)
            yield Panel(
                index=slot.index,
                number=number,
                shot=shot,
                start=start,
                end=end,
                shoot_on=slot.shoot_on,
                photo=photo,
                photo_size=(facts.width, facts.height),
                fit=entry.fit or self.board.content.picture.fit,
                crop=_box(entry.crop),
                move=self._move(entry, end - start),
                mirror=entry.mirror,
                looks=entry.looks or "",
                size=size,
                lines=lines,
                carried=carried,
                note=entry.note or "",
                gains=self.gains.get((setup, entry.photo), (0, 0, 0)),
            )

    def _move(self, entry: PanelEntry, frames: int) -> Move | None:
        """Return a panel's move; without a length it fills the panel to its last frame."""
        if entry.move is None:
            return None
        first = self._frames(entry.move.start)
        last = frames - 1
        if entry.move.length is not None:
            last = first + self._frames(entry.move.length)
            last = min(last, frames - 1) if last == frames else last
        return Move(_box(entry.move.to), entry.move.ease, first, last)

    def _transition(self, group: list[Slot]) -> Transition:
        first, last = group[0].entry.transition, group[-1].entry.transition
        return Transition(
            dissolve=self._frames(first.dissolve, least=1) if first else 0,
            from_black=self._frames(first.from_black, least=1) if first else 0,
            to_black=self._frames(last.to_black, least=1) if last else 0,
        )

    def _frames(self, length: Duration | None, least: int = 0) -> int:
        """Return a length in whole frames; 0 where none is written."""
        if length is None:
            return 0
        return max(least, round_half_up(length.in_frames(self.rate)))


def _setup(group: list[Slot]) -> str:
    return next((slot.entry.setup for slot in group if slot.entry.setup), "")


def _box(entry: BoxEntry | None) -> Box:
    if entry is None:
        return Box()
    if entry.tighten is not None:
        factor, x, y = entry.tighten
        part = 1 / factor
        # A place near the edge moves inwards, so that the framing stays on the photo.
        left, top = (min(max(at - part / 2, Fraction(0)), 1 - part) for at in (x, y))
        return Box(float(left), float(top), float(part), float(part))
    return Box(float(entry.left), float(entry.top), float(entry.width), float(entry.height))


def _lettering(board: Board) -> Lettering:
    written = board.content.lettering
    font = board.path(written.font) if written.font is not None else None
    is_counted = written.counter == "shot"
    guide = float(written.guide or 0)
    return Lettering(written.shot, written.size, written.dialogue, font, is_counted, guide)


def _mix(board: Board, rate: Rate) -> Mix:
    mix = board.content.mix
    return Mix(
        duck=float(mix.duck),
        duck_attack=samples_from_seconds(mix.duck_attack.in_seconds(rate)),
        duck_hold=samples_from_seconds(mix.duck_hold.in_seconds(rate)),
        duck_release=samples_from_seconds(mix.duck_release.in_seconds(rate)),
        dialogue=float(mix.dialogue),
        effects=float(mix.effects),
        music=float(mix.music),
        loudness=None if mix.loudness == "none" else float(mix.loudness),
    )
