"""A picture that rests below a band that moves: each a slice of its own (ITU-T H.264, 7.3.3).

The band at the top is a whole number of macroblock rows and comes from an encoder of that
height. What lies below is a hold of the remaining height; its slices are moved down by their
first_mb_in_slice, and keep their deblocking filter within themselves. Neither looks over the
edge between them, so that each decodes as if it stood alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Protocol

import numpy as np
from av.video.frame import VideoFrame
from av.video.plane import VideoPlane
from av.video.reformatter import VideoReformatter
from numpy.typing import NDArray

from animatic.errors import InternalError
from animatic.film.bitstream import (
    joined,
    parameter_sets,
    units,
    with_first_mb,
    without_edges,
)
from animatic.film.coding import Format, Picture, coded_pictures, yuv_from_rgb
from animatic.film.segments import Segment, Template, check_sets, slices

__all__ = ["LEAST_REST", "code_banded", "rest_format"]

LEAST_REST = 32
"""Rows that have to be left below a band; else every picture is coded whole."""


def rest_format(form: Format, band: int) -> Format:
    """Return the format of what lies below a band of `band` rows."""
    return replace(form, size=(form.size[0], form.size[1] - band))


class Patch(Protocol):
    """Gives what a running band changes."""

    def __call__(
        self, picture: Picture, frame: int, /, *, figures: bool = False
    ) -> tuple[int, int, Picture]:
        """Return where (x, y), and the part of a picture, with even measures.

        With `figures` the part alone that is another in the next frame.
        """
        ...


def _put(
    frame: VideoFrame, x: int, y: int, patch: Picture, converter: VideoReformatter | None = None
) -> None:
    """Put a part of a picture into a frame of 4:2:0."""
    height, width = patch.shape[:2]
    part = yuv_from_rgb(patch, (width, height), converter)
    for plane, source, step in zip(frame.planes, part.planes, (1, 2, 2), strict=True):
        across, down = slice(x // step, (x + width) // step), slice(y // step, (y + height) // step)
        _rows(plane)[down, across] = _rows(source)[: height // step, : width // step]


def _rows(plane: VideoPlane) -> NDArray[np.uint8]:
    """Return a plane's bytes as rows, padding and all; writing to them changes the plane."""
    return np.frombuffer(memoryview(plane), np.uint8).reshape(-1, plane.line_size)


def code_banded(
    form: Format,
    segment: Segment,
    picture: Picture,
    band: int,
    patch: Patch,
    template: Template,
    rest_template: Template,
    go_on: Callable[[], None] = lambda: None,
) -> tuple[bytes, ...]:
    """Code a segment that shows `picture` with a moving band over it; one packet a frame.

    `patch` gives what changes in a film frame, in the upper `band` rows; `rest_template` is that
    of `rest_format`. InternalError where the parameter sets do not fit together.
    """
    rest_form = rest_format(form, band)
    band_form = replace(form, size=(form.size[0], band))

    def bands() -> Iterator[VideoFrame]:
        frame = yuv_from_rgb(picture[:band], band_form.size)
        converter = VideoReformatter()
        for number in range(segment.start, segment.end):
            go_on()
            _put(frame, *patch(picture, number, figures=number > segment.start), converter)
            yield frame

    sets, [rest] = coded_pictures(rest_form, [yuv_from_rgb(picture[band:], rest_form.size)])
    check_sets(segment, sets, rest_template.sets)
    band_sets, moving = coded_pictures(band_form, bands(), "band")
    facts = [parameter_sets(one) for one in (template.sets, sets, band_sets)]
    if len({(one.pps, one.frame_num_bits) for one in facts}) != 1:
        raise InternalError("the band, the rest and the film have different parameter sets")
    first_mb = facts[2].width_in_mbs * facts[2].height_in_mbs

    def lower(packet: bytes) -> list[bytes]:
        moved = (with_first_mb(unit, facts[1], first_mb) for unit in units(slices(packet)))
        return [without_edges(unit, facts[1]) for unit in moved]

    skips = [lower(skip) for skip in rest_template.skips]
    packets = [joined([*units(slices(moving[0])), *lower(rest)])]
    for number, packet in enumerate(moving[1:]):
        packets.append(joined([*units(slices(packet)), *skips[number % len(skips)]]))
    return tuple(packets)
