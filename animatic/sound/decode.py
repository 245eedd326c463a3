"""Sound files as 48 kHz samples, in blocks or whole.

Mono stays mono (the mix copies it to both sides: the resampler's own mono to stereo would
lose 3 dB); more than two channels are folded down to two. A file of exactly s seconds gives
exactly round-half-up(s * 48 000) samples.
"""

from __future__ import annotations

from collections.abc import Generator, Iterator
from contextlib import contextmanager
from fractions import Fraction
from math import sqrt
from pathlib import Path

import av
import numpy as np
from av.filter import Graph
from numpy.typing import NDArray

from animatic.audiofile import AudioFile, measure
from animatic.errors import MediaError
from animatic.frames import SAMPLE_RATE, ceil_div, samples_from_seconds
from animatic.mediafile import Opened

__all__ = ["Sound", "decode", "fold_down", "open_sound", "sound_length"]

Samples = NDArray[np.float32]

_SIDE = sqrt(0.5)
# ITU-R BS.775, table 2 (3/2 to 2/0): centre and surrounds at -3 dB, the low-frequency channel
# left out. 7.1, height and further speakers follow by the same rule (common practice).
_LEFT_RIGHT: dict[str, tuple[float, float]] = {
    "FL": (1.0, 0.0),
    "FR": (0.0, 1.0),
    "FC": (_SIDE, _SIDE),
    "LFE": (0.0, 0.0),
    "LFE2": (0.0, 0.0),
    "BL": (_SIDE, 0.0),
    "BR": (0.0, _SIDE),
    "SL": (_SIDE, 0.0),
    "SR": (0.0, _SIDE),
    "BC": (0.5, 0.5),
    "FLC": (1.0, 0.0),
    "FRC": (0.0, 1.0),
    "DL": (1.0, 0.0),
    "DR": (0.0, 1.0),
    "WL": (1.0, 0.0),
    "WR": (0.0, 1.0),
    "TFL": (_SIDE, 0.0),
    "TFR": (0.0, _SIDE),
    "TFC": (0.5, 0.5),
    "TBL": (0.5, 0.0),
    "TBR": (0.0, 0.5),
    "TBC": (0.5, 0.5),
    "TSL": (0.5, 0.0),
    "TSR": (0.0, 0.5),
    "TC": (0.5, 0.5),
}
# A long filter: the ripple up to 20 kHz and the images of an 8 kHz voice stay under -100 dB.
_RESAMPLE = f"{SAMPLE_RATE}:filter_size=64:cutoff=0.97"
_TAIL = 128
"""Samples of silence pushed after the last one, to get the whole of the resampler's answer."""


def fold_down(block: Samples, speakers: tuple[str, ...]) -> Samples:
    """Return at most two channels of a block (samples, channels).

    One channel stays as it is, whatever its name. Source: ITU-R BS.775, table 2.

    >>> fold_down(np.array([[0.0, 0.0, 1.0, 1.0, 0.0, 0.0]], np.float32),
    ...           ("FL", "FR", "FC", "LFE", "SL", "SR")).round(3).tolist()
    [[0.7070..., 0.7070...]]
    """
    if len(speakers) == 1 or speakers == ("FL", "FR") or speakers == ("DL", "DR"):
        return block
    matrix = np.array([_LEFT_RIGHT.get(name, (0.5, 0.5)) for name in speakers])
    folded: Samples = (block.astype(np.float64) @ matrix).astype(np.float32)
    return folded


class Sound(Opened):
    """A sound file read forwards at 48 kHz, in one or two channels.

    Memory does not grow with the file's length. Use `open_sound` and a `with` block.
    """

    def __init__(self, path: Path | str) -> None:
        self.path = Path(path)
        with _named(self.path):
            self._file = AudioFile(path)
        self.channels = min(2, len(self._file.speakers))
        self._source = self._at_mix_rate()
        self._held: Samples = np.zeros((0, self.channels), np.float32)

    def close(self) -> None:
        """Close the file."""
        self._source.close()
        self._file.close()

    def ahead(self, count: int) -> int:
        """Return how many of the next `count` samples there are, without passing over them."""
        parts, have = [self._held], len(self._held)
        while have < count and (block := next(self._source, None)) is not None:
            parts.append(block)
            have += len(block)
        self._held = parts[0] if len(parts) == 1 else np.concatenate(parts)
        return min(count, have)

    def read(self, count: int) -> Samples:
        """Return the next `count` samples (samples, channels); fewer only at the end."""
        self.ahead(count)
        block, self._held = self._held[:count], self._held[count:]
        return block

    def skip(self, count: int) -> int:
        """Pass over `count` samples; return how many there were.

        They are decoded: a seek lands on the exact sample in too few formats.
        """
        left = count
        while left and (passed := len(self.read(min(left, SAMPLE_RATE)))):
            left -= passed
        return count - left

    def _at_mix_rate(self) -> Generator[Samples, None, None]:
        folded = (fold_down(block, self._file.speakers) for block in self._file.blocks())
        with _named(self.path):
            yield from folded if self._file.rate == SAMPLE_RATE else self._resampled(folded)

    def _resampled(self, blocks: Iterator[Samples]) -> Iterator[Samples]:
        resampler = _Resampler(self._file.rate, self.channels)
        came = went = 0
        for block in blocks:
            came += len(block)
            for out in resampler.push(block):
                went += len(out)
                yield out
        wanted = samples_from_seconds(Fraction(came, self._file.rate)) - went
        silence = np.zeros((_TAIL * ceil_div(self._file.rate, SAMPLE_RATE), self.channels))
        rest = [*resampler.push(silence.astype(np.float32)), *resampler.finish()]
        tail = np.concatenate([np.zeros((0, self.channels), np.float32), *rest])[:wanted]
        if len(tail) != wanted:
            raise MediaError(f"it cannot be brought from {self._file.rate} Hz to {SAMPLE_RATE} Hz")
        yield tail


class _Resampler:
    """Blocks at one rate in, blocks at the mix's rate out; (samples, channels) float32."""

    def __init__(self, rate: int, channels: int) -> None:
        self._rate = rate
        self._layout = "mono" if channels == 1 else "stereo"
        self._pushed = 0
        self._graph = Graph()
        self._in = self._graph.add(
            "abuffer",
            f"sample_rate={rate}:sample_fmt=fltp:channel_layout={self._layout}:time_base=1/{rate}",
        )
        resample = self._graph.add("aresample", _RESAMPLE)
        planar = self._graph.add("aformat", "sample_fmts=fltp")
        self._out = self._graph.add("abuffersink")
        self._in.link_to(resample)
        resample.link_to(planar)
        planar.link_to(self._out)
        self._graph.configure()

    def push(self, block: Samples) -> Iterator[Samples]:
        frame = av.AudioFrame.from_ndarray(
            np.ascontiguousarray(block.T), format="fltp", layout=self._layout
        )
        frame.sample_rate = self._rate
        frame.pts = self._pushed
        frame.time_base = Fraction(1, self._rate)
        self._pushed += len(block)
        self._in.push(frame)
        return self._pulled()

    def finish(self) -> Iterator[Samples]:
        self._in.push(None)
        return self._pulled()

    def _pulled(self) -> Iterator[Samples]:
        while True:
            try:
                frame = self._out.pull()
            except (av.error.BlockingIOError, av.error.EOFError):
                return
            assert isinstance(frame, av.AudioFrame)
            yield frame.to_ndarray().T.astype(np.float32, copy=False)


@contextmanager
def _named(path: Path) -> Iterator[None]:
    """Put the file's name before the words that say what is wrong with it."""
    try:
        yield
    except MediaError as fault:
        raise MediaError(f"{path}: {fault}; export it again") from None


def open_sound(path: Path | str) -> Sound:
    """Open a sound file for reading forwards at 48 kHz; MediaError says what is wrong with it."""
    return Sound(path)


def decode(path: Path | str) -> Samples:
    """Return a whole sound file as float32 (samples, 1 or 2 channels) at 48 kHz.

    Full scale is 1.0. MediaError in words for a file that cannot be used.
    """
    with open_sound(path) as sound:
        blocks = [sound.read(SAMPLE_RATE)]
        while len(blocks[-1]):
            blocks.append(sound.read(SAMPLE_RATE))
        return np.concatenate(blocks)


def sound_length(path: Path | str) -> Fraction:
    """Return the exact length of a sound file in seconds."""
    with _named(Path(path)):
        return measure(path).seconds
