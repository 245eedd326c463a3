"""Coding what is not in the cache, and taking from it what is."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import islice

from animatic.film.cache import Cache, packed, unpacked
from animatic.film.coding import Format, Sound, coded_sound
from animatic.film.segments import Segment, Template, code_segment, make_template
from animatic.film.keys import FileHashes, Keys
from animatic.film.ordered import Stop
from animatic.film.sources import PictureSource, SoundSource, pictures_of, sound_of
from animatic.timeline.model import Timeline

__all__ = ["Workshop"]

_CHUNK = 2048
"""AAC packets in a cache entry: 44 s, so that memory does not grow with the film."""


class Workshop:
    """Makes the coded parts of one film; a part that is in the cache is not made again.

    Pictures and sound from sources other than the board's own are always made.
    """

    def __init__(
        self,
        timeline: Timeline,
        form: Format,
        pictures: PictureSource | None,
        sound: SoundSource | None,
        store: Cache | None,
        stop: Stop,
    ) -> None:
        self._timeline, self._form, self._stop = timeline, form, stop
        self._own_pictures, self._own_sound = pictures is None, sound is None
        self._pictures = pictures_of(timeline) if pictures is None else pictures
        self._sound = sound_of if sound is None else sound
        self._store = store
        self._files = FileHashes(store) if store else None
        self._keys = Keys(timeline, form, self._files) if self._files else None
        self.template = self._template()
        self.coded = 0
        """Segments that were coded, not found."""

    def segment(self, segment: Segment) -> tuple[bytes, ...]:
        """Return a segment's packets; called from several threads at once."""
        self._stop.check()
        key = None
        if self._keys and self._own_pictures:
            # A photo that is gone is for the picture stage to put in words.
            with contextlib.suppress(OSError):
                key = self._keys.segment(segment)
        return self._kept(key, lambda: self._code(segment))

    def sound(self) -> Iterator[bytes]:
        """Yield the packets of the film's sound."""
        key = None
        if self._keys and self._own_sound:
            with contextlib.suppress(OSError):
                key = self._keys.sound()
        ...

    def close(self) -> None:
        """Keep what was learned about files, and hold the cache to its size."""
        if self._store and self._files:
            self._files.save()
            self._store.prune()
