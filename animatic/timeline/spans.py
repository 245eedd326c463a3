"""The film's frames as spans: stretches that are made in one way.

Every frame of the film lies in exactly one span: it holds one panel without change, or moves the
framing over one panel, or mixes two panels (a dissolve), or mixes a panel with black (a fade).
The same words stand over all of it: where those of a line end that was carried over the cut, a
span ends.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from animatic.timeline.model import Panel, Timeline

__all__ = ["Layer", "Span", "layers_at", "spans"]


@dataclass(frozen=True, slots=True)
class Layer:
    """A panel as seen in one film frame, and how much of the light is its own (0 to 1).

    `frame` is counted from the panel's start; outside the panel (in the overlap of a
    dissolve) it is below 0 or beyond its length, and the framing rests there.
    """

    panel: Panel
    frame: int
    weight: Fraction


@dataclass(frozen=True, slots=True)
class Span:
    """Film frames [start, end) that show the same panels in the same way.

    `ramp` is None where nothing is mixed; else (first, frames): the frame i of the film has
    the mix weight (2 * (i - first) + 1) / (2 * frames) for the incoming picture, so that a
    dissolve is symmetric about its middle. `outgoing` or `incoming` is None for black.
    """

    start: int
    end: int
    outgoing: Panel | None
    incoming: Panel | None
    ramp: tuple[int, int] | None = None

    @property
    def frames(self) -> int:
        """The span's length."""
        return self.end - self.start

    @property
    def panel(self) -> Panel:
        """The panel, where the span shows just one."""
        panel = self.incoming or self.outgoing
        assert panel is not None
        return panel

    @property
    def is_still(self) -> bool:
        """Whether all its frames are the same picture."""
        if self.ramp is not None:
            return False
        move, first = self.panel.move, self.start - self.panel.start
        if self.panel.take is not None and self.panel.take.at(first) is not None:
            # Every frame was shot by itself; edges of spans part it from photos.
            return False
        if move is None:
            return True
        return first + self.frames - 1 <= move.first or first >= move.last

    def layers(self, frame: int) -> tuple[Layer, ...]:
        """Return the panels that make a film frame; what is missing to 1 is black."""
        if self.ramp is None:
            return (Layer(self.panel, frame - self.panel.start, Fraction(1)),)
        first, length = self.ramp
        weight = Fraction(2 * (frame - first) + 1, 2 * length)
        pairs = ((self.outgoing, 1 - weight), (self.incoming, weight))
        return tuple(
            Layer(panel, frame - panel.start, part) for panel, part in pairs if panel is not None
        )


@dataclass(frozen=True, slots=True)
class _Ramp:
    """A mix over [start, start + frames): at a cut (dissolve) or at one side of it (fade)."""

    start: int
    frames: int
    outgoing_is_black: bool
    incoming_is_black: bool
    cut: int


def spans(timeline: Timeline) -> tuple[Span, ...]:
    """Return the film's spans in order; together they are its frames, without gap.

    >>> from pathlib import Path
    >>> from animatic.board import read_board
    >>> from animatic.timeline import lay_out
    >>> film = lay_out(read_board(Path("demo_board")))
    >>> [(span.start, span.end, span.ramp, span.is_still) for span in spans(film)[:3]]
    [(0, 24, (0, 24), False), (24, 96, None, True), (96, 156, None, True)]
    """
    panels = timeline.panels
    ramps = list(_ramps(timeline))
    edges = {panel.start for panel in panels} | {timeline.frames}
    for ramp in ramps:
        edges |= {ramp.start, ramp.start + ramp.frames}
    for panel in panels:
        if panel.move is not None:
            inside = (panel.start + panel.move.first + 1, panel.start + panel.move.last)
            edges |= {edge for edge in inside if panel.start < edge < panel.end}
        if panel.take is not None:
            ends = (panel.start + panel.take.first, panel.start + panel.take.end)
            edges |= {edge for edge in ends if panel.start < edge < panel.end}
        if timeline.lettering.dialogue:
            ends_of_words = {line.end_frame for line in panel.carried}
            edges |= {edge for edge in ends_of_words if edge < panel.end}
    found, at, ramp_at = [], 0, 0
    for start, end in pairwise(sorted(edges)):
        while panels[at].end <= start:
            at += 1
        while ramp_at < len(ramps) and ramps[ramp_at].start + ramps[ramp_at].frames <= start:
            ramp_at += 1
        if ramp_at < len(ramps) and ramps[ramp_at].start <= start:
            found.append(_mixed(panels, at, ramps[ramp_at], start, end))
        else:
            found.append(Span(start, end, None, panels[at]))
    return tuple(found)


def _mixed(panels: tuple[Panel, ...], at: int, ramp: _Ramp, start: int, end: int) -> Span:
    """Return the span [start, end), with panel `at` showing there, within a ramp."""
    if ramp.outgoing_is_black:
        before, after = None, panels[at]
    elif ramp.incoming_is_black:
        before, after = panels[at], None
    else:
        # Beyond the cut a shot goes on with its outermost panel.
        before = panels[at] if start < ramp.cut else _last_before(panels, at, ramp.cut)
        after = panels[at] if start >= ramp.cut else _first_from(panels, at, ramp.cut)
    return Span(start, end, before, after, (ramp.start, ramp.frames))


def _last_before(panels: tuple[Panel, ...], at: int, cut: int) -> Panel:
    while panels[at].end > cut:
        at -= 1
    return panels[at]


def _first_from(panels: tuple[Panel, ...], at: int, cut: int) -> Panel:
    while panels[at].start < cut:
        at += 1
    return panels[at]


def _ramps(timeline: Timeline) -> Iterator[_Ramp]:
    """Yield dissolves and fades in order; the layout has seen to it that none overlap."""
    for shot in timeline.shots:
        how = shot.transition
        if how.dissolve:
            start = shot.start - how.dissolve // 2
            yield _Ramp(start, how.dissolve, False, False, shot.start)
        if how.from_black:
            yield _Ramp(shot.start, how.from_black, True, False, shot.start)
        if how.to_black:
            yield _Ramp(shot.end - how.to_black, how.to_black, False, True, shot.end)


def layers_at(timeline: Timeline, frame: int) -> tuple[Layer, ...]:
    """Return the panels that make one film frame; IndexError outside the film.

    >>> from pathlib import Path
    >>> from animatic.board import read_board
    >>> from animatic.timeline import lay_out
    >>> film = lay_out(read_board(Path("demo_board")))
    >>> [(layer.panel.shot, str(layer.weight)) for layer in layers_at(film, 653)]
    [('70', '17/24'), ('80', '7/24')]
    """
    if not 0 <= frame < timeline.frames:
        raise IndexError(f"frame {frame}; the film has frames 0 to {timeline.frames - 1}")
    return next(span for span in spans(timeline) if span.start <= frame < span.end).layers(frame)
