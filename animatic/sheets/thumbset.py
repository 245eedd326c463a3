"""The thumbnails of a paper, made by threads before it is drawn, and kept while it is."""

from __future__ import annotations

import os
import warnings
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor

from animatic.photofile import admit_heic
from animatic.sheets.thumbs import jpeg, thumbnail
from animatic.timeline.model import Panel

__all__ = ["Thumbs"]

WIDE = 360
"""Pixels of a thumbnail's longer side: 30 mm at 300 dots an inch."""


class Thumbs:
    """Thumbnails of panels as JPEG files, in the shape of the film's picture.

    They are `width` pixels wide; without it, WIDE on their longer side.
    """

    def __init__(
        self, canvas: tuple[int, int], width: int | None = None, quality: int = 82
    ) -> None:
        self.canvas, self.quality = canvas, quality
        self.width = width or max(1, WIDE * canvas[0] // max(canvas))
        self._kept: dict[int, bytes] = {}

    def make(self, panels: Iterable[Panel]) -> None:
        """Make the thumbnails of panels; MediaError where a photo has gone bad."""
        missing = [panel for panel in panels if panel.index not in self._kept]
        if not missing:
            return
        admit_heic()
        # Filters of warnings are the whole process's: they are set once, around all threads.
        with warnings.catch_warnings(), ThreadPoolExecutor(os.cpu_count() or 1) as pool:
            warnings.simplefilter("ignore")
            for panel, data in zip(missing, pool.map(self._made, missing), strict=True):
                self._kept[panel.index] = data

    def _made(self, panel: Panel) -> bytes:
        return jpeg(thumbnail(panel, self.canvas, self.width), self.quality)

    def of(self, panel: Panel) -> bytes:
        """Return a panel's thumbnail."""
        self.make([panel])
        return self._kept[panel.index]
