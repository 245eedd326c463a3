"""How light the photos are that are to be evened, place by place, kept as other facts are.

A photo is laid out in 48 x 36 places. The light of a place is the mean of the middle third of
its pixels, channel by channel, in linear light: unlike a plain mean it follows an exposure
exactly, even where some of the place is burnt out or black.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import log2
from pathlib import Path
from typing import TYPE_CHECKING

from animatic.board.keys.schema import BoardContent
from animatic.board.looking import by_threads, in_srgb, opened
from animatic.board.media import Memory
from animatic.srgb import as_light

if TYPE_CHECKING:
    from PIL import Image

__all__ = [
    "BLACK",
    "BURNT",
    "COLUMNS",
    "HIGHEST",
    "LOWEST",
    "ROWS",
    "Light",
    "evened_photos",
    "look_at_lights",
]

COLUMNS, ROWS = 48, 36
BURNT, BLACK = 1, -2000
"""In the place of a light that cannot be told, since it reached the end of the scale."""
HIGHEST, LOWEST = 250, 6
"""Codes (sRGB, of 255) beyond which a place is burnt out, or lost in the dark."""
_UNKNOWN = 1_000_000
_NUMBERS = COLUMNS * ROWS * 3 + 2
_WIDTH = 480
"""Photos are measured at about this width."""


@dataclass(frozen=True, slots=True)
class Light:
    """The light of a photo, in hundredths of a stop below white: of each place, row by row,
    red, green and blue; BURNT or BLACK where it cannot be told.

    `exposure` is what the camera wrote down of time, aperture and sensitivity, as hundredths
    of a stop (higher is brighter); None where it did not. `is_white_held` is whether it wrote
    down that its white balance was set by hand.
    """

    places: tuple[int, ...]
    exposure: int | None = None
    is_white_held: bool = False


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
    found = dict(zip(wanted, by_threads(recalled, wanted), strict=True))
    memory.keep()
    return {
        path: _light(numbers) for path, numbers in found.items() if not isinstance(numbers, str)
    }


def _light(numbers: list[int]) -> Light:
    *places, exposure, held = numbers
    return Light(tuple(places), None if exposure == _UNKNOWN else exposure, bool(held))


def _measured(path: Path) -> list[int]:
    """Return the numbers of a photo's light; MediaError where it cannot be read."""
    with opened(path, _WIDTH) as image:
        exposure, held = _exposure(image), _is_white_held(image)
        places = _places(in_srgb(image, _small))
    return [*places, _UNKNOWN if exposure is None else exposure, held]


def _small(image: Image.Image) -> Image.Image:
    """Return a plain photo not much wider than it is measured at."""
    from PIL import Image as Images

    small = image.reduce(max(1, image.width // _WIDTH))
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
    stops[middle.max(axis=1) > HIGHEST] = BURNT
    stops[middle.min(axis=1) < LOWEST] = BLACK
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


def _is_white_held(image: Image.Image) -> bool:
    """Return whether the white balance was set by hand: Exif 2.3, WhiteBalance 0xA403 is 1."""
    try:
        return bool(image.getexif().get_ifd(0x8769)[0xA403] == 1)
    except Exception:  # Absent or damaged: nothing is known then.
        return False
