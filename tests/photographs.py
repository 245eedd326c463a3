"""Sample photographs of scikit-image and scikit-learn as a camera might have taken them.

The curve of sRGB is colour-science's (IEC 61966-2-1), the frames are cut by Pillow.
"""

from __future__ import annotations

import warnings
from functools import cache
from pathlib import Path

import numpy as np
import skimage.data
from PIL import Image
from sklearn.datasets import load_sample_image

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # It says which of its parts are not installed.
    import colour

Frame = tuple[float, float, float, float]
"""Left, top, width and height of what a camera frames, as parts of a photograph."""


@cache
def photograph(name: str) -> np.ndarray:
    """One of the sample photographs; `left` and `right` are a scene from two places.

    `china` and `flower` are scikit-learn's.
    """
    if name in ("china", "flower"):
        return np.asarray(load_sample_image(f"{name}.jpg"))
    if name in ("left", "right"):
        return np.asarray(skimage.data.stereo_motorcycle()[name == "right"])
    return np.asarray(getattr(skimage.data, name)())


def exposed(picture: np.ndarray, stops: np.ndarray | tuple[float, ...] | float) -> np.ndarray:
    """The picture with its light raised by stops, a number or one for each colour."""
    light = colour.cctf_decoding(picture / 255, function="sRGB") * 2.0 ** np.asarray(stops)
    codes = colour.cctf_encoding(np.clip(light, 0, 1), function="sRGB")
    return np.rint(np.clip(codes, 0, 1) * 255).astype(np.uint8)


def framed(
    picture: np.ndarray, frame: Frame, turn: float = 0.0, keystone: float = 0.0
) -> np.ndarray:
    """A part of a picture as a camera frames it that is turned by degrees, or stands aslant."""
    height, width = picture.shape[:2]
    left, top, wide, high = frame
    middle = np.array([(left + wide / 2) * width, (top + high / 2) * height])
    corners = np.array([[-1, -1], [1, -1 - keystone], [1, 1 + keystone], [-1, 1]]) / 2
    corners = corners * [wide * width, high * height]
    sin, cos = np.sin(np.radians(turn)), np.cos(np.radians(turn))
    corners = corners @ np.array([[cos, sin], [-sin, cos]]) + middle
    corners = np.clip(corners, 0, [width - 1, height - 1])
    north_west, north_east, south_east, south_west = corners
    quad = [float(n) for n in (*north_west, *south_west, *south_east, *north_east)]
    image = Image.fromarray(picture)
    way = Image.Transform.QUAD, quad, Image.Resampling.BICUBIC
    return np.array(image.transform((720, 540), *way))


def save(picture: np.ndarray, path: Path, exif: Image.Exif | None = None) -> None:
    """Write a picture in the kind that the name says."""
    Image.fromarray(picture).save(path, quality=92, **({"exif": exif} if exif is not None else {}))


def exif_of(time: float, aperture: float = 8.0, sensitivity: int = 100) -> Image.Exif:
    """What a camera writes down: Exif 2.3 (JEITA CP-3451C), tags 0x829A, 0x829D, 0x8827."""
    exif = Image.Exif()
    inner = exif.get_ifd(0x8769)
    inner[0x829A], inner[0x829D], inner[0x8827] = time, aperture, sensitivity
    return exif
