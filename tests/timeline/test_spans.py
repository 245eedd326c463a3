"""Spans: every frame of the film in one span, and what it is mixed from.

The random films are checked against a second way of saying which panels show in a frame:
each shot is a layer with an opacity over continuous time, looked at in the frame's middle.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import accumulate, pairwise

import pytest
from hypothesis import given

from animatic.frames import Rate
from animatic.timeline.model import Box, Move, Panel, Shot, Timeline, Transition, overlaps
from animatic.timeline.spans import Layer, Span, layers_at, spans
from tests.strategies import FOLDER, timelines, untimed

ZERO, ONE = Fraction(0), Fraction(1)


def film(
    *plan: list[int], how: dict[int, Transition] | None = None, moves: dict[int, Move] | None = None
) -> Timeline:
    """A film from the lengths of the panels of each shot, transitions by shot, moves by panel."""
    how, moves = how or {}, moves or {}
    ends = [0, *accumulate(length for shot in plan for length in shot)]
    panels = [
        Panel(n, 1, "", start, end, 2, FOLDER / f"{n}.jpg", (4, 3), move=moves.get(n))
        for n, (start, end) in enumerate(pairwise(ends))
    ]
    shots, rest = [], iter(panels)
    for n, shot in enumerate(plan):
        own = tuple(next(rest) for _ in shot)
        shots.append(Shot(n, f"{n + 1}0", "quay", own, 0, how.get(n, Transition())))
    return Timeline("Low Water", Rate.named("24"), (640, 360), tuple(shots))


def told(timeline: Timeline) -> list[tuple[int, int, int | None, int | None, object]]:
    """The spans in short: start, end, outgoing and incoming panel, ramp."""

    def number(panel: Panel | None) -> int | None:
        return None if panel is None else panel.index

    return [
        (span.start, span.end, number(span.outgoing), number(span.incoming), span.ramp)
        for span in spans(timeline)
    ]


# --- films small enough to be worked out by hand -------------------------------------------


def test_plain_cuts() -> None:
    assert told(film([5, 3], [4])) == [
        (0, 5, None, 0, None),
        (5, 8, None, 1, None),
        (8, 12, None, 2, None),
    ]


def test_a_dissolve_lies_centred_on_its_cut() -> None:
    """Four frames on the cut at 10: 8 and 9 before it, 10 and 11 after."""
    timeline = film([10], [10], how={1: Transition(dissolve=4)})
    assert told(timeline) == [
        (0, 8, None, 0, None),
        (8, 10, 0, 1, (8, 4)),
        (10, 12, 0, 1, (8, 4)),
        (12, 20, None, 1, None),
    ]
    incoming = [layers_at(timeline, frame)[-1].weight for frame in range(8, 12)]
    assert incoming == [Fraction(1, 8), Fraction(3, 8), Fraction(5, 8), Fraction(7, 8)]


def test_the_odd_frame_of_a_dissolve_lies_after_the_cut() -> None:
    """Five frames on the cut at 10: two before it, three after, the middle one half and half."""
    timeline = film([10], [10], how={1: Transition(dissolve=5)})
    assert [span.ramp for span in spans(timeline)] == [None, (8, 5), (8, 5), None]
    assert [(span.start, span.end) for span in spans(timeline)][1:3] == [(8, 10), (10, 13)]
    one, two = timeline.panels
    half = Fraction(1, 2)
    assert layers_at(timeline, 10) == (Layer(one, 10, half), Layer(two, 0, half))
    assert layers_at(timeline, 8) == (
        Layer(one, 8, Fraction(9, 10)),
        Layer(two, -2, Fraction(1, 10)),
    )


def test_a_dissolve_of_one_frame_lies_after_the_cut() -> None:
    timeline = film([10], [10], how={1: Transition(dissolve=1)})
    assert told(timeline) == [
        (0, 10, None, 0, None),
        (10, 11, 0, 1, (10, 1)),
        (11, 20, None, 1, None),
    ]
    assert [layer.weight for layer in layers_at(timeline, 10)] == [Fraction(1, 2)] * 2


def test_beyond_the_cut_a_shot_goes_on_with_its_outermost_panel() -> None:
    """A dissolve over twelve frames reaches over panels of two and three frames."""
    timeline = film([6, 2, 2], [3, 2, 9], how={1: Transition(dissolve=12)})
    ramp = (4, 12)
    assert told(timeline) == [
        (0, 4, None, 0, None),
        (4, 6, 0, 3, ramp),
        (6, 8, 1, 3, ramp),
        (8, 10, 2, 3, ramp),
        (10, 13, 2, 3, ramp),
        (13, 15, 2, 4, ramp),
        (15, 16, 2, 5, ramp),
        (16, 24, None, 5, None),
    ]


def test_fades() -> None:
    """From black over 2 frames, to black over 4; black itself is no layer."""
    timeline = film([10], how={0: Transition(from_black=2, to_black=4)})
    (panel,) = timeline.panels
    assert told(timeline) == [
        (0, 2, None, 0, (0, 2)),
        (2, 6, None, 0, None),
        (6, 10, 0, None, (6, 4)),
    ]
    assert [layers_at(timeline, frame) for frame in (0, 1, 5, 6, 9)] == [
        (Layer(panel, 0, Fraction(1, 4)),),
        (Layer(panel, 1, Fraction(3, 4)),),
        (Layer(panel, 5, ONE),),
        (Layer(panel, 6, Fraction(7, 8)),),
        (Layer(panel, 9, Fraction(1, 8)),),
    ]


def test_a_dip_through_black_between_two_shots() -> None:
    how = {0: Transition(to_black=3), 1: Transition(from_black=2)}
    assert told(film([5], [5], how=how)) == [
        (0, 2, None, 0, None),
        (2, 5, 0, None, (2, 3)),
        (5, 7, None, 1, (5, 2)),
        (7, 10, None, 1, None),
    ]


def test_transitions_that_touch() -> None:
    """The middle shot is nothing but the ends of two dissolves, and neither is lost."""
    how = {1: Transition(dissolve=4), 2: Transition(dissolve=4)}
    assert told(film([6], [4], [6], how=how)) == [
        (0, 4, None, 0, None),
        (4, 6, 0, 1, (4, 4)),
        (6, 8, 0, 1, (4, 4)),
        (8, 10, 1, 2, (8, 4)),
        (10, 12, 1, 2, (8, 4)),
        (12, 16, None, 2, None),
    ]


def test_a_move_parts_its_panel_in_rest_motion_and_rest() -> None:
    """The framing rests up to the frame `first`, and from the frame `last` on."""
    timeline = film([3], [10], moves={1: Move(Box(0.0, 0.0, 0.5, 0.5), "both", 2, 6)})
    assert [(span.start, span.end, span.is_still) for span in spans(timeline)] == [
        (0, 3, True),
        (3, 6, True),
        (6, 9, False),
        (9, 13, True),
    ]


def test_a_move_over_the_whole_panel() -> None:
    timeline = film([10], moves={0: Move(Box(0.0, 0.0, 0.5, 0.5), "none", 0, 9)})
    assert [(span.start, span.end, span.is_still) for span in spans(timeline)] == [
        (0, 1, True),
        (1, 9, False),
        (9, 10, True),
    ]


def test_a_move_of_one_step_has_no_frame_in_between() -> None:
    timeline = film([10], moves={0: Move(Box(0.0, 0.0, 0.5, 0.5), "none", 4, 5)})
    assert [(span.start, span.end, span.is_still) for span in spans(timeline)] == [
        (0, 5, True),
        (5, 10, True),
    ]


@pytest.mark.parametrize("frame", [-1, 12, 1000])
def test_no_layers_outside_the_film(frame: int) -> None:
    with pytest.raises(IndexError) as caught:
        layers_at(film([5, 3], [4]), frame)
    assert str(caught.value) == f"frame {frame}; the film has frames 0 to 11"


# --- random films -----------------------------------------------------------------------------


def clip(value: Fraction) -> Fraction:
    return min(ONE, max(ZERO, value))


def opacities(timeline: Timeline, frame: int) -> dict[int, Fraction]:
    """How much of each panel shows in a frame, worked out from the shots and nothing else."""
    middle, shots, found = frame + Fraction(1, 2), timeline.shots, {}
    for shot, after in zip(shots, [*shots[1:], None], strict=True):
        how = shot.transition
        edges = [(shot.start - how.dissolve // 2, how.dissolve, +1)]
        if after is not None:
            length = after.transition.dissolve
            edges.append((after.start - length // 2, length, -1))
        if how.from_black:
            edges.append((shot.start, how.from_black, +1))
        if how.to_black:
            edges.append((shot.end - how.to_black, how.to_black, -1))
        opacity = ONE
        for start, length, way in edges:
            # A plain cut is a step, and no frame's middle lies on it.
            risen = clip((middle - start) / length) if length else Fraction(middle > start)
            opacity *= risen if way > 0 else 1 - risen
        inside = min(max(frame, shot.start), shot.end - 1)
        panel = next(panel for panel in shot.panels if panel.start <= inside < panel.end)
        if opacity:
            found[panel.index] = opacity
    return found


def framing(panel: Panel, frame: int) -> Fraction:
    """How far along its move a panel is: 0 up to `first`, 1 from `last` on."""
    if panel.move is None:
        return ZERO
    return clip(Fraction(frame - panel.move.first, panel.move.last - panel.move.first))


@given(timelines())
@untimed
def test_the_random_films_are_films(timeline: Timeline) -> None:
    """The strategy keeps to the model, so that what is found below is the spans' own."""
    panels = timeline.panels
    assert panels[0].start == 0
    assert all(before.end == after.start for before, after in pairwise(panels))
    assert [panel.index for panel in panels] == list(range(len(panels)))
    assert all(panel.frames > 0 for panel in panels)
    assert [line.number for line in timeline.lines] == [
        *range(1, len(timeline.lines) + 1),
    ]
    busy: list[int] = []
    for shot in timeline.shots:
        how = shot.transition
        first = shot.start - how.dissolve // 2
        busy += range(first, first + how.dissolve)
        busy += range(shot.start, shot.start + how.from_black)
        busy += range(shot.end - how.to_black, shot.end)
    assert len(busy) == len(set(busy))
    assert set(busy) <= set(range(timeline.frames))
    assert all(0 <= cue.start < cue.end <= timeline.samples for cue in timeline.cues)


@given(timelines(sound=False))
@untimed
def test_spans_tile_the_film(timeline: Timeline) -> None:
    found = spans(timeline)
    assert all(span.frames == span.end - span.start > 0 for span in found)
    assert (found[0].start, found[-1].end) == (0, timeline.frames)
    assert all(before.end == after.start for before, after in pairwise(found))


@given(timelines(sound=False))
@untimed
def test_every_frame_against_the_opacities_of_the_shots(timeline: Timeline) -> None:
    for span in spans(timeline):
        for frame in range(span.start, span.end):
            layers = span.layers(frame)
            shown = {layer.panel.index: layer.weight for layer in layers}
            assert shown == opacities(timeline, frame)
            assert len(shown) == len(layers)
            for layer in layers:
                assert layer.panel is timeline.panels[layer.panel.index]
                assert layer.frame == frame - layer.panel.start


@given(timelines(sound=False))
@untimed
def test_weights_make_one_but_for_fades(timeline: Timeline) -> None:
    dark = set()
    for shot in timeline.shots:
        dark |= set(range(shot.start, shot.start + shot.transition.from_black))
        dark |= set(range(shot.end - shot.transition.to_black, shot.end))
    for span in spans(timeline):
        for frame in range(span.start, span.end):
            layers = span.layers(frame)
            light = sum((layer.weight for layer in layers), ZERO)
            assert all(0 < layer.weight <= 1 for layer in layers)
            assert 0 < light < 1 if frame in dark else light == 1


@given(timelines(sound=False))
@untimed
def test_dissolves_lie_where_the_model_says_and_are_symmetric(timeline: Timeline) -> None:
    mixed = {}
    for span in spans(timeline):
        for frame in range(span.start, span.end):
            if len(span.layers(frame)) == 2:
                mixed[frame] = [layer.weight for layer in span.layers(frame)]
    expected = set()
    for shot in timeline.shots:
        length = shot.transition.dissolve
        first = shot.start - length // 2
        expected |= set(range(first, first + length))
        out = [mixed[first + n][0] for n in range(length)]
        come = [mixed[first + n][1] for n in range(length)]
        assert out == come[::-1]
        assert come == sorted(come)
        # Even steps, and the same step from nothing to half a frame in.
        assert [2 * length * weight for weight in come] == [*range(1, 2 * length, 2)]
    assert set(mixed) == expected


@given(timelines(sound=False))
@untimed
def test_a_shot_shows_beyond_its_cuts_for_just_its_overlaps(timeline: Timeline) -> None:
    """What the film shows of a shot beyond its cuts is what the set is told to shoot."""
    seen: dict[str, list[int]] = {shot.name: [] for shot in timeline.shots}
    for span in spans(timeline):
        for frame in range(span.start, span.end):
            for name in {layer.panel.shot for layer in span.layers(frame)}:
                seen[name].append(frame)
    for shot in timeline.shots:
        head, tail = shot.start - shot.overlap_head, shot.end + shot.overlap_tail
        assert seen[shot.name] == list(range(head, tail))


@given(timelines(sound=False))
@untimed
def test_frames_of_a_still_span_are_one_picture(timeline: Timeline) -> None:
    """And those of a span that is not still are all different, so none is coded in vain."""
    for span in spans(timeline):
        pictures = [
            tuple(
                (layer.panel.index, framing(layer.panel, layer.frame), layer.weight)
                for layer in span.layers(frame)
            )
            for frame in range(span.start, span.end)
        ]
        assert len(set(pictures)) == (1 if span.is_still else span.frames)


@given(timelines(sound=False))
@untimed
def test_a_span_rests_or_mixes_or_moves(timeline: Timeline) -> None:
    """A framing in motion outside a mix lies strictly between its ends."""
    for span in spans(timeline):
        ends = [framing(span.panel, n - span.panel.start) for n in (span.start, span.end - 1)]
        if span.ramp is not None:
            assert not span.is_still
            first, length = span.ramp
            assert first <= span.start < span.end <= first + length
        elif not span.is_still:
            assert span.panel.move is not None
            assert all(0 < end < 1 for end in ends)


@given(timelines(max_shots=3, max_frames=10, sound=False))
@untimed
def test_layers_at_is_the_span_that_holds_the_frame(timeline: Timeline) -> None:
    expected = [
        span.layers(frame) for span in spans(timeline) for frame in range(span.start, span.end)
    ]
    assert [layers_at(timeline, frame) for frame in range(timeline.frames)] == expected


@pytest.mark.parametrize("dissolve", [0, 1, 2, 7, 12, 24, 48, 49])
def test_overlaps_are_what_lies_beyond_the_cut(dissolve: int) -> None:
    """The shot before goes on for the frames after the cut, the shot after begins before it."""
    timeline = film([60], [60], how={1: Transition(dissolve=dissolve)})
    both = [n for n in range(120) if len(layers_at(timeline, n)) == 2]
    after, before = sum(n >= 60 for n in both), sum(n < 60 for n in both)
    assert overlaps(dissolve) == (after, before)
    assert after + before == dissolve


def test_a_span_tells_its_panel() -> None:
    one, two = film([4], [4]).panels
    assert Span(0, 4, None, one).panel is one
    assert Span(0, 4, one, None, (0, 4)).panel is one
    assert Span(2, 6, one, two, (2, 4)).panel is two
