"""Small pictures for paper and pages: a panel as the film frames it, without its lettering.

Sheets do not import the picture stage, so a thumbnail is made here by Pillow alone, with the
film's own framing arithmetic. At this size an averaged JPEG draft does, and colours are changed
in the small picture. Warnings of odd tags are silenced where the threads are begun.
"""

from __future__ import annotations

from io import BytesIO
from math import ceil

from PIL import Image, ImageOps

from animatic.errors import MachineError, MediaError
from animatic.photofile import photo_formats
from animatic.profile import to_srgb
from animatic.srgb import raised
from animatic.timeline.framing import framing_at, scale
from animatic.timeline.model import Panel
from animatic.upright import upright

__all__ = ["jpeg", "thumbnail"]


def thumbnail(panel: Panel, canvas: tuple[int, int], width: int, frame: int = 0) -> Image.Image:
    """Return a panel at one of its frames as RGB, `width` pixels wide, of the canvas's shape.

    `canvas` is the film's width and height in pixels, `frame` counts from the panel's start.
    MediaError names a photo that cannot be read.

    >>> import tempfile
    >>> from pathlib import Path
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     photo = Path(folder, "quay.png")
    ...     Image.new("RGB", (640, 480), (90, 120, 60)).save(photo)
    ...     panel = Panel(0, 1, "10", 0, 24, 2, photo, (640, 480))
    ...     small = thumbnail(panel, (1920, 1080), 96)
    >>> small.size, small.getpixel((48, 27))
    ((96, 54), (90, 120, 60))
    """
    size = (width, max(1, width * canvas[1] // canvas[0]))
    framing = framing_at(panel, size, frame)
    photo, profile = _upright(panel, size)
    left, top, right, bottom = framing.target
    across, down = photo.width / panel.photo_size[0], photo.height / panel.photo_size[1]
    x0, y0, x1, y1 = framing.source
    box = (x0 * across, y0 * down, min(x1 * across, photo.width), min(y1 * down, photo.height))
    part = photo.resize((right - left, bottom - top), Image.Resampling.LANCZOS, box, 2.0)
    part = to_srgb(part, profile)
    if any(panel.gains):
        part = part.point(raised(panel.gains))
    if panel.mirror:
        part, left = ImageOps.mirror(part), size[0] - right
    if part.size == size:
        return part
    whole = Image.new("RGB", size)
    whole.paste(part, (left, top))
    return whole


def jpeg(image: Image.Image, quality: int = 82) -> bytes:
    """Return a picture as the bytes of a JPEG file."""
    buffer = BytesIO()
    image.save(buffer, "JPEG", quality=quality, optimize=True)
    return buffer.getvalue()


def _upright(panel: Panel, size: tuple[int, int]) -> tuple[Image.Image, bytes | None]:
    """Return the photo upright, with enough pixels for its tightest framing, and its profile."""
    try:
        with Image.open(panel.photo, formats=photo_formats()) as image:
            needed = min(1.0, scale(panel, size))
            image.draft(None, (ceil(image.width * needed), ceil(image.height * needed)))
            profile = image.info.get("icc_profile")
            return upright(image), profile if isinstance(profile, bytes) else None
    except FileNotFoundError:
        raise MediaError(f"{panel.photo}: there is no such photo; check the name") from None
    except MemoryError:
        raise MachineError(f"{panel.photo}: not enough memory for this photo") from None
    except Exception as fault:  # A damaged file may raise anything in a decoder.
        raise MediaError(
            f"{panel.photo}: the photo cannot be read ({fault}); copy it from the camera again"
        ) from fault
