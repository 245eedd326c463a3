"""The film with what was shot in the place of photos."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from animatic.timeline.model import Shot, Timeline
from animatic.timeline.take import Take

__all__ = ["with_takes"]


def with_takes(timeline: Timeline, takes: Mapping[str, Take]) -> Timeline:
    """Return the film that shows takes, by the names of their shots; lengths stay.

    A take's frames count from its shot's start. Where it has none, the photo is shown.
    """
    shots = (
        _taken(shot, takes[shot.name]) if shot.name in takes else shot for shot in timeline.shots
    )
    return replace(timeline, shots=tuple(shots))


def _taken(shot: Shot, take: Take) -> Shot:
    panels = (
        replace(panel, take=replace(take, first=take.first - (panel.start - shot.start)))
        for panel in shot.panels
    )
    return replace(shot, panels=tuple(panels))
