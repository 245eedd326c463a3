"""How light the photos are that are to be evened, place by place, kept as other facts are.

A photo is laid out in 16 x 12 places. The light of a place is the mean of the middle third of
its pixels, channel by channel, in linear light: unlike a plain mean it follows an exposure
exactly, even where some of the place is burnt out or black.
"""

from __future__ import annotations

import os
import warnings
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from math import log2
from pathlib import Path
from typing import TYPE_CHECKING

from animatic.board.keys.schema import BoardContent
from animatic.board.media import Memory
from animatic.errors import AnimaticError, MediaError
from animatic.photofile import damage, photo_formats
from animatic.srgb import as_light
from animatic.upright import upright

if TYPE_CHECKING:
    from PIL import Image

__all__ = ["BLACK", "BURNT", "COLUMNS", "ROWS", "Light", "evened_photos", "look_at_lights"]

COLUMNS, ROWS = 48, 36
BURNT, BLACK = 1, -2000
"""In the place of a light that cannot be told, since it reached the end of the scale."""
_HIGHEST, _LOWEST = 250, 6
"""Codes (sRGB, of 255) beyond which a place is burnt out, or lost in the dark."""
_UNKNOWN = 1_000_000
_NUMBERS = COLUMNS * ROWS * 3 + 1
_WIDTH = 480
"""Photos are measured at about this width."""


@dataclass(frozen=True, slots=True)
class Light:
    """The light of a photo, in hundredths of a stop below white: of each place, row by row,
    red, green and blue; BURNT or BLACK where it cannot be told.

    `exposure` is what the camera wrote down of time, aperture and sensitivity, as hundredths
    of a stop (higher is brighter); None where it did not.
    """

    places: tuple[int, ...]
    exposure: int | None = None


def evened_photos(content: BoardContent) -> dict[str, list[str]]:
    """Return the photos of every setup that is to be evened, as the board names them, once each.

    A setup says so itself, or the picture for all. The first setup that a panel of a shot
    names is the whole shot's; shots without a setup stay as they are.
    """
    shots: list[tuple[str | None, list[str]]] = []
    current: str | None = None
    for number, panel in enumerate(content.panels):
        if number == 0 or (panel.shot is not None and panel.shot != current):
            current = panel.shot
            shots.append((None, []))
        setup, photos = shots[-1]
        shots[-1] = setup or panel.setup, [*photos, str(panel.photo)]
    found: dict[str, list[str]] = {}
    for setup, photos in shots:
        entry = content.setups.get(setup or "")
        if setup and ((entry and entry.level) or content.picture.level) == "even":
            known = found.setdefault(setup, [])
            known += [photo for photo in dict.fromkeys(photos) if photo not in known]
    return found


def look_at_lights(photos: Iterable[Path]) -> dict[Path, Light]:
    """Return the light of all photos that can be read, by threads; others are left out."""
    memory, wanted = Memory("light.json"), list(dict.fromkeys(photos))

    def recalled(path: Path) -> list[int] | str:
        return memory.recall("light", path, _NUMBERS, _measured)

    if not wanted:
        return {}
    # Filters of warnings are the whole process's: they are set once, around all threads.
    with warnings.catch_warnings(), ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        warnings.simplefilter("ignore")
        found = dict(zip(wanted, pool.map(recalled, wanted), strict=True))
    memory.keep()
    return {
        path: _light(numbers) for path, numbers in found.items() if not isinstance(numbers, str)
    }


def _light(numbers: list[int]) -> Light:
    exposure = numbers[-1]
    return Light(tuple(numbers[:-1]), None if exposure == _UNKNOWN else exposure)


def _measured(path: Path) -> list[int]:
    """Return the numbers of a photo's light; MediaError where it cannot be read."""
    from PIL import Image

    from animatic.profile import to_srgb

    try:
        with Image.open(path, formats=photo_formats()) as image:
            exposure = _exposure(image)
            image.draft("RGB", (_WIDTH, _WIDTH * ROWS // COLUMNS))
            profile = image.info.get("icc_profile")
            shown = to_srgb(_small(image), profile if isinstance(profile, bytes) else None)
    except AnimaticError:
        raise
    except Exception:  # A damaged file may raise anything in a decoder.
        raise MediaError(damage(path)) from None
    return [*_places(shown), _UNKNOWN if exposure is None else exposure]


def _small(image: Image.Image) -> Image.Image:
    """Return the photo upright and plain, not much wider than it is measured at."""
    from PIL import Image as Images

    small = upright(image)
    small = small.reduce(max(1, small.width // _WIDTH))
    if small.width < COLUMNS * 3 or small.height < ROWS * 3:
        return small.resize((COLUMNS * 8, ROWS * 8), Images.Resampling.NEAREST)
    return small


def _places(image: Image.Image) -> list[int]:
    import numpy as np

    high, wide = image.height // ROWS, image.width // COLUMNS
    codes = np.asarray(image)[: high * ROWS, : wide * COLUMNS]
    cells = codes.reshape(ROWS, high, COLUMNS, wide, 3).transpose(0, 2, 4, 1, 3)
    flat = cells.reshape(ROWS * COLUMNS * 3, high * wide)
    third = max(1, flat.shape[1] // 3)
    first = (flat.shape[1] - third) // 2
    middle = np.partition(flat, (first, first + third - 1), axis=1)[:, first : first + third]
    light = np.array([as_light(code) for code in range(256)])[middle].mean(axis=1)
    stops = np.rint(100 * np.log2(np.maximum(light, 1e-6)))
    stops[middle.max(axis=1) > _HIGHEST] = BURNT
    stops[middle.min(axis=1) < _LOWEST] = BLACK
    return [int(value) for value in stops]


def _exposure(image: Image.Image) -> int | None:
    """Return the exposure in hundredths of a stop: time x sensitivity / aperture squared.

    Exif 2.3 (JEITA CP-3451C): ExposureTime 0x829A, FNumber 0x829D, PhotographicSensitivity
    0x8827.
    """
    try:
        inner = image.getexif().get_ifd(0x8769)
        time, aperture, sensitivity = (float(inner[tag]) for tag in (0x829A, 0x829D, 0x8827))
        return round(100 * log2(time * sensitivity / aperture**2))
    except Exception:  # Absent, zero, or damaged: nothing is known then.
        return None
