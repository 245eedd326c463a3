"""Looking at photos one by one: when they were taken, how alike, how sharp, how exposed."""

from __future__ import annotations

import os
import warnings
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from animatic.errors import MediaError
from animatic.photofile import (
    KINDS,
    damage,
    is_sideways,
    photo_formats,
    refuse_damage,
    refuse_kind,
)
from animatic.times import capture_time
from animatic.upright import upright

if TYPE_CHECKING:
    from PIL import Image

__all__ = [
    "LEAST_CONTRAST",
    "NO_HEIC",
    "SUFFIXES",
    "Look",
    "distance",
    "find_photos",
    "look_at_photo",
    "look_at_photos",
]

SUFFIXES = frozenset((".jpg", ".jpeg", ".png", ".tif", ".tiff", ".webp", ".heic", ".heif"))
NO_HEIC = "HEIC photos need the extra heic; install animatic with it, or export the photo as JPEG"
_HEIC_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")
"""What files of ISO/IEC 23008-12 (HEIF) state behind `ftyp`."""
_WIDTH = 512
"""Photos are judged at this width or less, so that a figure means the same for every camera."""
_PART = 32
"""Sharpness is measured in squares so many pixels wide."""
_FAINT = 40
"""Power, in levels of 255 squared, of detail too faint to tell whether it is in focus, in a photo
of full contrast; in a dark one the same detail is fainter."""
_FULL_CONTRAST = 150
LEAST_CONTRAST = 40
"""With less contrast the sharpness cannot be told: rounding and noise pass for detail."""


@dataclass(frozen=True, slots=True)
class Look:
    """What one photo shows of itself.

    `likeness` has 64 bits: photos that look alike differ in few. `sharpness` is that of the
    sharpest parts, about 0.1 (out of focus) to 0.8 (crisp). `dark` and `burnt` are the parts
    (0 to 1) of the photo without any drawing. `contrast` is what lies between its darkest and
    its brightest hundredth, of 255.
    """

    path: Path
    taken: datetime | None
    likeness: int
    sharpness: float
    dark: float
    burnt: float
    small: bytes = b""
    """32x32 means of the brightness, 0 to 255, by rows; empty where it is not known."""
    contrast: float = 255.0


def find_photos(folder: Path) -> list[Path]:
    """Return the files of a folder that are photos by their names; hidden ones are not."""
    return [
        path
        for path in folder.iterdir()
        if path.suffix.lower() in SUFFIXES and not path.name.startswith(".") and path.is_file()
    ]


def look_at_photos(
    paths: Iterable[Path], tell: Callable[[int], None] = lambda done: None
) -> tuple[list[Look], dict[Path, str]]:
    """Return the looks of all photos, and in words what is wrong with the others.

    `tell` is told how many are done. Photos are read, never written.
    """
    looks: list[Look] = []
    faults: dict[Path, str] = {}

    def tried(path: Path) -> Look | MediaError:
        try:
            return look_at_photo(path)
        except MediaError as fault:
            return fault

    ordered = list(paths)
    # Filters of warnings are the whole process's: they are set once, around all threads.
    with warnings.catch_warnings(), ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        warnings.simplefilter("ignore")
        for number, (path, found) in enumerate(
            zip(ordered, pool.map(tried, ordered), strict=True), 1
        ):
            if isinstance(found, Look):
                looks.append(found)
            else:
                faults[path] = str(found)
            tell(number)
    return looks, faults


def look_at_photo(path: Path) -> Look:
    """Return the look of one photo; MediaError says why it cannot be used.

    What is refused is what the board's reader refuses.
    """
    from PIL import Image, UnidentifiedImageError

    formats = photo_formats()
    try:
        with path.open("rb") as file:
            head = file.read(32)
            if not head:
                raise MediaError("the file is empty")
            file.seek(0)
            with Image.open(file, formats=formats) as image:
                refuse_kind(image)
                is_sideways(image)  # Loads a PNG: its Exif data may stand behind the picture.
                taken = _taken(image)
                image.draft("L", (_WIDTH, _WIDTH))
                grey = _grey(image)
                refuse_damage(image, path)
    except (MediaError, MemoryError):
        raise
    except UnidentifiedImageError:
        if head[4:8] == b"ftyp" and head[8:12] in _HEIC_BRANDS and "HEIF" not in formats:
            raise MediaError(NO_HEIC) from None
        raise MediaError(f"this is no photo that can be read ({KINDS})") from None
    except Image.DecompressionBombError:
        raise MediaError("the photo has too many pixels") from None
    except Exception:  # A damaged file may raise anything in a decoder.
        raise MediaError(damage(path)) from None
    light = np.asarray(grey, dtype=np.float32)
    small, contrast = _means(light), _contrast(light)
    return Look(
        path,
        taken,
        _likeness(small),
        _sharpness(light, contrast),
        float(np.mean(light < 12)),
        float(np.mean(light > 250)),
        small.round().astype(np.uint8).tobytes(),
        contrast,
    )


def _taken(image: Image.Image) -> datetime | None:
    try:
        exif = image.getexif()
        return capture_time({**exif, **exif.get_ifd(0x8769)})
    except Exception:  # Damaged Exif may raise anything, and the picture may still be whole.
        return None


def _grey(image: Image.Image) -> Image.Image:
    """Return the photo upright, in 8-bit grey at the width at which photos are judged."""
    from PIL import Image

    grey = upright(image).convert("L")
    width = min(_WIDTH, grey.width)
    height = max(1, grey.height * width // grey.width)
    return grey.resize((width, height), Image.Resampling.BOX)


def _means(light: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the mean brightness of the photo's 32 x 32 parts."""
    rows = np.linspace(0, light.shape[0], 33).astype(int)
    columns = np.linspace(0, light.shape[1], 33).astype(int)
    sums = np.add.reduceat(np.add.reduceat(light, rows[:-1], 0), columns[:-1], 1)
    sizes = np.outer(np.diff(rows), np.diff(columns))
    return np.asarray(sums / np.maximum(sizes, 1), np.float32)


def _likeness(small: NDArray[np.float32]) -> int:
    """Return a perceptual hash: the signs of the low frequencies of the photo's cosine transform.

    The mean is left out, so that exposure does not matter.
    """
    from scipy.fft import dctn

    low = dctn(small, norm="ortho")[:8, :8].ravel()
    bits = low > np.median(low[1:])
    bits[0] = False
    return int("".join("1" if bit else "0" for bit in bits), 2)


def distance(a: int, b: int) -> int:
    """Return in how many of 64 bits two likenesses differ.

    >>> distance(0b1011, 0b0001)
    2
    """
    return (a ^ b).bit_count()


def _contrast(light: NDArray[np.float32]) -> float:
    dark, bright = np.percentile(light, (1, 99))
    return float(bright - dark)


def _sharpness(light: NDArray[np.float32], contrast: float) -> float:
    """Return the power of the finest detail over that of detail twice as large, where it is most.

    An edge in focus has much of both, one out of focus loses the finest first, and what the
    photo shows does not matter. It is measured over small parts, and the sharpest count: a
    close-up is in focus in a few places only. The least of all parts is taken for noise.
    """
    fine = _power(_edges(light), _PART)
    coarse = _power(_edges(_halved(light)), _PART // 2)
    rows, columns = min(fine.shape[0], coarse.shape[0]), min(fine.shape[1], coarse.shape[1])
    if not rows or not columns:
        return 1.0  # Too small to be judged.
    fine, coarse = fine[:rows, :columns], coarse[:rows, :columns]
    # Noise is the same at every size, and halving averages four of its pixels.
    noise = np.percentile(fine, 5)
    fine, coarse = np.maximum(fine - noise, 0), np.maximum(coarse - noise / 4, 0)
    part = min(max(contrast, LEAST_CONTRAST) / _FULL_CONTRAST, 1)
    return float(np.percentile(fine / (coarse + _FAINT * part**2), 95))


def _edges(light: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the Laplacian of the brightness."""
    across = light[1:-1, :-2] + light[1:-1, 2:]
    return light[:-2, 1:-1] + light[2:, 1:-1] + across - 4 * light[1:-1, 1:-1]


def _halved(light: NDArray[np.float32]) -> NDArray[np.float32]:
    rows, columns = light.shape[0] // 2, light.shape[1] // 2
    fours = light[: 2 * rows, : 2 * columns].reshape(rows, 2, columns, 2)
    return np.asarray(fours.mean(axis=(1, 3)), np.float32)


def _power(values: NDArray[np.float32], part: int) -> NDArray[np.float32]:
    """Return the mean square of each square part, `part` pixels wide."""
    rows, columns = values.shape[0] // part, values.shape[1] // part
    parts = values[: rows * part, : columns * part].reshape(rows, part, columns, part)
    return np.asarray((parts**2).mean(axis=(1, 3)), np.float32)
