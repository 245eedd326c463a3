"""Segments: the film as stretches that are coded apart and stitched into one stream.

A still segment is coded once, as one IDR picture; the pictures after it are all-skip P
pictures, which say "as before" and depend on no picture: they come from a template. A moving
segment is coded frame by frame. Retiming a board so needs no coding, only stitching.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

from av.video.frame import VideoFrame

from animatic.errors import InternalError
from animatic.film.bitstream import (
    IDR_SLICE,
    SLICE,
    ParameterSets,
    joined,
    nal_type,
    parameter_sets,
    read_header,
    units,
    with_idr_pic_id,
)
from animatic.film.coding import Format, Kind, Picture, coded_pictures, grey, yuv_from_rgb
from animatic.film.mux import CodedPicture
from animatic.timeline.model import Timeline
from animatic.timeline.spans import Span, spans

__all__ = [
    "ENTRY",
    "Segment",
    "Template",
    "check_sets",
    "code_segment",
    "make_template",
    "segments_of",
    "slices",
    "stitched",
]

ENTRY = 240
"""A player can enter the stream at least every so many frames."""
_SKIPS = 16
"""The template's skip pictures: frame_num has 4 bits, so they repeat (H.264, 7.4.3)."""


@dataclass(frozen=True, slots=True)
class Segment:
    """Frames [start, end) of the film, which lie in one span of the timeline."""

    start: int
    end: int
    span: Span
    counted: bool = False
    """Whether a counter runs in it."""

    @property
    def kind(self) -> Kind:
        """How it is coded: one picture, every picture, or a band in a picture that rests."""
        if self.frames == 1 or (self.span.is_still and not self.counted):
            return "still"
        return "band" if self.span.is_still else "moving"

    @property
    def frames(self) -> int:
        """The segment's length."""
        return self.end - self.start


def segments_of(timeline: Timeline, *, counted: bool = False) -> tuple[Segment, ...]:
    """Return the film's segments in order: still spans whole, others in bounded pieces.

    `counted` says that a counter runs through the film.

    >>> from pathlib import Path
    >>> from animatic.board import read_board
    >>> from animatic.timeline import lay_out
    >>> segments = segments_of(lay_out(read_board(Path("demo_board"))))
    >>> [(one.start, one.frames, one.kind) for one in segments[:3]]
    [(0, 24, 'moving'), (24, 72, 'still'), (96, 60, 'still')]
    """
    found: list[Segment] = []
    for span in spans(timeline):
        step = span.frames if span.is_still and not counted else ENTRY
        for start in range(span.start, span.end, step):
            found.append(Segment(start, min(start + step, span.end), span, counted))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Template:
    """What all pictures of one `Format` share: parameter sets and the skip pictures."""

    sets: bytes
    skips: tuple[bytes, ...]


def make_template(form: Format) -> Template:
    """Code flat grey: an IDR picture, then pictures that only say "as before"."""
    sets, packets = coded_pictures(form, [grey(form.size) for _ in range(1 + _SKIPS)])
    facts = parameter_sets(sets)
    skips = [slices(packet) for packet in packets[1:]]
    numbers = [read_header(unit, facts).frame_num for unit in map(_only_unit, skips)]
    if facts.frame_num_bits != 4 or numbers != [n % _SKIPS for n in range(1, _SKIPS + 1)]:
        raise InternalError(f"the encoder numbered the skip pictures {numbers}")
    return Template(sets, tuple(skips))


def code_segment(
    form: Format,
    segment: Segment,
    picture: Callable[[int], Picture],
    template: Template,
    go_on: Callable[[], None] = lambda: None,
) -> tuple[bytes, ...]:
    """Code whole pictures of a segment: one packet of a still one, else one a frame.

    `picture` gives the picture of a film frame; `go_on` is called before each and may raise.
    InternalError where the encoder's parameter sets are not the template's.
    """
    last = segment.start + 1 if segment.kind == "still" else segment.end

    def frames() -> Iterator[VideoFrame]:
        for number in range(segment.start, last):
            go_on()
            yield yuv_from_rgb(picture(number), form.size)

    kind: Kind = "still" if segment.kind == "still" else "moving"
    sets, packets = coded_pictures(form, frames(), kind)
    check_sets(segment, sets, template.sets)
    return tuple(slices(packet) for packet in packets)


def check_sets(segment: Segment, found: bytes, wanted: bytes) -> None:
    """Raise InternalError unless a segment was coded with the parameter sets of its template."""
    if found != wanted:
        raise InternalError(
            f"frames {segment.start} to {segment.end - 1} were coded with other parameter sets"
            f" ({found.hex()}) than the template ({wanted.hex()})"
        )


def slices(packet: bytes) -> bytes:
    """Return a packet without what is no slice: the encoder's note on itself."""
    return joined(unit for unit in units(packet) if nal_type(unit) in (SLICE, IDR_SLICE))


def _only_unit(packet: bytes) -> bytes:
    [unit] = units(packet)
    return unit


def stitched(
    coded: Iterable[tuple[Segment, tuple[bytes, ...]]], template: Template
) -> Iterator[CodedPicture]:
    """Yield one coded picture a frame: the segments as one stream.

    Every IDR picture has another idr_pic_id than the one before (H.264, 7.4.3).
    """
    facts = parameter_sets(template.sets)
    parity = 1
    for segment, packets in coded:
        versions = _versions(packets[0], facts)
        for number in range(segment.frames):
            at = number % ENTRY
            if at == 0:
                parity = 1 - parity
                yield CodedPicture(versions(parity), is_key=True)
            elif segment.kind == "still":
                yield CodedPicture(template.skips[(at - 1) % _SKIPS], is_key=False)
            else:
                yield CodedPicture(packets[number], is_key=False)


def _versions(packet: bytes, facts: ParameterSets) -> Callable[[int], bytes]:
    """Return a function that gives an IDR picture with the idr_pic_id wanted."""

    @lru_cache(maxsize=2)
    def version(value: int) -> bytes:
        return joined(with_idr_pic_id(unit, facts, value) for unit in units(packet))

    return version
