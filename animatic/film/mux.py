"""Putting coded pictures, coded sound and labels into one MP4 file, in one pass."""

from __future__ import annotations

import contextlib
import heapq
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from pathlib import Path

import av
from av.container import OutputContainer
from av.packet import Packet
from av.stream import Stream
from av.subtitles.stream import SubtitleStream
from av.video.stream import VideoStream

from animatic.errors import InternalError
from animatic.film.beside import CouldNotWrite
from animatic.film.coding import (
    Format,
    set_up_picture_coder,
    set_up_sound_coder,
    sound_packets,
)
from animatic.film.labels import Caption, Labels
from animatic.frames import SAMPLE_RATE, samples_from_frames

__all__ = ["CodedPicture", "mux"]

_Timed = tuple[int, "Packet[Stream]"]
"""A packet behind its place in the film, in ticks."""

_CAPTION_LOOK = """[Script Info]
ScriptType: v4.00+

[V4+ Styles]
Format: Name, Fontname, Fontsize, PrimaryColour, SecondaryColour, OutlineColour, BackColour, \
Bold, Italic, Underline, StrikeOut, ScaleX, ScaleY, Spacing, Angle, BorderStyle, Outline, \
Shadow, Alignment, MarginL, MarginR, MarginV, Encoding
Style: Default,Sans,18,&Hffffff,&Hffffff,&H0,&H0,0,0,0,0,100,100,0,0,3,1,0,2,10,10,10,0

[Events]
Format: Layer, Start, End, Style, Name, MarginL, MarginR, MarginV, Effect, Text
"""
"""White on black at the foot, in the form that the mov_text encoder asks for."""


@dataclass(frozen=True, slots=True)
class CodedPicture:
    """One coded picture in Annex B; `is_key` where a player can enter the stream."""

    data: bytes
    is_key: bool


def mux(
    path: Path,
    form: Format,
    frames: int,
    pictures: Iterable[CodedPicture],
    sound: Iterable[bytes],
    labels: Labels,
    each_frame: Callable[[int], None] = lambda done: None,
) -> bytes:
    """Write `frames` pictures, their sound and their labels as an MP4 file.

    `pictures` gives one item a frame, `sound` the packets of `sound_packets`. Return the
    parameter sets that the file carries. InternalError where there are fewer or more of
    them, CouldNotWrite where the disk refuses. A file that was not finished is of no use:
    write it `beside` its target.
    """
    with _output(path, form) as container:
        video = _picture_stream(container, form, labels.timecode)
        audio = container.add_stream("aac")
        set_up_sound_coder(audio.codec_context, form)
        frame, sample = 1 / form.rate.fps, Fraction(1, SAMPLE_RATE)
        samples = samples_from_frames(frames, form.rate)
        # Sound first, so that it is under way while the first picture is waited for.
        runs = [
            _sound_packets(_Track(audio, sample, form), samples, sound),
            _picture_packets(_Track(video, frame, form), frames, pictures),
        ]
        if labels.captions:
            text = _caption_stream(container, form)
            runs.append(_caption_packets(_Track(text, frame, form), labels.captions))
        container.metadata["title"] = labels.title
        container.set_chapters(
            [
                {
                    "id": number,
                    "start": chapter.start * form.rate.fps.denominator,
                    "end": chapter.end * form.rate.fps.denominator,
                    "time_base": Fraction(1, form.rate.fps.numerator),
                    "metadata": {"title": chapter.name},
                }
                for number, chapter in enumerate(labels.chapters, 1)
            ]
        )
        done = 0
        for _, packet in heapq.merge(*runs, key=lambda timed: timed[0]):
            try:
                container.mux_one(packet)
            except OSError as error:
                raise CouldNotWrite(*error.args) from error
            if packet.stream is video:
                done += 1
                each_frame(done)
        return video.codec_context.extradata or b""


def _ticks(form: Format) -> int:
    """Return the ticks a second in which every frame and every sample begins on a tick."""
    return lcm(SAMPLE_RATE, form.rate.fps.numerator)


@contextlib.contextmanager
def _output(path: Path, form: Format) -> Iterator[OutputContainer]:
    """Open an MP4 file for writing; its index goes to the front when it is closed."""
    # Whole ticks for samples and frames, where the default of 1000 a second has neither.
    options = {"movflags": "+faststart", "movie_timescale": str(_ticks(form))}
    try:
        container = av.open(str(path), "w", format="mp4", container_options=options)
    except OSError as error:
        raise CouldNotWrite(*error.args) from error
    try:
        yield container
    except BaseException:
        with contextlib.suppress(OSError):
            container.close()
        raise
    try:
        container.close()
    except OSError as error:
        raise CouldNotWrite(*error.args) from error


def _picture_stream(container: OutputContainer, form: Format, timecode: str) -> VideoStream:
    stream = container.add_stream("libx264", rate=form.rate.fps)
    set_up_picture_coder(stream.codec_context, form)
    stream.time_base = 1 / form.rate.fps
    stream.metadata["timecode"] = timecode
    return stream


def _caption_stream(container: OutputContainer, form: Format) -> SubtitleStream:
    stream = container.add_stream("mov_text")
    context = stream.codec_context
    context.subtitle_header = _CAPTION_LOOK.encode()
    context.time_base = stream.time_base = 1 / form.rate.fps
    return stream


class _Track:
    """A stream, and the unit in which its packets are placed."""

    def __init__(self, stream: Stream, unit: Fraction, form: Format) -> None:
        self.stream, self.unit = stream, unit
        self.ticks = int(unit * _ticks(form))

    def packet(self, data: bytes, at: int, length: int, *, is_key: bool = True) -> _Timed:
        """Return a packet at `at` units, `length` units long, with its place in ticks."""
        packet: Packet[Stream] = Packet(data)
        packet.stream, packet.time_base = self.stream, self.unit
        packet.pts = packet.dts = at
        packet.duration, packet.is_keyframe = length, is_key
        return at * self.ticks, packet


def _picture_packets(
    track: _Track, frames: int, pictures: Iterable[CodedPicture]
) -> Iterator[_Timed]:
    count = 0
    for count, picture in enumerate(pictures, 1):
        yield track.packet(picture.data, count - 1, 1, is_key=picture.is_key)
    if count != frames:
        raise InternalError(f"a film of {frames} frames was given {count} pictures")


def _sound_packets(track: _Track, samples: int, sound: Iterable[bytes]) -> Iterator[_Timed]:
    places, count = sound_packets(samples), 0
    for count, data in enumerate(sound, 1):
        if count > len(places):
            break
        yield track.packet(data, *places[count - 1])
    if count != len(places):
        found = "more" if count > len(places) else str(count)
        raise InternalError(f"{samples} samples take {len(places)} packets, {found} came")


def _caption_packets(track: _Track, captions: Iterable[Caption]) -> Iterator[_Timed]:
    for caption in captions:
        text = caption.text.encode()
        # A 3GPP timed text sample: the text's length in bytes, then the text.
        data = len(text).to_bytes(2, "big") + text
        yield track.packet(data, caption.start, caption.end - caption.start)
