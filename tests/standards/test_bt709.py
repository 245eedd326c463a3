"""Colour against Rec. ITU-R BT.709: 8-bit codes of the 100 % bars, limited range, and the tags.

Codes computed with two independent general-purpose libraries from the Recommendation's formula
(Y = 0.2126 R + 0.7152 G + 0.0722 B; 16 to 235, 16 to 240); 81, 90, 240 for red would be BT.601.
"""

from __future__ import annotations

from pathlib import Path

import av
import numpy as np
import pytest

from animatic.film import readback, write_film
from animatic.frames import SAMPLE_RATE, Rate
from animatic.timeline.model import Panel, Shot, Timeline

BARS = {
    "white": ((255, 255, 255), (235, 128, 128)),
    "yellow": ((255, 255, 0), (219, 16, 138)),
    "cyan": ((0, 255, 255), (188, 154, 16)),
    "green": ((0, 255, 0), (173, 42, 26)),
    "magenta": ((255, 0, 255), (78, 214, 230)),
    "red": ((255, 0, 0), (63, 102, 240)),
    "blue": ((0, 0, 255), (32, 240, 118)),
    "black": ((0, 0, 0), (16, 128, 128)),
    "grey": ((128, 128, 128), (126, 128, 128)),
}
"""Bar: its RGB in the photo, its Y, Cb, Cr in the film."""
WIDTH, HEIGHT = 48 * len(BARS), 96


def film(folder: Path) -> Path:
    """Write a film of ten frames of vertical bars."""
    colours = np.array([rgb for rgb, _ in BARS.values()], np.uint8)
    picture = np.repeat(np.broadcast_to(colours, (HEIGHT, *colours.shape)), 48, axis=1)

    class Bars:
        def frame(self, number: int) -> np.ndarray:
            return picture

    panel = Panel(0, 1, "10", 0, 10, 2, Path("bars.png"), (WIDTH, HEIGHT))
    timeline = Timeline(
        "Bars", Rate.named("25"), (WIDTH, HEIGHT), (Shot(0, "10", "", (panel,), 8),)
    )
    silence = [np.zeros((timeline.samples, 2), np.float32)]
    assert timeline.samples == 10 * SAMPLE_RATE // 25
    path = folder / "bars.mp4"
    write_film(timeline, path, pictures=Bars(), sound=lambda timeline: silence, use_cache=False)
    return path


@pytest.fixture(scope="module")
def bars(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return film(tmp_path_factory.mktemp("bars"))


def test_codes(bars: Path) -> None:
    for _, planes in readback.pictures(bars):
        luma = planes[:HEIGHT]
        chroma = planes[HEIGHT:].reshape(2, HEIGHT // 2, WIDTH // 2)
        for number, (name, (_, wanted)) in enumerate(BARS.items()):
            middle = 48 * number + 24
            # Away from the edges, where chroma runs from one bar into the next.
            parts = [
                luma[16:-16, middle - 8 : middle + 8],
                *chroma[:, 8:-8, middle // 2 - 4 : middle // 2 + 4],
            ]
            found = [float(part.mean()) for part in parts]
            assert np.abs(np.array(found) - wanted).max() <= 3, (name, found)


def test_tags(bars: Path) -> None:
    """Code points of ITU-T H.273: 1 is BT.709 for primaries, transfer and matrix alike."""
    assert readback.contents(bars).colour == (1, 1, 1, 1)
    # The container says so too (ISO/IEC 14496-12, colr box, nclx), range flag clear: limited.
    assert b"colrnclx\x00\x01\x00\x01\x00\x01\x00" in bars.read_bytes()


def test_tags_in_the_stream_itself(bars: Path) -> None:
    """The VUI of the sequence parameter set, without the container's word."""
    with av.open(str(bars)) as container:
        packet = next(container.demux(video=0))
        decoder = av.CodecContext.create("h264", "r")
        decoder.extradata = container.streams.video[0].codec_context.extradata
        data = bytes(packet)
    frame = next(iter([*decoder.decode(av.Packet(data)), *decoder.decode(None)]))
    tags = (frame.color_primaries, frame.color_trc, frame.colorspace, frame.color_range)
    assert tuple(map(int, tags)) == (1, 1, 1, 1)
