"""Which photo files are read, up to which size, and what is wrong with one that cannot be.

Everything that opens a photo asks here, so that what is found fit is also shown.
"""

from __future__ import annotations

import contextlib
import zlib
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from animatic.errors import MediaError
from animatic.jpegcode import is_code_damaged
from animatic.jpegscan import is_scan_damaged

if TYPE_CHECKING:
    from PIL import Image

__all__ = [
    "FORMATS",
    "KINDS",
    "LARGEST",
    "RAW",
    "admit_heic",
    "damage",
    "is_sideways",
    "photo_formats",
    "refuse_damage",
    "refuse_kind",
]

FORMATS = ("JPEG", "PNG", "TIFF", "WEBP", "BMP", "GIF", "PPM", "JPEG2000", "AVIF", "HEIF")
"""What is read; other formats run programs of their own, or hold no photo."""
KINDS = "JPEG, PNG, TIFF, WebP, or HEIC with the extra heic"
RAW = frozenset(
    (
        *(".3fr", ".arw", ".cr2", ".cr3", ".crw", ".dcr", ".dng", ".erf", ".iiq"),
        *(".kdc", ".mef", ".mos", ".mrw", ".nef", ".nrw", ".orf", ".pef", ".raf"),
        *(".raw", ".rw2", ".rwl", ".sr2", ".srf", ".srw", ".x3f"),
    )
)
"""What cameras call the files of their sensors' values."""
LARGEST = 300_000_000
"""Pixels of the largest photo that is opened: above the largest sensors, below a bomb."""
_UNREAD_MODES = ("I", "F", "LAB", "HSV")
_SIXTEEN_BIT = (("I", "PNG"), ("I", "PPM"))
"""What Pillow calls 32 bits and is 16."""
_ORIENTATION = 0x0112
_TIFF_WIDTH, _TIFF_LENGTH = 256, 257
"""ImageWidth and ImageLength (TIFF 6.0, section 8)."""
_PNG = b"\x89PNG\r\n\x1a\n"
_CHANGED = "is damaged: some of its bytes are not what the camera wrote"


@cache
def photo_formats() -> tuple[str, ...]:
    """Return the names of the formats that are read and that Pillow, as built here, knows."""
    from PIL import (
        AvifImagePlugin,  # noqa: F401
        Image,
        Jpeg2KImagePlugin,  # noqa: F401
        TiffImagePlugin,  # noqa: F401
        WebPImagePlugin,  # noqa: F401
    )

    admit_heic()
    Image.preinit()
    return tuple(name for name in FORMATS if name in Image.OPEN)


def admit_heic() -> None:
    """Teach Pillow to read HEIC where the extra for it is installed."""
    with contextlib.suppress(ImportError):
        from pi_heif import register_heif_opener

        register_heif_opener()


def refuse_kind(image: Image.Image) -> None:
    """Raise MediaError for a picture that is too large, or of pixels that are not read."""
    if image.width * image.height > LARGEST:
        found = f"the photo has {image.width}x{image.height} pixels, which is too many"
        raise MediaError(f"{found}; allowed: {LARGEST // 10**6} million")
    if image.mode in _UNREAD_MODES and (image.mode, image.format) not in _SIXTEEN_BIT:
        raise MediaError(
            f"its pixels are stored in a way that is not read ({image.mode});"
            " save it as JPEG, or as PNG or TIFF with 8 or 16 bits a channel"
        )


def is_sideways(image: Image.Image) -> bool:
    """Whether its Exif data turn the picture by a quarter, which its size does not show yet.

    A PNG is loaded by it, and raises what is wrong with it.
    """
    if image.format == "TIFF":
        tags = getattr(image, "tag_v2", {})
        # Newer Pillows open a TIFF with the size that it has upright; its tags say the stored one.
        if image.size != (tags.get(_TIFF_WIDTH), tags.get(_TIFF_LENGTH)):
            return False
    if image.format == "PNG":
        image.load()  # Its Exif data may stand behind the picture.
    try:
        return image.getexif().get(_ORIENTATION) in (5, 6, 7, 8)
    except Exception:  # Damaged EXIF may raise anything, and the picture may still be whole.
        return False


def refuse_damage(image: Image.Image, path: Path, noun: str = "photo") -> None:
    """Raise MediaError for a picture that a decoder makes something of, and that is damaged.

    Only of a JPEG this can be told cheaply: the check sums of PNG stop its decoder.
    """
    # The file's bytes are no variable here: what is raised would keep them.
    if image.format in ("JPEG", "MPO") and _is_jpeg_damaged(path.read_bytes()):
        raise MediaError(f"the {noun} {_CHANGED}")


def _is_jpeg_damaged(data: bytes) -> bool:
    return is_scan_damaged(data) or is_code_damaged(data)


def damage(path: Path, noun: str = "photo") -> str:
    """Return what is wrong with a file whose picture could not be decoded.

    A file that was cut short is told from one that was changed within by the marks that its
    format sets at its end: EOI in JPEG (ITU-T T.81, B.2), IEND and the check sums of PNG
    (W3C PNG, 5.3), the sizes that the heads of WebP (RIFF) and BMP state.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = Path(folder, "quay.jpg")
    ...     path.write_bytes(bytes.fromhex("ffd8ffe00010"))
    ...     damage(path)
    6
    'the photo is cut short: the file ends after 6 bytes, before its picture does'
    """
    try:
        data = path.read_bytes()
    except OSError as fault:
        return f"the {noun} cannot be read ({fault.strerror or type(fault).__name__})"
    is_whole = _is_whole(data)
    if is_whole is None:
        return f"the {noun} is damaged or cut short"
    if is_whole:
        return f"the {noun} {_CHANGED}"
    ends = f"the file ends after {len(data)} bytes, before its picture does"
    return f"the {noun} is cut short: {ends}"


def _is_whole(data: bytes) -> bool | None:
    """Whether a file has its end; None where its format does not say."""
    if data.startswith(b"\xff\xd8"):
        return data.rstrip(b"\0").endswith(b"\xff\xd9")
    if data.startswith(_PNG):
        return _has_end_of_png(data)
    if data.startswith(b"RIFF"):
        return len(data) >= 8 + int.from_bytes(data[4:8], "little")
    if data.startswith(b"BM"):
        return len(data) >= int.from_bytes(data[2:6], "little")
    return None


def _has_end_of_png(data: bytes) -> bool:
    at = len(_PNG)
    while at + 12 <= len(data):
        length, kind = int.from_bytes(data[at : at + 4], "big"), data[at + 4 : at + 8]
        end = at + 12 + length
        if kind == b"IEND":
            return True
        if end <= len(data) and zlib.crc32(data[at + 4 : end - 4]) != int.from_bytes(
            data[end - 4 : end], "big"
        ):
            return True  # Changed within: what follows cannot be told.
        at = end
    return False
