"""Segments, the template, and the stream that they are stitched into."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from film_stand_ins import Noise, board
from test_bitstream import decoded

from animatic.errors import InternalError
from animatic.film.bitstream import parameter_sets, read_header, units
from animatic.film.coding import Format, yuv_from_rgb
from animatic.film.segments import (
    ENTRY,
    Segment,
    Template,
    code_segment,
    make_template,
    segments_of,
    stitched,
)
from animatic.frames import Rate
from animatic.timeline.model import Box, Move, Transition

FORM = Format((160, 96), Rate.named("24"))
TEMPLATE = make_template(FORM)


def test_the_segments_are_the_film_without_gap() -> None:
    timeline = board(
        [700, 1, 30, 600],
        transitions={2: Transition(from_black=5), 3: Transition(dissolve=12, to_black=8)},
        moves={3: Move(Box(0.1, 0.1, 0.5, 0.5), "both", 20, 580)},
    )
    found = segments_of(timeline)
    assert found[0].start == 0
    assert [one.end for one in found] == [*(one.start for one in found[1:]), timeline.frames]
    assert found[0] == Segment(0, 700, found[0].span)
    assert found[0].kind == "still"
    assert all(one.kind == "still" or one.frames <= ENTRY for one in found)
    assert sum(one.kind != "still" for one in found) >= 5


@pytest.mark.parametrize("size", [(160, 96), (32, 16), (998, 666), (96, 160), (1920, 1080)])
def test_skip_pictures_change_nothing_on_any_picture(size: tuple[int, int]) -> None:
    """Noise, which nothing but a true skip carries over without loss."""
    form = Format(size, FORM.rate)
    template = make_template(form)
    timeline = board([40], size=size)
    [segment] = segments_of(timeline)
    packets = code_segment(form, segment, Noise(timeline).frame, template)
    stream = [picture.data for picture in stitched([(segment, packets)], template)]
    frames = decoded(template.sets, stream)
    assert len(frames) == 40
    assert all(np.array_equal(frame, frames[0]) for frame in frames)
    source = yuv_from_rgb(Noise(timeline).frame(0), size).to_ndarray()
    wrong = np.square(frames[0].astype(float) - source).mean()
    assert 10 * np.log10(255**2 / wrong) > 35


def test_skip_pictures_are_small() -> None:
    form = Format((1920, 1080), FORM.rate)
    assert max(map(len, make_template(form).skips)) < 100


def entries(lengths: list[int]) -> list[tuple[bool, int, int]]:
    """Return (is an entry, frame_num, idr_pic_id) of every picture of a board of holds."""
    timeline = board(lengths)
    coded = [
        (one, code_segment(FORM, one, Noise(timeline).frame, TEMPLATE))
        for one in segments_of(timeline)
    ]
    facts = parameter_sets(TEMPLATE.sets)
    found = []
    for picture in stitched(coded, TEMPLATE):
        [unit] = units(picture.data)
        header = read_header(unit, facts)
        assert picture.is_key == header.is_idr
        found.append((header.is_idr, header.frame_num, header.idr_pic_id))
    return found


def test_neighbouring_entries_differ_and_frame_numbers_run_on() -> None:
    """ITU-T H.264, 7.4.3: idr_pic_id differs between neighbours; frame_num counts modulo 16."""
    found = entries([1, 1, 1, 500, 17, 240, 241, 2])
    keys = [number for number, (is_idr, _, _) in enumerate(found) if is_idr]
    assert keys == [0, 1, 2, 3, 243, 483, 503, 520, 760, 1000, 1001]
    assert [found[key][2] for key in keys] == [number % 2 for number in range(len(keys))]
    for number, (is_idr, frame_num, _) in enumerate(found):
        assert frame_num == (0 if is_idr else (found[number - 1][1] + 1) % 16)


def test_other_parameter_sets_are_refused() -> None:
    timeline = board([3])
    other = Template(TEMPLATE.sets + b"\x00", TEMPLATE.skips)
    with pytest.raises(InternalError) as caught:
        code_segment(FORM, segments_of(timeline)[0], Noise(timeline).frame, other)
    assert str(caught.value) == (
        f"frames 0 to 2 were coded with other parameter sets ({TEMPLATE.sets.hex()}) than the"
        f" template ({other.sets.hex()})"
    )


def test_pictures_of_another_shape_are_refused() -> None:
    with pytest.raises(InternalError) as caught:
        yuv_from_rgb(np.zeros((96, 160, 4), np.uint8), (160, 96))
    assert str(caught.value) == "a picture of uint8 (96, 160, 4); wanted uint8 (96, 160, 3)"


def test_moving_segments_code_every_frame() -> None:
    timeline = board([20, 20], transitions={1: Transition(dissolve=10)})
    moving = [one for one in segments_of(timeline) if one.kind != "still"]
    assert [(one.start, one.end) for one in moving] == [(15, 20), (20, 25)]
    source = Noise(timeline)
    for one in moving:
        packets = code_segment(FORM, one, source.frame, TEMPLATE)
        frames = decoded(TEMPLATE.sets, list(packets))
        assert len(frames) == one.frames
        for number, frame in enumerate(frames, one.start):
            wanted = yuv_from_rgb(source.frame(number), FORM.size).to_ndarray()
            wrong = np.square(frame.astype(float) - wanted).mean()
            assert 10 * np.log10(255**2 / wrong) > 30


def test_a_moving_span_of_one_frame_is_still() -> None:
    timeline = board([20, 20], transitions={1: Transition(dissolve=2)})
    ones = [one for one in segments_of(timeline) if one.span.ramp]
    assert [one.frames for one in ones] == [1, 1]
    assert all(one.kind == "still" for one in ones)
    assert [layer.weight for layer in ones[0].span.layers(19)] == [Fraction(3, 4), Fraction(1, 4)]
