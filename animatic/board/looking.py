"""How the photos of a board are opened to be measured: shrunk, upright, in sRGB, by threads."""

from __future__ import annotations

import os
import warnings
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from animatic.errors import AnimaticError, MediaError
from animatic.photofile import damage, photo_formats
from animatic.upright import upright

if TYPE_CHECKING:
    from PIL import Image

__all__ = ["by_threads", "in_srgb", "opened"]

Item = TypeVar("Item")
Found = TypeVar("Found")


@contextmanager
def opened(path: Path, width: int) -> Iterator[Image.Image]:
    """Open a photo so that no more of it is decoded than it takes to be so wide.

    MediaError where it cannot be read, or where what is done with it shows that it is damaged.
    """
    from PIL import Image

    try:
        with Image.open(path, formats=photo_formats()) as image:
            image.draft("RGB", (width, width * 3 // 4))
            yield image
    except AnimaticError:
        raise
    except Exception:  # A damaged file may raise anything in a decoder.
        raise MediaError(damage(path)) from None


def in_srgb(image: Image.Image, shrink: Callable[[Image.Image], Image.Image]) -> Image.Image:
    """Return an opened photo upright, shrunk as asked, and then in sRGB.

    >>> from PIL import Image
    >>> in_srgb(Image.new("L", (6, 4), 90), lambda plain: plain.reduce(2)).getpixel((0, 0))
    (90, 90, 90)
    """
    from animatic.profile import to_srgb

    profile = image.info.get("icc_profile")
    return to_srgb(shrink(upright(image)), profile if isinstance(profile, bytes) else None)


def by_threads(
    look: Callable[[Item], Found], items: Iterable[Item], threads: int | None = None
) -> list[Found]:
    """Return what was found of every item, in their order; a thread for each core, or so many.

    >>> by_threads(len, ["a", "bcd"])
    [1, 3]
    """
    # Filters of warnings are the whole process's: they are set once, around all threads.
    with warnings.catch_warnings(), ThreadPoolExecutor(threads or os.cpu_count()) as pool:
        warnings.simplefilter("ignore")
        return list(pool.map(look, items))
