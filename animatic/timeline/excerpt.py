"""A part of a film, from one shot to another, and the film in another picture size."""

from __future__ import annotations

from dataclasses import replace

from animatic.errors import UsageError, listed, nearest
from animatic.frames import samples_from_frames
from animatic.timeline.model import Cue, Line, Panel, Shot, Timeline

__all__ = ["excerpt", "half_size", "resized", "shot_named"]


def excerpt(timeline: Timeline, first: str | None, last: str | None) -> Timeline:
    """Return the film from the start of shot `first` to the end of shot `last`.

    None stands for the film's own first or last shot. Frames count from 0 again; labels stay
    those of the whole film. Cues keep their place against the picture, so they may begin
    before sample 0; all lines stay, since music goes down around them. The part knows the
    film that it is from, since it sounds as loud as it does there. The outermost cuts lose
    their dissolves, since a half of each is gone.
    UsageError where there is no such shot, or they are in the wrong order.

    >>> from pathlib import Path
    >>> from animatic.board import read_board
    >>> from animatic.timeline import lay_out
    >>> part = excerpt(lay_out(read_board(Path("demo_board"))), "20", "40")
    >>> [shot.name for shot in part.shots], part.frames
    (['20', '30', '40'], 196)
    """
    if first is None and last is None:
        return timeline
    begin = shot_named(timeline, first) if first is not None else timeline.shots[0]
    end = shot_named(timeline, last) if last is not None else timeline.shots[-1]
    if end.index < begin.index:
        raise UsageError(f"shot {end.name} comes before shot {begin.name}; swap the two")
    if begin.index == 0 and end.index == len(timeline.shots) - 1:
        return timeline
    frames, samples = begin.start, samples_from_frames(begin.start, timeline.rate)
    shots = [
        _moved(shot, frames, samples, begin.index, begin.panels[0].index)
        for shot in timeline.shots[begin.index : end.index + 1]
    ]
    shots[0] = replace(shots[0], transition=replace(shots[0].transition, dissolve=0))
    length = samples_from_frames(end.end - begin.start, timeline.rate)
    moved = (
        replace(cue, start=cue.start - samples, end=cue.end - samples) for cue in timeline.cues
    )
    return replace(
        timeline,
        shots=tuple(shots),
        cues=tuple(cue for cue in moved if _is_kept(cue, length)),
        start=timeline.start + frames,
        whole=timeline.whole or timeline,
        begins=timeline.begins + samples,
    )


def _is_kept(cue: Cue, length: int) -> bool:
    """Whether a cue is heard in samples [0, length), or is a line that music goes down for."""
    return cue.bus == "dialogue" or (cue.end > 0 and cue.start < length)


def shot_named(timeline: Timeline, name: str) -> Shot:
    """Return the shot of that name; UsageError lists those there are.

    >>> from pathlib import Path
    >>> from animatic.board import read_board
    >>> from animatic.timeline import lay_out
    >>> shot_named(lay_out(read_board(Path("demo_board"))), "70").frames
    46
    """
    try:
        return timeline.shot(name)
    except KeyError:
        names = [shot.name for shot in timeline.shots]
        close = nearest(name, names)
        hint = f"; did you mean {close}?" if close else ""
        known = f"the shots are {listed(names)}"
        raise UsageError(f"there is no shot {name}; {known}{hint}") from None


def _moved(shot: Shot, frames: int, samples: int, shots: int, panels: int) -> Shot:
    """Return a shot that lies `frames` frames earlier and counts from fewer before it."""

    def line(old: Line) -> Line:
        return replace(
            old,
            start=old.start - samples,
            end=old.end - samples,
            first_frame=old.first_frame - frames,
            end_frame=old.end_frame - frames,
        )

    def panel(old: Panel) -> Panel:
        return replace(
            old,
            index=old.index - panels,
            start=old.start - frames,
            end=old.end - frames,
            lines=tuple(line(each) for each in old.lines),
            carried=tuple(line(each) for each in old.carried),
        )

    return replace(
        shot, index=shot.index - shots, panels=tuple(panel(each) for each in shot.panels)
    )


def resized(timeline: Timeline, size: tuple[int, int]) -> Timeline:
    """Return the same film with another picture size (width, height in pixels, even).

    >>> from pathlib import Path
    >>> from animatic.board import read_board
    >>> from animatic.timeline import lay_out
    >>> resized(lay_out(read_board(Path("demo_board"))), (640, 360)).size
    (640, 360)
    """
    return replace(timeline, size=size)


def half_size(size: tuple[int, int]) -> tuple[int, int]:
    """Return half a picture size, even and not below what is encoded.

    >>> half_size((1920, 1080)), half_size((998, 666))
    ((960, 540), (498, 332))
    """
    width, height = (max(least, side // 4 * 2) for side, least in zip(size, (128, 72), strict=True))
    return width, height
