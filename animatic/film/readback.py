"""Reading a film back: what is really in the file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from av.container import InputContainer

from animatic.errors import InternalError
from animatic.film.coding import Picture, Sound
from animatic.film.labels import Caption, Chapter
from animatic.frames import SAMPLE_RATE, Rate, round_half_up

__all__ = ["Contents", "check_index", "contents", "pictures", "samples"]


@dataclass(frozen=True, slots=True)
class Contents:
    """What a film file says and holds, without decoding it."""

    size: tuple[int, int]
    fps: Fraction
    times: tuple[Fraction, ...]
    """The time in seconds of every picture, in order."""
    keys: tuple[int, ...]
    """The frames at which a player can enter."""
    colour: tuple[int, int, int, int]
    """Primaries, transfer, matrix (ITU-T H.273) and range (1 is limited, as libav counts it)."""
    title: str
    timecode: str
    chapters: tuple[Chapter, ...]
    captions: tuple[Caption, ...]


def contents(path: Path) -> Contents:
    """Return what a film holds; av's OSError or ValueError where it cannot be read."""
    with av.open(str(path)) as film:
        video = film.streams.video[0]
        fps = Fraction(video.average_rate or 0)
        rate = Rate(fps)
        packets = [packet for packet in film.demux(video) if packet.pts is not None]
        context = video.codec_context
        found = Contents(
            size=(context.width, context.height),
            fps=fps,
            times=tuple((packet.pts or 0) * packet.time_base for packet in packets),
            keys=tuple(n for n, packet in enumerate(packets) if packet.is_keyframe),
            colour=(
                int(context.color_primaries),
                int(context.color_trc),
                int(context.colorspace),
                int(context.color_range),
            ),
            title=film.metadata.get("title", ""),
            timecode=video.metadata.get("timecode", ""),
            chapters=tuple(_chapters(film, rate)),
            captions=(),
        )
    with av.open(str(path)) as film:
        return replace(found, captions=tuple(_captions(film, rate)))


def _chapters(film: InputContainer, rate: Rate) -> Iterator[Chapter]:
    for chapter in film.chapters():
        second = Fraction(chapter["time_base"] or 1) * rate.fps
        start, end = (round_half_up(chapter[edge] * second) for edge in ("start", "end"))
        yield Chapter(chapter["metadata"].get("title", ""), start, end)


def _captions(film: InputContainer, rate: Rate) -> Iterator[Caption]:
    if not film.streams.subtitles:
        return
    for packet in film.demux(film.streams.subtitles[0]):
        data = bytes(packet)
        text = data[2 : 2 + int.from_bytes(data[:2], "big")].decode()
        if packet.pts is None or not text:
            continue
        start = round_half_up(packet.pts * packet.time_base * rate.fps)
        end = start + round_half_up((packet.duration or 0) * packet.time_base * rate.fps)
        yield Caption(text, start, end)


def pictures(path: Path) -> Iterator[tuple[Fraction, Picture]]:
    """Yield (time in seconds, planes) of every decoded picture of a film.

    The planes are those of 4:2:0: height * 3 / 2 x width, luma above chroma.
    """
    with av.open(str(path)) as film:
        film.streams.video[0].thread_type = "FRAME"
        for frame in film.decode(video=0):
            yield (
                (frame.pts or 0) * Fraction(frame.time_base or 1),
                frame.to_ndarray().astype(np.uint8),
            )


def samples(path: Path) -> Sound:
    """Return all the sound of a film, as long as its track says: samples x 2 channels."""
    with av.open(str(path)) as film:
        length = film.streams.audio[0].duration or 0
        blocks = [frame.to_ndarray() for frame in film.decode(audio=0)]
    found: Sound = np.concatenate([np.zeros((2, 0), np.float32), *blocks], axis=1).T
    # The last AAC packet is cut by the file's edit list, which not every decoder heeds.
    return found[:length]


def check_index(path: Path, frames: int, samples: int) -> None:
    """Raise InternalError unless a film's index lists exactly these frames and samples.

    The index stands at the front of the file: this reads no picture.
    """
    with av.open(str(path)) as film:
        video, audio = film.streams.video[0], film.streams.audio[0]
        entries = list(video.index_entries)
        base = Fraction(video.time_base or 0) * Fraction(video.average_rate or 0)
        times = [entry.timestamp * base for entry in entries]
        ends = [entry.pos + entry.size for entry in (*entries, *audio.index_entries)]
        length = (audio.duration or 0) * Fraction(audio.time_base or 0) * SAMPLE_RATE
    if times != list(range(frames)):
        raise InternalError(f"{frames} frames were written, the file lists {len(times)}")
    if length != samples:
        raise InternalError(f"{samples} samples were written, the file lists {length}")
    if max(ends) > path.stat().st_size:
        raise InternalError(
            f"the film ends at byte {path.stat().st_size}, its contents at {max(ends)}"
        )
