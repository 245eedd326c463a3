"""What a film carries beside picture and sound: title, timecode, chapters and captions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from animatic.timeline.model import Line, Shot, Timeline

__all__ = ["Caption", "Chapter", "Labels", "labels_of"]


@dataclass(frozen=True, slots=True)
class Chapter:
    """A named stretch of the film, frames [start, end)."""

    name: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Caption:
    """A text shown over frames [start, end)."""

    text: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Labels:
    """A film's title, the timecode label of its first frame, its chapters and its captions."""

    title: str
    timecode: str
    chapters: tuple[Chapter, ...]
    captions: tuple[Caption, ...]


def labels_of(timeline: Timeline) -> Labels:
    """Return the labels of a film: a chapter for every shot, a caption for every line.

    A part of a film may begin while a line is spoken: that has its caption, too.
    """
    lines = (*timeline.panels[0].carried, *timeline.lines)
    return Labels(
        title=timeline.title,
        timecode=timeline.label(0),
        chapters=tuple(
            Chapter(_chapter_name(shot), shot.start, shot.end) for shot in timeline.shots
        ),
        captions=captions_of(lines, timeline.frames),
    )


def _chapter_name(shot: Shot) -> str:
    """Return the shot's name with its size and setup, where they are known."""
    return ", ".join(part for part in (shot.name, shot.size, shot.setup) if part)


def captions_of(lines: Sequence[Line], frames: int) -> tuple[Caption, ...]:
    """Return the lines as captions that never lie over one another.

    Where lines overlap, one caption shows them all, one below the other. A line is shown
    for at least one frame, and not outside the film's `frames`.
    """
    shown = [(line, line.first_frame, max(line.end_frame, line.first_frame + 1)) for line in lines]
    edges = sorted({max(0, min(edge, frames)) for _, start, end in shown for edge in (start, end)})
    captions: list[Caption] = []
    for start, end in pairwise(edges):
        texts = [_text(line) for line, first, last in shown if first <= start < last]
        if texts:
            captions.append(Caption("\n".join(texts), start, end))
    return tuple(captions)


def _text(line: Line) -> str:
    return f"{line.who}: {line.text}" if line.who else line.text
