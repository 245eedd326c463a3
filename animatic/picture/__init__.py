"""Photo to canvas to film frame: orientation, profile, framing, moves and lettering.

The parts are imported when they are first asked for, so that `animatic.timeline.framing`,
which is arithmetic, loads no media library, and moviepy is loaded by `film_clip` alone.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from animatic.picture.clip import film_clip
    from animatic.picture.maker import PictureMaker
    from animatic.picture.photo import load_photo

__all__ = ["PictureMaker", "film_clip", "load_photo"]

_HOMES = {"PictureMaker": "maker", "film_clip": "clip", "load_photo": "photo"}


def __getattr__(name: str) -> object:
    if name in _HOMES:
        return getattr(import_module(f"animatic.picture.{_HOMES[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
