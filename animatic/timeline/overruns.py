"""Lines that run over the cut behind their shot, and what keeps a fit from giving them room."""

from __future__ import annotations

from collections.abc import Iterator

from animatic.board import Board
from animatic.timeline.finding import Checked, panel_key
from animatic.timeline.heardfindings import overrunning_dialogue
from animatic.timeline.least import Part, parts
from animatic.timeline.model import Panel, Shot, Timeline

__all__ = ["cut_off", "held_lines"]


def cut_off(board: Board, shot: Shot) -> Iterator[tuple[Panel, int]]:
    """Yield the lines that run over a shot's end and may not: the panel, and the line's index."""
    for panel in shot.panels:
        written = board.content.panels[panel.index].dialogue
        for index, line in enumerate(panel.lines):
            if line.end_frame > shot.end and written[index].over == "no":
                yield panel, index


def held_lines(board: Board, timeline: Timeline, everything: bool = False) -> list[str]:
    """Return, for each line that runs over the cut behind its shot, that it does, and what to do.

    `timeline` may be that of the board after a fit.
    """
    allowed = parts(board, timeline, everything)
    ways = {
        board.place(panel_key(panel, "dialogue", index)): _way(
            [allowed[later.index] for later in shot.panels[panel.number - 1 :]]
        )
        for shot in timeline.shots
        for panel, index in cut_off(board, shot)
    }
    return [
        f"shot {one.shot}: {one.words}; {one.hint}: {ways[one.place]}"
        for one in overrunning_dialogue(Checked(board, timeline))
        if one.place in ways
    ]


def _way(run: list[Part]) -> str:
    """Return what would give the panels from a line's own to its shot's last more frames."""
    if any(part.may_grow for part in run):
        return "a fit to a length gives it that"
    if counts := [part.held_by for part in run if part.held_by != "lock"]:
        return f"{counts[0]} holds it; --all moves it, or write a longer one"
    return "lock holds it; take out lock: true"
