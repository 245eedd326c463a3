"""Colour profiles (ICC): what a photo's numbers mean, turned into sRGB."""

from __future__ import annotations

from functools import lru_cache
from io import BytesIO

from PIL import Image, ImageCms

__all__ = ["to_srgb"]

_FLAGS = ImageCms.Flags.BLACKPOINTCOMPENSATION
_INTENT = ImageCms.Intent.RELATIVE_COLORIMETRIC


def to_srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    """Return an 8-bit L, RGB or CMYK picture as sRGB in mode RGB.

    The intent is relative colorimetric with black point compensation. Without a profile, or
    with one that cannot be read or belongs to another kind of picture, the numbers are taken
    as sRGB (CMYK as ideal inks), as viewers do.

    >>> to_srgb(Image.new("L", (1, 1), 200), None).getpixel((0, 0))
    (200, 200, 200)
    """
    transform = _transform(profile, image.mode) if profile else None
    if transform is not None:
        return transform.apply(image)
    return image if image.mode == "RGB" else image.convert("RGB")


@lru_cache(maxsize=16)
def _transform(profile: bytes, mode: str) -> ImageCms.ImageCmsTransform | None:
    """Return the way from a profile to sRGB; None where there is nothing to do."""
    try:
        made = ImageCms.buildTransform(
            ImageCms.ImageCmsProfile(BytesIO(profile)),
            ImageCms.createProfile("sRGB"),
            mode,
            "RGB",
            _INTENT,
            _FLAGS,
        )
    except (ImageCms.PyCMSError, OSError, TypeError, ValueError):
        return None
    return None if mode == "RGB" and _changes_nothing(made) else made


def _changes_nothing(transform: ImageCms.ImageCmsTransform) -> bool:
    """Whether a grid of 9 x 9 x 9 colours comes out within one code: sRGB by another name.

    Most cameras embed a copy of sRGB; leaving it out saves more time than scaling takes.
    """
    steps = [min(255, 32 * n) for n in range(9)]
    colours = bytes(v for r in steps for g in steps for b in steps for v in (r, g, b))
    before = Image.frombytes("RGB", (81, 9), colours)
    after = transform.apply(before).tobytes()
    return all(abs(a - b) <= 1 for a, b in zip(colours, after, strict=True))
