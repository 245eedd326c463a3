"""Sound files and timelines put together by hand, with no board behind them."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
import soundfile
from numpy.typing import NDArray

from animatic.frames import Rate
from animatic.timeline.model import Cue, Mix, Panel, Shot, Timeline

Samples = NDArray[np.float32]
ENCODERS = {
    ".mp3": "libmp3lame",
    ".aac": "aac",
    ".m4a": "aac",
    ".mov": "aac",
    ".mkv": "aac",
    ".opus": "libopus",
}


def film(frames: int, *cues: Cue, rate: str = "24", **mix: Any) -> Timeline:
    """Return a film of one shot with these cues."""
    panel = Panel(0, 1, "10", 0, frames, 2, Path("a.jpg"), (640, 360))
    shot = Shot(0, "10", "quay-day", (panel,), handles=8)
    return Timeline("Low Water", Rate.named(rate), (640, 360), (shot,), cues, mix=Mix(**mix))


def effect(file: Path, start: int, end: int, **more: Any) -> Cue:
    return Cue("effects", file, start, end, "10", **more)


def music(file: Path, start: int, end: int, **more: Any) -> Cue:
    return Cue("music", file, start, end, "10", **more)


def line(file: Path, start: int, end: int, **more: Any) -> Cue:
    return Cue("dialogue", file, start, end, "10", **more)


def clicks(length: int, at: Iterable[int], height: float = 0.5) -> Samples:
    """Return silence, mono, with single samples of `height`."""
    sound = np.zeros(length, np.float32)
    sound[list(at)] = height
    return sound


def sine(
    seconds: float, hertz: float, level: float = 0.0, rate: int = 48_000, phase: float = 0.0
) -> Samples:
    """Return a sine, mono; `level` in dB of full scale, `phase` in degrees."""
    time = np.arange(round(seconds * rate)) / rate
    wave = np.sin(2 * np.pi * hertz * time + np.radians(phase))
    return (10 ** (level / 20) * wave).astype(np.float32)


def write(path: Path, sound: NDArray[Any], rate: int = 48_000, subtype: str | None = None) -> Path:
    """Write a sound file by libsndfile; a wav is float unless a subtype says otherwise."""
    if path.suffix == ".wav" and subtype is None:
        subtype = "FLOAT"
    soundfile.write(path, sound, rate, subtype)
    return path


def encode(path: Path, sound: NDArray[Any], rate: int = 48_000) -> Path:
    """Write a mono sound by one of FFmpeg's encoders, chosen by the file's ending."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream(ENCODERS[path.suffix], rate=rate, layout="mono")
        plane = np.ascontiguousarray(sound[np.newaxis].astype(np.float32))
        frame = av.AudioFrame.from_ndarray(plane, format="fltp", layout="mono")
        frame.sample_rate, frame.pts, frame.time_base = rate, 0, Fraction(1, rate)
        for packet in (*stream.encode(frame), *stream.encode(None)):
            container.mux(packet)
    return path


def db(ratio: float) -> float:
    return float(20 * np.log10(ratio))


def rms(block: NDArray[Any]) -> float:
    return float(np.sqrt(np.mean(np.square(block, dtype=np.float64))))
