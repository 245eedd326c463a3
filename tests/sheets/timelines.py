"""Timelines put together by hand, with no board and no layout behind them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from animatic.frames import RATES, Rate
from animatic.timeline.model import Line, Panel, Shot, Timeline, Transition

Said = tuple[str, str, int, int]
"""Who, what, and the frames [first, end) counted from the panel's start."""


@dataclass(frozen=True)
class Take:
    """A shot in the making: each panel is (frames, shoot_on) or (frames, shoot_on, lines)."""

    name: str
    panels: Sequence[Sequence[Any]]
    size: str = "WS"
    setup: str = "quay-day"
    handles: int = 8
    dissolve: int = 0


def film(*takes: Take, title: str = "Low Water", rate: str = "24", **more: Any) -> Timeline:
    """Return the timeline of the takes, one after another."""
    samples = 48_000 / Rate.named(rate).fps
    shots: list[Shot] = []
    at = index = number = 0
    for take in takes:
        panels = []
        for frames, on, *rest in take.panels:
            lines = []
            for who, words, first, end in rest[0] if rest else ():
                number += 1
                a, b = at + first, at + end
                lines.append(
                    Line(number, who, words, int(a * samples), int(b * samples), a, b, None)
                )
            panel = Panel(
                index,
                len(panels) + 1,
                take.name,
                at,
                at + frames,
                on,
                Path("a.jpg"),
                (640, 360),
                size=take.size,
                lines=tuple(lines),
            )
            panels.append(panel)
            at, index = at + frames, index + 1
        shots.append(
            Shot(
                len(shots),
                take.name,
                take.setup,
                tuple(panels),
                take.handles,
                Transition(take.dissolve),
                overlap_head=take.dissolve // 2,
            )
        )
    for before, take in enumerate(takes[1:]):
        tail = take.dissolve - take.dissolve // 2
        shots[before] = replace(shots[before], overlap_tail=tail)
    return Timeline(title, Rate.named(rate), (640, 360), tuple(shots), **more)


def low_water(rate: str = "24", **more: Any) -> Timeline:
    """Return a short film whose dialogue and names hold what formats trip over."""
    return film(
        Take("10", [(72, 2, [("Odd", "The tide is late.", 12, 50)]), (36, 2)]),
        Take(
            "20",
            [(31, 2), (25, 1, [("Pim", '[sigh] It\'s | *always* late, "Odd".', 2, 20)])],
            size="MCU",
            setup="wheelhouse-night",
            dissolve=12,
        ),
        Take(
            "30a", [(7, 3, [("", "<i>Gulls</i> & wind", 0, 0)])], size="", setup="-quay", handles=0
        ),
        Take(
            "40",
            [
                (
                    100,
                    2,
                    [("Odd", "Listen.", 4, 20), ("Pim", "Ёлки, it’s the bell — at last!", 30, 90)],
                )
            ],
            size="CU",
            dissolve=7,
        ),
        rate=rate,
        **more,
    )


words = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)
"""Any words, control characters and markup included."""


@st.composite
def films(draw: st.DrawFn, most: int = 6) -> Timeline:
    """Draw any film: rates, lengths, panels, exposures, overlaps, handles and dialogue."""
    takes = []
    for number in range(draw(st.integers(1, most))):
        panels = []
        for _ in range(draw(st.integers(1, 3))):
            frames = draw(st.integers(1, 300))
            said = st.tuples(words, words, st.integers(0, frames), st.integers(0, frames))
            lines = [(*s[:2], *sorted(s[2:])) for s in draw(st.lists(said, max_size=2))]
            panels.append((frames, draw(st.integers(1, 4)), lines))
        takes.append(
            Take(
                f"{draw(words)}{number}",
                panels,
                draw(words),
                draw(words),
                draw(st.integers(0, 12)),
                draw(st.integers(0, 24)) if number else 0,
            )
        )
    rate = draw(st.sampled_from(RATES))
    drop = Rate.named(rate).has_drop_frame and draw(st.booleans())
    start = draw(st.integers(0, 200_000))
    return film(*takes, title=draw(words), rate=rate, drop=drop, start=start)
