"""Where the film's pictures and its sound come from."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Protocol

from animatic.film.coding import Picture, Sound
from animatic.timeline.model import Timeline

if TYPE_CHECKING:
    from animatic.sound import Programme

__all__ = ["PictureSource", "SoundSource", "pictures_of", "sound_of"]


class PictureSource(Protocol):
    """Gives the picture of any film frame; called from several threads at once."""

    def frame(self, number: int, /) -> Picture:
        """Return film frame `number`, counted from 0: height x width x 3, uint8, sRGB."""
        ...


SoundSource = Callable[[Timeline], Iterable[Sound]]
"""Gives the film's sound in blocks; together exactly `timeline.samples` samples."""


def pictures_of(timeline: Timeline) -> PictureSource:
    """Return the source of the board's own pictures."""
    from animatic.picture import PictureMaker

    return PictureMaker(timeline)


def sound_of(timeline: Timeline, programme: Programme | None = None) -> Iterable[Sound]:
    """Yield the board's own sound; without a programme it is measured first."""
    from animatic.sound import mix_blocks

    return mix_blocks(timeline, programme=programme)
