"""Reading photos: whatever a camera or a program wrote becomes upright 8-bit sRGB.

Pillow's lazy pictures are not safe to share between threads, so a photo is decoded here,
whole, or it is an error.
"""

from __future__ import annotations

import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import BinaryIO

import numpy as np
from PIL import ExifTags, Image, UnidentifiedImageError
from PIL.JpegImagePlugin import JpegImageFile

from animatic.errors import MachineError, MediaError
from animatic.photofile import KINDS, LARGEST, damage, photo_formats
from animatic.profile import to_srgb
from animatic.timeline.model import Box

__all__ = ["Photo", "load_photo", "open_photo"]

_TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
"""EXIF orientation (tag 0x0112, JEITA CP-3451): what makes the stored picture upright."""
_SIDEWAYS = (5, 6, 7, 8)


@dataclass(frozen=True, slots=True)
class Photo:
    """A decoded, upright photo, in its own colours.

    `image` is 8-bit L, RGB or CMYK without alpha. It is `reduction` (1, 2, 4 or 8) times
    smaller than the file's picture, whose upright width and height `size` gives.
    """

    image: Image.Image
    size: tuple[int, int]
    reduction: int
    profile: bytes | None

    def srgb(self, image: Image.Image | None = None) -> Image.Image:
        """Return the photo, or a picture made from it, as sRGB."""
        return to_srgb(self.image if image is None else image, self.profile)


def load_photo(
    path: Path, least: tuple[int, int] | None = None, box: Box | None = None
) -> Image.Image:
    """Return a photo as an upright RGB picture in sRGB, 8 bits a channel, fully decoded.

    With `least` (width, height) a JPEG may come back smaller by 2, 4 or 8, which halves the
    time: its part `box` then still has at least that many pixels, if the file has them.
    Transparent parts lie on black, the colour of the bars beside a photo that does not fill
    the picture, so that cut-outs go over without a seam and hidden colour stays hidden. Of a
    file with several pictures the first is taken. MediaError names a file that is missing,
    damaged or of another kind; MachineError says that memory ran out. Safe in threads.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = Path(folder, "quay.png")
    ...     Image.new("L", (640, 480), 120).save(path)
    ...     photo = load_photo(path)
    >>> photo.mode, photo.size, photo.getpixel((0, 0))
    ('RGB', (640, 480), (120, 120, 120))
    """
    return open_photo(path, least, box).srgb()


def open_photo(path: Path, least: tuple[int, int] | None = None, box: Box | None = None) -> Photo:
    """Return a photo decoded and upright but in its own colours; see `load_photo`.

    Scaling before the change of colours saves most of that work.
    """
    try:
        with path.open("rb") as file:
            return _read(path, file, least, box or Box())
    except (MediaError, MachineError):
        raise
    except FileNotFoundError:
        raise MediaError(f"{path}: there is no such photo; check the name") from None
    except MemoryError:
        raise MachineError(f"{path}: not enough memory for this photo; make it smaller") from None
    except Exception as error:  # A damaged file may raise anything in a decoder.
        raise MediaError(
            f"{path}: {damage(path)}; copy it from the camera again, or export it anew"
        ) from error


def _read(path: Path, file: BinaryIO, least: tuple[int, int] | None, box: Box) -> Photo:
    image = _opened(path, file)
    reduction = 1
    # Others tell their orientation after loading only, and cannot be decoded smaller.
    if least is not None and isinstance(image, JpegImageFile):
        reduction = _reduction(image, least, box)
    size = image.size
    if reduction > 1:
        image.draft(image.mode, (size[0] // reduction, size[1] // reduction))
    image.load()
    if reduction == 1:
        size = image.size  # A TIFF turns itself while it loads.
    turn = _orientation(image)
    profile = image.info.get("icc_profile")
    plain = _plain(path, image)
    if turn in _TURNS:
        plain = plain.transpose(_TURNS[turn])
    plain.info = {}  # What it says of turns and profiles no longer holds.
    if turn in _SIDEWAYS:
        size = size[1], size[0]
    return Photo(plain, size, reduction, profile if isinstance(profile, bytes) else None)


def _opened(path: Path, file: BinaryIO) -> Image.Image:
    """Return the picture with its head read; MediaError where it is none that is read."""
    head = file.read(32)
    file.seek(0)
    if not head:
        raise MediaError(f"{path}: the file is empty; copy it from the camera again")
    if head[4:8] == b"ftyp" and head[8:12] in _HEIF_BRANDS:
        _need_heif(path)
    with _QUIET:
        formats = photo_formats()
    try:
        with _quiet():
            image = Image.open(file, formats=formats)
    except UnidentifiedImageError:
        raise MediaError(f"{path}: this is no photo that can be read; allowed: {KINDS}") from None
    except Image.DecompressionBombError:
        raise MediaError(f"{path}: {_TOO_LARGE}") from None
    if image.width * image.height > LARGEST:
        raise MediaError(f"{path}: {_TOO_LARGE}")
    return image


_TOO_LARGE = f"the photo has more than {LARGEST // 10**6} million pixels; make it smaller"
_HEIF_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"mif1", b"msf1", b"hevc")


def _need_heif(path: Path) -> None:
    """Raise MediaError where the part that reads HEIC, installed on request, is not there."""
    if find_spec("pi_heif") is None:
        raise MediaError(
            f"{path}: HEIC photos need one more part; install animatic with its extra 'heic',"
            " or export the photo as JPEG"
        )


_QUIET = threading.Lock()


@contextmanager
def _quiet() -> Iterator[None]:
    """Read a file's head without warnings, and with our own limit of pixels.

    Both are settings of the whole process, so one thread at a time may have them changed.
    """
    with _QUIET, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        limit = Image.MAX_IMAGE_PIXELS
        Image.MAX_IMAGE_PIXELS = LARGEST
        try:
            yield
        finally:
            Image.MAX_IMAGE_PIXELS = limit


def _orientation(image: Image.Image) -> int:
    """Return the EXIF orientation; 1 where there is none, or none that can be read."""
    with _quiet():
        try:
            value = image.getexif().get(ExifTags.Base.Orientation, 1)
        except Exception:  # Damaged EXIF may raise anything, and the picture may still be whole.
            return 1
    return value if isinstance(value, int) else 1


def _reduction(image: JpegImageFile, least: tuple[int, int], box: Box) -> int:
    """Return the largest of 8, 4, 2, 1 that leaves `box` of the upright photo `least` pixels."""
    width, height = image.size
    if _orientation(image) in _SIDEWAYS:
        width, height = height, width
    spare = min(width * box.width / least[0], height * box.height / least[1])
    return next((r for r in (8, 4, 2) if r <= spare + 1e-6), 1)


def _plain(path: Path, image: Image.Image) -> Image.Image:
    """Return a loaded picture as 8-bit L, RGB or CMYK without alpha."""
    mode = image.mode
    if mode.startswith("I;16") or (mode == "I" and image.format in ("PNG", "PPM")):
        # 65535 / 255 = 257; Pillow's own conversion clips instead of scaling.
        wide = np.asarray(image).astype(np.uint32)
        return Image.fromarray(((wide + 128) // 257).astype(np.uint8))
    if mode in ("I", "F", "LAB", "HSV"):
        raise MediaError(
            f"{path}: its pixels are stored in a way that is not read ({mode});"
            " save the photo as JPEG, or as PNG or TIFF with 8 or 16 bits a channel"
        )
    if image.has_transparency_data:
        # Before any scaling: hidden colour would bleed into the edges.
        grey = mode in ("1", "L", "LA", "La")
        layered = image.convert("LA" if grey else "RGBA")
        flat = Image.new("L" if grey else "RGB", image.size)
        flat.paste(layered.convert(flat.mode), mask=layered.getchannel("A"))
        return flat
    if mode in ("L", "RGB", "CMYK"):
        return image
    return image.convert("L" if mode == "1" else "RGB")
