"""A decoded photo as it is to be seen: upright, in 8 bits, without transparent parts.

Everything that looks at a photo's pixels takes them from here, so that what is judged, evened,
printed and filmed is one picture.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from animatic.photofile import refuse_kind

if TYPE_CHECKING:
    from PIL import Image

__all__ = ["SIDEWAYS", "orientation", "plain", "turned", "upright"]

SIDEWAYS = (5, 6, 7, 8)
"""The orientations that exchange width and height."""
_ORIENTATION = 0x0112


def upright(image: Image.Image) -> Image.Image:
    """Return an opened photo loaded, upright, and plain.

    MediaError for pixels that are not read; what a damaged file raises in its decoder is not
    caught. A TIFF turns itself while it loads, and says so from then on.

    >>> from PIL import Image
    >>> upright(Image.new("RGBA", (4, 3), (200, 100, 0, 0))).getpixel((0, 0))
    (0, 0, 0)
    """
    image.load()
    turn = orientation(image)
    return turned(plain(image), turn)


def orientation(image: Image.Image) -> int:
    """Return the Exif orientation, 1 to 8; 1 where there is none, or none that can be read."""
    try:
        value = image.getexif().get(_ORIENTATION, 1)
    except Exception:  # Damaged Exif may raise anything, and the picture may still be whole.
        return 1
    return value if isinstance(value, int) else 1


def turned(image: Image.Image, orientation: int) -> Image.Image:
    """Return a picture turned upright from an Exif orientation (tag 0x0112, JEITA CP-3451).

    >>> from PIL import Image
    >>> turned(Image.new("L", (4, 3)), 6).size
    (3, 4)
    """
    from PIL import Image

    way = Image.Transpose
    ways = {
        2: way.FLIP_LEFT_RIGHT,
        3: way.ROTATE_180,
        4: way.FLIP_TOP_BOTTOM,
        5: way.TRANSPOSE,
        6: way.ROTATE_270,
        7: way.TRANSVERSE,
        8: way.ROTATE_90,
    }
    return image.transpose(ways[orientation]) if orientation in ways else image


def plain(image: Image.Image) -> Image.Image:
    """Return a loaded picture as 8-bit L, RGB or CMYK, its transparent parts on black.

    MediaError for pixels that are not read.
    """
    import numpy as np
    from PIL import Image

    refuse_kind(image)
    mode = image.mode
    if mode.startswith("I"):
        # 65535 / 255 = 257; Pillow's own conversion clips instead of scaling.
        wide = np.asarray(image).astype(np.uint32)
        return Image.fromarray(((wide + 128) // 257).astype(np.uint8))
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
