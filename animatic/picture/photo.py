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

from PIL import Image, UnidentifiedImageError
from PIL.JpegImagePlugin import JpegImageFile

from animatic.errors import MachineError, MediaError
from animatic.photofile import KINDS, LARGEST, damage, photo_formats
from animatic.profile import to_srgb
from animatic.timeline.model import Box
from animatic.upright import SIDEWAYS, orientation, plain, turned

__all__ = ["Photo", "load_photo", "open_photo"]


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
    try:
        seen = turned(plain(image), turn)
    except MediaError as fault:
        raise MediaError(f"{path}: {fault}") from None
    seen.info = {}  # What it says of turns and profiles no longer holds.
    if turn in SIDEWAYS:
        size = size[1], size[0]
    return Photo(seen, size, reduction, profile if isinstance(profile, bytes) else None)


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
    with _quiet():
        return orientation(image)


def _reduction(image: JpegImageFile, least: tuple[int, int], box: Box) -> int:
    """Return the largest of 8, 4, 2, 1 that leaves `box` of the upright photo `least` pixels."""
    width, height = image.size
    if _orientation(image) in SIDEWAYS:
        width, height = height, width
    spare = min(width * box.width / least[0], height * box.height / least[1])
    return next((r for r in (8, 4, 2) if r <= spare + 1e-6), 1)
