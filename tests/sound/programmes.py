"""Random film sound, and meters from outside the project."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import av
import numpy as np
import scipy.signal
from av.filter import Graph
from numpy.typing import NDArray

Programme = NDArray[np.float64]
RATE = 48_000


def ebur128(programme: NDArray[Any]) -> dict[str, float]:
    """Return what FFmpeg's meter reads: I, LRA, and true_peak as a factor."""
    graph = Graph()
    source = graph.add(
        "abuffer", "sample_rate=48000:sample_fmt=dblp:channel_layout=stereo:time_base=1/48000"
    )
    meter = graph.add("ebur128", "metadata=1:peak=true")
    sink = graph.add("abuffersink")
    source.link_to(meter)
    meter.link_to(sink)
    graph.configure()
    last: dict[str, str] = {}
    for first in range(0, len(programme) + RATE, RATE):
        block = programme[first : first + RATE]
        if len(block):
            plane = np.ascontiguousarray(block.T.astype(np.float64))
            frame = av.AudioFrame.from_ndarray(plane, format="dblp", layout="stereo")
            frame.sample_rate, frame.pts, frame.time_base = RATE, first, Fraction(1, RATE)
            source.push(frame)
        else:
            source.push(None)
        while True:
            try:
                last = dict(sink.pull().metadata) or last
            except (av.error.BlockingIOError, av.error.EOFError):
                break
    return {name.removeprefix("lavfi.r128."): float(value) for name, value in last.items()}


def true_peak_by_scipy(programme: NDArray[Any]) -> float:
    """Return the true peak in dBTP by scipy's own four times oversampling."""
    high = scipy.signal.resample_poly(programme, 4, 1, axis=0, window=("kaiser", 8.0))
    return float(20 * np.log10(np.abs(high).max()))


def programme(seed: int) -> Programme:
    """Return noise of changing colour, loudness and width, with pauses: 3 to 13 s."""
    random = np.random.default_rng(seed)
    parts = []
    for _ in range(int(random.integers(4, 9))):
        # Whole tenths of a second: pyloudnorm counts in an unfinished last block, BS.1770 not.
        count = int(random.integers(8, 17)) * RATE // 10
        noise = random.standard_normal((count, 2))
        colour = random.uniform(0, 0.95)
        spectrum = np.fft.rfft(noise, axis=0)
        turn = 1 - colour * np.exp(-2j * np.pi * np.linspace(0, 0.5, len(spectrum)))
        noise = np.fft.irfft(spectrum / turn[:, np.newaxis], count, axis=0)
        noise[:, 1] += random.uniform(0, 1) * noise[:, 0]
        noise *= 10 ** (random.uniform(-55, -12) / 20) / np.abs(noise).std()
        parts.append(noise * (random.random() > 0.15))
    sound = np.concatenate(parts)
    return 0.7 * sound / max(0.7, np.abs(sound).max())
