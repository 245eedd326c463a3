"""Sample photographs of scikit-image and scikit-learn as a camera might have taken them.

The curve of sRGB is colour-science's (IEC 61966-2-1), the frames are cut by Pillow, and a corner
of a set is laid out by OpenCV, with photographs as wallpaper.
"""

from __future__ import annotations

import warnings
from functools import cache
from pathlib import Path

import cv2
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


def corner(degrees: float, distance: float = 4.0) -> np.ndarray:
    """A set of two walls and a floor, papered with photographs, from so far aside."""
    turn = np.radians(degrees)
    at = np.array([distance * np.sin(turn), -1.2, -distance * np.cos(turn)])
    forward = -at / np.linalg.norm(at)
    right = np.cross([0.0, 1.0, 0.0], forward)
    right /= np.linalg.norm(right)
    axes = np.stack([right, np.cross(forward, right), forward])
    lens = np.array([[800.0, 0, 450], [0, 800, 300], [0, 0, 1]])
    # Walls that meet at the back, and the floor: a corner, and where its sides lead.
    walls = [
        ("astronaut", (-2.0, -1.4, 0.4), (2.0, 0, 1.0), (0, 2.2, 0)),
        ("coffee", (0.0, -1.4, 1.4), (2.0, 0, -1.0), (0, 2.2, 0)),
        ("chelsea", (-2.2, 0.8, 1.4), (4.4, 0, 0), (0, 0, -2.6)),
    ]
    seen = np.full((600, 900, 3), 90, np.uint8)
    for name, origin, across, down in walls:
        paper = photograph(name)
        high, wide = paper.shape[:2]
        sides = np.stack([np.array(across) / wide, np.array(down) / high, origin], axis=1)
        sides[:, 2] -= at
        size = seen.shape[1::-1]
        laid = cv2.warpPerspective(paper, lens @ axes @ sides, size, flags=cv2.INTER_AREA)
        ones = np.full((high, wide), 255, np.uint8)
        covered = cv2.warpPerspective(ones, lens @ axes @ sides, size)
        seen[covered > 250] = laid[covered > 250]
    return seen


def save(picture: np.ndarray, path: Path, exif: Image.Exif | None = None) -> None:
    """Write a picture in the kind that the name says."""
    Image.fromarray(picture).save(path, quality=92, **({"exif": exif} if exif is not None else {}))


def exif_of(
    time: float, aperture: float = 8.0, sensitivity: int = 100, white: int | None = 1
) -> Image.Exif:
    """What a camera writes down: Exif 2.3 (JEITA CP-3451C), tags 0x829A, 0x829D, 0x8827, 0xA403.

    The white balance is 0 for the camera's automatics, 1 where it was set by hand.
    """
    exif = Image.Exif()
    inner = exif.get_ifd(0x8769)
    inner[0x829A], inner[0x829D], inner[0x8827] = time, aperture, sensitivity
    if white is not None:
        inner[0xA403] = white
    return exif
