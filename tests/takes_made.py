"""Takes for tests: folders of numbered pictures and videos, with bars that say their number."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from PIL import Image

__all__ = ["BARS", "bars", "exif_time", "number_in", "state_of_folder", "take", "video"]

SIZE = (160, 90)
BARS = 8
"""Bits of a number, a bar each."""
START = 1_700_000_000
"""When a take begins, in seconds."""


def bars(number: int, size: tuple[int, int] = SIZE) -> Image.Image:
    """Return a picture of bright and dark bars: the bits of a number, the lowest at the left."""
    row = [200 if number >> bit & 1 else 50 for bit in range(BARS)]
    return Image.fromarray(np.array([row], np.uint8)).resize(size, Image.Resampling.NEAREST)


def number_in(luma: np.ndarray) -> int:
    """Return the number that the bars of a picture say."""
    return sum(1 << bit for bit, level in enumerate(levels(luma)) if level > 128)


def levels(luma: np.ndarray) -> list[float]:
    """Return the mean luma in the middle of every bar."""
    wide = luma.shape[1] / BARS
    spots = [(int((bit + 0.3) * wide), int((bit + 0.7) * wide)) for bit in range(BARS)]
    return [float(luma[:, a:b].mean()) for a, b in spots]


def exif_time(seconds: int) -> Image.Exif:
    """Return Exif data with DateTimeOriginal so many seconds into 2026-02-21."""
    exif = Image.Exif()
    clock = f"{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}"
    exif.get_ifd(0x8769)[0x9003] = f"2026:02:21 {clock}"
    return exif


def take(
    folder: Path,
    numbers: Iterable[int],
    *,
    pictures: Sequence[int] | None = None,
    pattern: str = "IMG_{:04}.jpg",
    size: tuple[int, int] = SIZE,
    times: Sequence[float] | None = None,
    exif: Sequence[int] | None = None,
) -> Path:
    """Write the pictures of a take under their numbers.

    `pictures` says what the bars of each show (else 0, 1, 2 ...), `times` are seconds of the
    file's change, `exif` those of the camera's clock.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for at, number in enumerate(numbers):
        path = folder / pattern.format(number)
        more = {"exif": exif_time(exif[at])} if exif is not None else {}
        bars(at if pictures is None else pictures[at], size).save(path, **more)
        # Copied files, whose times say nothing, unless the test says otherwise.
        when = START + (times[at] if times is not None else 0)
        os.utime(path, ns=(int(when * 1e9), int(when * 1e9)))
    return folder


def video(
    path: Path,
    numbers: Iterable[int],
    *,
    rate: Fraction | int = 24,
    codec: str = "libx264",
    size: tuple[int, int] = (160, 96),
) -> Path:
    """Write a video whose pictures show these numbers."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with av.open(str(path), "w") as film:
        stream = film.add_stream(codec, rate=Fraction(rate))
        stream.width, stream.height = size
        stream.pix_fmt = "yuv422p10le" if codec == "prores_ks" else "yuv420p"
        for number in numbers:
            frame = av.VideoFrame.from_image(bars(number, size).convert("RGB"))
            film.mux(stream.encode(frame))
        film.mux(stream.encode(None))
    return path


def state_of_folder(folder: Path) -> list[tuple[str, int, int, int, bytes]]:
    """Return name, size, time of change, mode and bytes of all that is in a folder."""
    found = []
    for path in sorted([folder, *folder.rglob("*")]):
        state = path.lstat()
        data = path.read_bytes() if path.is_file() else b""
        name = str(path.relative_to(folder))
        found.append((name, state.st_size, state.st_mtime_ns, state.st_mode, data))
    return found
