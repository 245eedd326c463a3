"""Coding: RGB pictures to H.264 packets in BT.709, and float samples to AAC packets.

One encoder thread each: a second one would change the bytes. Every encoder of one `Format`
writes the same parameter sets (x264's `stitchable`), so that its pictures can stand in one
stream with those of any other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

import av
import numpy as np
from av.audio.codeccontext import AudioCodecContext
from av.codec.context import Flags
from av.video.codeccontext import VideoCodecContext
from av.video.frame import PictureType, VideoFrame
from av.video.reformatter import ColorRange, Colorspace, VideoReformatter
from numpy.typing import NDArray

from animatic.errors import InternalError
from animatic.frames import SAMPLE_RATE, Rate

__all__ = [
    "AAC_FRAME",
    "Format",
    "Kind",
    "Picture",
    "Sound",
    "coded_pictures",
    "coded_sound",
    "grey",
    "set_colour",
    "set_up_picture_coder",
    "set_up_sound_coder",
    "sound_packets",
    "yuv_from_rgb",
]

Picture = NDArray[np.uint8]
"""Height x width x 3, sRGB."""
Sound = NDArray[np.float32]
"""Samples x 2 channels at SAMPLE_RATE, full scale 1.0."""

AAC_FRAME = 1024
"""Samples in an AAC packet (ISO/IEC 14496-3), and the priming before the first sample."""

Kind = Literal["still", "moving", "band"]
"""What an encoder is set up for: one picture, pictures that move, or a running counter."""

# The code points of ITU-T H.273: BT.709, and limited range as libav counts it.
_BT709, _LIMITED = 1, 1

_COMMON = {
    # Parameter sets and payload depend on size and rate alone.
    "stitchable": "1",
    "cpu-independent": "1",
    "cabac": "1",
    # One reference, no reordering: skip pictures can follow any picture.
    "bframes": "0",
    "ref": "1",
    "weightp": "0",
    "scenecut": "0",
    "force-cfr": "1",
    "sync-lookahead": "0",
    # The segments decide where the stream can be entered, never the encoder.
    "keyint": "1000000",
    "min-keyint": "1000000",
}
_KINDS: dict[Kind, dict[str, str]] = {
    # Nothing moves in one picture: a finer search costs 15 % time for 0.1 dB.
    "still": {**_COMMON, "mbtree": "0", "rc-lookahead": "0", "subme": "0"},
    "moving": {**_COMMON, "mbtree": "1", "rc-lookahead": "10"},
    "band": {
        **_COMMON,
        "mbtree": "0",
        "rc-lookahead": "0",
        # A few figures change on a picture that rests: whatever looks further costs time.
        "no-deblock": "1",
        "subme": "0",
        "trellis": "0",
        "me": "dia",
        "merange": "4",
    },
}
_BAND_QP = "18"
"""At a constant rate factor an encoder would refine the resting picture in every frame."""


@dataclass(frozen=True, slots=True)
class Format:
    """What every picture of a film has in common: its size, its rate and how well it is coded."""

    size: tuple[int, int]
    """Width and height in pixels, both even."""
    rate: Rate
    crf: int = 20
    """x264's constant rate factor: lower is better and bigger; 20 is about 49 dB."""
    preset: str = "veryfast"
    bit_rate: int = 192_000
    """Of the sound, in bits a second."""


def set_up_picture_coder(coder: VideoCodecContext, form: Format, kind: Kind = "still") -> None:
    """Give an H.264 encoder its settings."""
    coder.width, coder.height = form.size
    coder.pix_fmt = "yuv420p"
    coder.time_base, coder.framerate = 1 / form.rate.fps, form.rate.fps
    coder.thread_count = 1
    coder.flags |= int(Flags.global_header)
    set_colour(coder)
    coder.options = {
        "preset": form.preset,
        **({"qp": _BAND_QP} if kind == "band" else {"crf": str(form.crf)}),
        "x264-params": ":".join(f"{key}={value}" for key, value in _KINDS[kind].items()),
    }


def set_colour(coder: VideoCodecContext) -> None:
    """Tag what an encoder writes as BT.709, limited range; `yuv_from_rgb` makes it so."""
    coder.color_primaries = coder.color_trc = coder.colorspace = _BT709
    coder.color_range = _LIMITED


def yuv_from_rgb(
    picture: Picture, size: tuple[int, int], converter: VideoReformatter | None = None
) -> VideoFrame:
    """Return a picture as 8-bit 4:2:0 in BT.709, limited range.

    A `converter` that is used again for the same size, in one thread, saves its setting up.
    InternalError unless it is height x width x 3 of unsigned bytes, at `size`.
    """
    width, height = size
    if picture.shape != (height, width, 3) or picture.dtype != np.uint8:
        raise InternalError(
            f"a picture of {picture.dtype} {picture.shape}; wanted uint8 {(height, width, 3)}"
        )
    frame = VideoFrame.from_ndarray(np.ascontiguousarray(picture), format="rgb24")
    # The tags alone would leave BT.601 pixels: the matrix has to be named here.
    return (converter or VideoReformatter()).reformat(
        frame,
        format="yuv420p",
        dst_colorspace=Colorspace.ITU709,
        dst_color_range=ColorRange.MPEG,
        threads=1,
    )


def grey(size: tuple[int, int]) -> VideoFrame:
    """Return a flat grey picture."""
    frame = VideoFrame(*size, "yuv420p")
    for plane in frame.planes:
        plane.update(b"\x80" * plane.buffer_size)
    return frame


def coded_pictures(
    form: Format, pictures: Iterable[VideoFrame], kind: Kind = "still"
) -> tuple[bytes, list[bytes]]:
    """Code pictures: the first as an IDR picture, the others as P pictures.

    Return the parameter sets and one packet a picture, in Annex B byte streams
    (ITU-T H.264).
    """
    coder = av.CodecContext.create("libx264", "w")
    set_up_picture_coder(coder, form, kind)
    coder.open()
    sets = coder.extradata or b""
    packets: list[bytes] = []
    count = 0
    for count, frame in enumerate(pictures, 1):
        frame.pts, frame.time_base = count - 1, coder.time_base
        frame.pict_type = PictureType.NONE
        packets += map(bytes, coder.encode(frame))
    packets += map(bytes, coder.encode(None))
    if len(packets) != count:
        raise InternalError(f"{count} pictures went into the encoder, {len(packets)} came out")
    return sets, packets


def set_up_sound_coder(coder: AudioCodecContext, form: Format) -> None:
    """Give an AAC encoder its settings: 48 kHz, stereo."""
    coder.sample_rate, coder.layout, coder.format = SAMPLE_RATE, "stereo", "fltp"
    coder.bit_rate, coder.time_base = form.bit_rate, Fraction(1, SAMPLE_RATE)
    # Half the time of the other search, at a bit rate where nobody hears it.
    coder.options = {"aac_coder": "fast"}
    coder.thread_count = 1


def coded_sound(form: Format, blocks: Iterable[Sound], samples: int) -> Iterator[bytes]:
    """Code sound of `samples` samples; yield its packets as `sound_packets` places them.

    InternalError where the blocks have fewer samples, or more.
    """
    coder = av.CodecContext.create("aac", "w")
    set_up_sound_coder(coder, form)
    at = 0
    for block in blocks:
        if not len(block):
            continue
        frame = av.AudioFrame.from_ndarray(
            np.ascontiguousarray(block.T, dtype=np.float32), format="fltp", layout="stereo"
        )
        frame.sample_rate, frame.pts, frame.time_base = SAMPLE_RATE, at, coder.time_base
        at += len(block)
        if at > samples:
            break
        yield from map(bytes, coder.encode(frame))
    if at != samples:
        found = "more" if at > samples else str(at)
        raise InternalError(f"the film has {samples} samples; its sound has {found}")
    yield from map(bytes, coder.encode(None))


def sound_packets(samples: int) -> Sequence[tuple[int, int]]:
    """Return (first sample, samples) of the packets that carry `samples` samples.

    The first packet is priming and lies before sample 0; the last one is cut short.

    >>> sound_packets(2000)
    [(-1024, 1024), (0, 1024), (1024, 976)]
    """
    starts = range(-AAC_FRAME, samples, AAC_FRAME)
    return [(start, min(AAC_FRAME, samples - start)) for start in starts]
