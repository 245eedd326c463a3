"""Hypothesis strategies that several tests share: rates, labels, orders and whole random films.

The films are built straight from the timeline's model, not by the layout, so that they do not
depend on what they are used to check. What a layout has to see to holds in all of them: the
panels are contiguous, no dissolve or fade overlaps another, moves lie inside their panels,
lines and cues inside the film.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import accumulate, pairwise
from pathlib import Path

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

from animatic.frames import RATES, Rate, frames_from_samples, samples_from_frames
from animatic.timeline.model import (
    Box,
    Cue,
    Lettering,
    Line,
    Mix,
    Move,
    Panel,
    Shot,
    Timeline,
    Transition,
)

untimed = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
"""For every property: how long a check takes is no concern of the tests."""

FOLDER = Path("/board")
"""Where the files of random films would lie; nothing is ever read from there."""

SIZES = ((640, 360), (998, 666), (1080, 1920), (1920, 1080))
SHOT_SIZES = ("", "EWS", "WS", "LS", "MLS", "MS", "MCU", "CU", "ECU", "INSERT", "OTS", "POV", "2S")
WHO = ("Odd", "Brae", "Žofie", "Μάρα")
WORDS = (
    "The tide is late.",
    "[sigh] Again?",
    "Salt & rope < tar > oil",
    "Où est la clé — là-bas?",
    "Ποῦ εἶναι;",
    "Где вода?",
    "It said “no”, then {nothing}, then \\N.",
)


def rates() -> st.SearchStrategy[Rate]:
    """Every rate that a board may name."""
    return st.sampled_from(RATES).map(Rate.named)


def counts() -> st.SearchStrategy[tuple[Rate, bool]]:
    """A rate, and whether labels are drop-frame: only where there is such a count."""
    every = [(rate, drop) for rate in map(Rate.named, RATES) for drop in (False, True)]
    return st.sampled_from(
        [(rate, drop) for rate, drop in every if rate.has_drop_frame or not drop]
    )


def seconds(most: int = 600) -> st.SearchStrategy[Fraction]:
    """Lengths and positions as people write them (decimals), and exact ones (thirds)."""
    decimals = st.integers(0, most * 1000).map(lambda ms: Fraction(ms, 1000))
    return decimals | st.fractions(0, most, max_denominator=1001)


Order = tuple[int, ...]
"""A new order of panels by their old indices; those that are left out are parked."""


def orders(count: int) -> st.SearchStrategy[Order]:
    """Every order of some of `count` panels."""
    whole = st.permutations(range(count))
    return st.tuples(whole, st.integers(1, count)).map(lambda pair: tuple(pair[0][: pair[1]]))


def cards_of(order: Order) -> list[tuple[str, int]]:
    """Return the cards that an order names, for a board without parked panels."""
    return [("panels", index) for index in order]


def way_back(order: Order, count: int) -> list[tuple[str, int]]:
    """Return the order that undoes one: panels left out are parked in their old order."""
    parked = [index for index in range(count) if index not in order]
    where = {index: ("panels", n) for n, index in enumerate(order)}
    where |= {index: ("parked", n) for n, index in enumerate(parked)}
    return [where[index] for index in range(count)]


def boxes() -> st.SearchStrategy[Box]:
    """A rectangle on a photo, in sixty-fourths, so that its floats are exact."""

    def box(left: int, top: int, right: int, bottom: int) -> Box:
        width, height = (64 - left) * right // 64, (64 - top) * bottom // 64
        return Box(left / 64, top / 64, max(1, width) / 64, max(1, height) / 64)

    return st.builds(
        box, st.integers(0, 48), st.integers(0, 48), st.integers(16, 64), st.integers(16, 64)
    )


@st.composite
def moves(draw: st.DrawFn, frames: int) -> Move | None:
    """A move inside a panel of `frames` frames; none in a panel of one frame."""
    if frames < 2 or not draw(st.booleans()):
        return None
    first = draw(st.integers(0, frames - 2))
    last = draw(st.integers(first + 1, frames - 1))
    return Move(draw(boxes()), draw(st.sampled_from(["none", "in", "out", "both"])), first, last)


@st.composite
def transitions(draw: st.DrawFn, lengths: list[int]) -> list[Transition]:
    """The transitions of shots of these lengths, none of which overlap.

    Each shot is parted in two: its head belongs to what happens at its start, its tail to
    what happens at its end.
    """
    heads = [draw(st.integers(0, length)) for length in lengths]
    tails = [length - head for length, head in zip(lengths, heads, strict=True)]
    dissolve, from_black, to_black = ([0] * len(lengths) for _ in range(3))
    for cut in range(1, len(lengths)):
        # Of n frames, n // 2 lie before the cut and the rest after it.
        most = min(2 * tails[cut - 1] + 1, 2 * heads[cut])
        how = draw(st.sampled_from(["cut", "dissolve", "dissolve", "black"]))
        if how == "dissolve":
            dissolve[cut] = draw(st.integers(0, min(most, 48)))
        elif how == "black":
            to_black[cut - 1] = draw(st.integers(0, tails[cut - 1]))
            from_black[cut] = draw(st.integers(0, heads[cut]))
    if draw(st.booleans()):
        from_black[0] = draw(st.integers(0, heads[0]))
    if draw(st.booleans()):
        to_black[-1] = draw(st.integers(0, tails[-1]))
    return [Transition(*each) for each in zip(dissolve, from_black, to_black, strict=True)]


@st.composite
def lines(draw: st.DrawFn, rate: Rate, start: int, end: int, number: int) -> tuple[Line, ...]:
    """Up to two lines, one after the other, within the film frames [start, end)."""
    count = draw(st.sampled_from([0, 0, 1, 2]))
    first, after = samples_from_frames(start, rate), samples_from_frames(end, rate)
    span = st.integers(first, after)
    ends = sorted(draw(st.lists(span, min_size=2 * count, max_size=2 * count, unique=True)))
    found = []
    for begin, stop in zip(ends[::2], ends[1::2], strict=True):
        voice = FOLDER / "sound" / f"line_{number:02}.wav" if draw(st.booleans()) else None
        frames = (frames_from_samples(begin, rate), frames_from_samples(stop, rate))
        who, text = draw(st.sampled_from(WHO)), draw(st.sampled_from(WORDS))
        found.append(Line(number, who, text, begin, stop, *frames, voice))
        number += 1
    return tuple(found)


@st.composite
def cues(draw: st.DrawFn, shots: list[Shot], rate: Rate) -> tuple[Cue, ...]:
    """A cue for every recorded line, some effects in their panels, music over whole shots."""
    found = []
    for shot in shots:
        for line in shot.lines:
            if line.voice is not None:
                found.append(Cue("dialogue", line.voice, line.start, line.end, shot.name))
        for panel in shot.panels:
            if draw(st.sampled_from([False, False, True])):
                at = samples_from_frames(draw(st.integers(panel.start, panel.end - 1)), rate)
                end = draw(st.integers(at + 1, samples_from_frames(shots[-1].end, rate)))
                file = FOLDER / "sound" / f"effect_{panel.index:02}.wav"
                level = float(draw(st.integers(-30, 0)))
                found.append(Cue("effects", file, at, end, shot.name, level=level))
    if draw(st.booleans()):
        first = draw(st.integers(0, len(shots) - 1))
        last = draw(st.integers(first, len(shots) - 1))
        start, end = (samples_from_frames(n, rate) for n in (shots[first].start, shots[last].end))
        fade_in = draw(st.integers(0, end - start))
        fade_out = draw(st.integers(0, end - start - fade_in))
        skip, level = draw(st.integers(0, 480_000)), float(draw(st.integers(-30, 0)))
        file = FOLDER / "sound" / "music.wav"
        found.append(
            Cue("music", file, start, end, shots[first].name, skip, level, fade_in, fade_out)
        )
    return tuple(found)


@st.composite
def timelines(
    draw: st.DrawFn, max_shots: int = 5, max_frames: int = 40, sound: bool = True
) -> Timeline:
    """A whole film of 1 to `max_shots` shots, with panels of 1 to `max_frames` frames.

    Without `sound` it has no lines and no cues, and is drawn faster.
    """
    rate, drop = draw(counts())
    lengths = st.lists(st.integers(1, max_frames), min_size=1, max_size=4)
    plan = draw(st.lists(lengths, min_size=1, max_size=max_shots))
    how = draw(transitions([sum(shot) for shot in plan]))
    ends = [0, *accumulate(length for shot in plan for length in shot)]
    bounds = iter(pairwise(ends))
    shots: list[Shot] = []
    index, line_number = 0, 1
    for at, shot in enumerate(plan):
        name, panels = f"{at + 1}0", []
        for number in range(1, len(shot) + 1):
            start, end = next(bounds)
            spoken = draw(lines(rate, start, end, line_number)) if sound else ()
            line_number += len(spoken)
            panels.append(
                Panel(
                    index=index,
                    number=number,
                    shot=name,
                    start=start,
                    end=end,
                    shoot_on=draw(st.integers(1, 3)),
                    photo=FOLDER / "photos" / f"{name}_{number}.jpg",
                    photo_size=draw(st.sampled_from([(4000, 3000), (3000, 4000), (1920, 1080)])),
                    fit=draw(st.sampled_from(["cover", "contain"])),
                    crop=draw(st.just(Box()) | boxes()),
                    move=draw(moves(end - start)),
                    size=draw(st.sampled_from(SHOT_SIZES)),
                    lines=spoken,
                )
            )
            index += 1
        after = how[at + 1].dissolve if at + 1 < len(plan) else 0
        shots.append(
            Shot(
                index=at,
                name=name,
                setup=draw(st.sampled_from(["quay-day", "quay-night", "cabin"])),
                panels=tuple(panels),
                handles=draw(st.integers(0, 12)),
                transition=how[at],
                overlap_head=how[at].dissolve // 2,
                overlap_tail=after - after // 2,
            )
        )
    return Timeline(
        title=draw(st.sampled_from(["Low Water", "Nø & <Ebb>", "Ἅλς"])),
        rate=rate,
        size=draw(st.sampled_from(SIZES)),
        shots=tuple(shots),
        cues=draw(cues(shots, rate)) if sound else (),
        start=draw(st.sampled_from([0, 3600 * rate.nominal, 86_000])),
        drop=drop,
        lettering=draw(st.builds(Lettering, st.booleans(), st.booleans(), st.booleans())),
        mix=Mix(),
    )
