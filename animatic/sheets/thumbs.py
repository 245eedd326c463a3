"""Small pictures for paper and pages: a panel as the film frames it, without its lettering.

Sheets do not import the picture stage, so a thumbnail is made here by Pillow alone, with the
film's own framing arithmetic. At this size an averaged JPEG draft does.
"""

from __future__ import annotations

import warnings
from io import BytesIO

from PIL import Image, ImageCms, ImageOps

from animatic.errors import MachineError, MediaError
from animatic.timeline.framing import framing_at
from animatic.timeline.model import Panel

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
    photo = _upright(panel, size[0])
    left, top, right, bottom = framing.target
    across, down = photo.width / panel.photo_size[0], photo.height / panel.photo_size[1]
    x0, y0, x1, y1 = framing.source
    box = (x0 * across, y0 * down, min(x1 * across, photo.width), min(y1 * down, photo.height))
    part = photo.resize((right - left, bottom - top), Image.Resampling.LANCZOS, box, 2.0)
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


def _upright(panel: Panel, width: int) -> Image.Image:
    """Return the photo upright, in sRGB, with enough pixels for its tightest framing."""
    try:
        # Odd tags and very large photos are no concern of a small picture: the board's reader
        # has looked at the file.
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(panel.photo) as image:
                image.draft(None, _enough(panel, width, image.size))
                return ImageOps.exif_transpose(_srgb(image))
    except FileNotFoundError:
        raise MediaError(f"{panel.photo}: there is no such photo; check the name") from None
    except MemoryError:
        raise MachineError(f"{panel.photo}: not enough memory for this photo") from None
    except Exception as fault:  # A damaged file may raise anything in a decoder.
        raise MediaError(
            f"{panel.photo}: the photo cannot be read ({fault}); copy it from the camera again"
        ) from fault


def _enough(panel: Panel, width: int, stored: tuple[int, int]) -> tuple[int, int]:
    boxes = [panel.crop] if panel.move is None else [panel.crop, panel.move.to]
    tightest = min(min(box.width, box.height) for box in boxes)
    # Of both sides the longer one at least, whichever way the photo was stored.
    needed = int(2 * width / max(tightest, 0.02))
    return min(needed, stored[0]), min(needed, stored[1])


def _srgb(image: Image.Image) -> Image.Image:
    """Return the picture in sRGB on black; its EXIF stays with it."""
    profile = image.info.get("icc_profile")
    exif = image.getexif()
    if image.mode.startswith("I;16") or image.mode == "I":
        # Pillow clips 16 bits instead of scaling them.
        image = image.convert("I").point(lambda value: value * (1 / 257)).convert("L")
    if image.has_transparency_data:
        layered = image.convert("RGBA")
        flat = Image.new("RGB", image.size)
        flat.paste(layered, mask=layered.getchannel("A"))
        image = flat
    elif image.mode not in ("L", "RGB", "CMYK"):
        image = image.convert("RGB")
    if profile and image.mode == "RGB":
        try:
            source = ImageCms.ImageCmsProfile(BytesIO(profile))
            made = ImageCms.profileToProfile(image, source, ImageCms.createProfile("sRGB"))
            image = made or image
        except (ImageCms.PyCMSError, OSError):
            pass  # A profile that cannot be read: the numbers are taken as sRGB, as in the film.
    flat = image.convert("RGB")
    flat.info["exif"] = exif.tobytes() if exif else b""
    return flat
