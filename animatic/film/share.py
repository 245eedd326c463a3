"""Small versions of a film to pass around: a GIF without sound, a WebM with it.

Both show every frame at its place. A GIF counts in hundredths of a second and WebM in
thousandths: each frame begins at the tick nearest to its exact time, so that nothing adds up.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterable, Iterator
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import av
import numpy as np
from av.container import OutputContainer
from av.packet import Packet
from av.stream import Stream
from PIL import Image

from animatic.film.beside import CouldNotWrite, beside
from animatic.film.coding import Sound, set_colour, yuv_from_rgb
from animatic.film.counter import drawn
from animatic.film.report import Progress
from animatic.film.segments import segments_of
from animatic.film.sources import PictureSource, SoundSource, pictures_of, sound_of
from animatic.frames import SAMPLE_RATE, samples_from_frames
from animatic.timeline.excerpt import resized
from animatic.timeline.model import Timeline

__all__ = ["LONGEST", "small_size", "write_gif", "write_webm"]

LONGEST = {"gif": 480, "webm": 640}
"""Pixels of the longer side, where nothing else is asked for."""

_GIF_TICKS = 100
"""A GIF's clock, in ticks a second (GIF89a, delay time)."""
_LEAST_DELAY = 2
"""Ticks below which browsers take a delay for a fault and show the picture much longer."""
_LONGEST_DELAY = 65_535
_VP9 = {"deadline": "realtime", "cpu-used": "5", "crf": "32", "lag-in-frames": "0"}
"""One picture in, one out, none hidden; a few times faster than it plays."""


def small_size(size: tuple[int, int], longest: int) -> tuple[int, int]:
    """Return a picture size, both even, of the same shape with its longer side at most `longest`.

    >>> small_size((1920, 1080), 480), small_size((320, 180), 480)
    ((480, 270), (320, 180))
    """
    over = max(*size, longest)
    width, height = (max(2, 2 * (side * longest // (2 * over))) for side in size)
    return width, height


def write_gif(
    timeline: Timeline,
    target: Path,
    *,
    longest: int = LONGEST["gif"],
    make_pictures: Callable[[Timeline], PictureSource] = pictures_of,
    counter: bool = False,
    progress: Callable[[Progress], None] | None = None,
) -> int:
    """Write a film as a GIF that runs for ever, and return its pictures.

    At 59.94 frames a second every other frame is left out, as no browser shows so many.
    `counter` shows the shot's name and the frame within it on every picture.
    MachineError where it cannot be written.
    """
    small = resized(timeline, small_size(timeline.size, longest))
    draw = drawn(small, make_pictures(small), counter)
    places = _gif_places(small, counter)
    ticks = [samples_from_frames(frame, small.rate, _GIF_TICKS) for frame in places]
    delays = [10 * (after - before) for before, after in pairwise(ticks)]

    def images() -> Iterator[Image.Image]:
        for frame, end in pairwise(places):
            picture = Image.fromarray(draw(frame))
            palette = picture.quantize(256, Image.Quantize.MEDIANCUT)
            yield picture.quantize(palette=palette, dither=Image.Dither.FLOYDSTEINBERG)
            if progress is not None:
                progress(Progress(end, small.frames))

    made = images()
    with beside(target) as temporary:
        first = next(made)
        with _words():
            first.save(
                temporary,
                "GIF",
                save_all=True,
                append_images=made,
                duration=delays,
                loop=0,
                optimize=False,
            )
    return len(delays)


def _gif_places(timeline: Timeline, counter: bool) -> list[int]:
    """Return the frames at which the picture of a GIF changes, and the film's end."""
    least = _LEAST_DELAY * timeline.rate.fps > _GIF_TICKS
    every = 2 if least else 1
    places: list[int] = []
    longest = int(_LONGEST_DELAY * timeline.rate.fps) // _GIF_TICKS
    for segment in segments_of(timeline, counted=counter):
        step = longest if segment.kind == "still" else every
        places += range(segment.start, segment.end, step)
    return [*places, timeline.frames]


def write_webm(
    timeline: Timeline,
    target: Path,
    *,
    longest: int = LONGEST["webm"],
    make_pictures: Callable[[Timeline], PictureSource] = pictures_of,
    sound: SoundSource = sound_of,
    counter: bool = False,
    progress: Callable[[Progress], None] | None = None,
) -> int:
    """Write a film as a WebM (VP9 and Opus), and return its frames.

    `counter` shows the shot's name and the frame within it on every frame. MachineError where
    it cannot be written.
    """
    small = resized(timeline, small_size(timeline.size, longest))
    draw = drawn(small, make_pictures(small), counter)
    with beside(target) as temporary, _webm(temporary) as film:
        video = film.add_stream("libvpx-vp9", rate=small.rate.fps, options=_VP9)
        video.width, video.height = small.size
        video.pix_fmt, video.time_base = "yuv420p", 1 / small.rate.fps
        video.codec_context.time_base = 1 / small.rate.fps
        set_colour(video.codec_context)
        audio = film.add_stream("libopus", rate=SAMPLE_RATE, options={"b": "96000"})
        film.metadata["title"] = timeline.title
        blocks = _sound_frames(sound(small), SAMPLE_RATE)
        heard = 0
        for number in range(small.frames):
            frame = yuv_from_rgb(draw(number), small.size)
            frame.pts, frame.time_base = number, 1 / small.rate.fps
            _mux(film, video.encode(frame))
            while heard < samples_from_frames(number + 1, small.rate):
                block = next(blocks)
                heard += block.samples
                _mux(film, audio.encode(block))
            if progress is not None:
                progress(Progress(number + 1, small.frames))
        _mux(film, video.encode(None))
        _mux(film, audio.encode(None))
    return small.frames


def _sound_frames(blocks: Iterable[Sound], rate: int) -> Iterator[av.AudioFrame]:
    at = 0
    for block in blocks:
        samples = np.ascontiguousarray(block.reshape(1, -1), dtype=np.float32)
        frame = av.AudioFrame.from_ndarray(samples, format="flt", layout="stereo")
        frame.sample_rate, frame.pts, frame.time_base = rate, at, Fraction(1, rate)
        at += frame.samples
        yield frame


@contextlib.contextmanager
def _webm(path: Path) -> Iterator[OutputContainer]:
    with _words():
        film = av.open(str(path), "w", format="webm")
    try:
        yield film
    except BaseException:
        with contextlib.suppress(OSError):
            film.close()
        raise
    with _words():
        film.close()


def _mux(film: OutputContainer, packets: list[Packet[Stream]]) -> None:
    with _words():
        film.mux(packets)


@contextlib.contextmanager
def _words() -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise CouldNotWrite(*error.args) from error
