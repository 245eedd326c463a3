"""Coding what is not in the cache, and taking from it what is."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator, Sequence
from itertools import islice
from typing import TYPE_CHECKING

from animatic.film.band import LEAST_REST, code_banded, rest_format
from animatic.film.cache import Cache, packed, unpacked
from animatic.film.coding import Format, Picture, coded_sound, sound_packets
from animatic.film.counter import Counter
from animatic.film.heard import kept_programme
from animatic.film.keys import FileHashes, Keys
from animatic.film.ordered import Stop, ahead
from animatic.film.segments import Segment, Template, code_segment, make_template
from animatic.film.sources import PictureSource, SoundSource, pictures_of, sound_of
from animatic.heap import Heap
from animatic.timeline.model import Timeline

if TYPE_CHECKING:
    from animatic.sound import Programme

__all__ = ["Workshop"]

_CHUNK = 2048
"""AAC packets in a cache entry: 44 s, so that memory does not grow with the film."""
_BLOCKS_AHEAD = 8
"""Seconds of sound that are mixed before they are coded."""


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
        *,
        counted: bool = False,
    ) -> None:
        self._timeline, self._form, self._stop = timeline, form, stop
        self._own_pictures, self._own_sound = pictures is None, sound is None
        self._pictures = pictures_of(timeline) if pictures is None else pictures
        self._sound = sound
        self._programme: Programme | None = None
        self._store = store
        self._files = FileHashes(store) if store else None
        self._keys = Keys(timeline, form, self._files) if self._files else None
        self._coded_segments: set[int] = set()
        self._heap = Heap()
        self.template = self._template(form)
        self._counter = Counter(timeline) if counted else None
        self._rest_template: Template | None = None
        if self._counter and form.size[1] - self._counter.band >= LEAST_REST:
            self._rest_template = self._template(rest_format(form, self._counter.band))

    @property
    def coded(self) -> int:
        """The segments that were coded, not found."""
        return len(self._coded_segments)

    def _template(self, form: Format) -> Template:
        key = self._keys.template(form) if self._keys else None

        def make() -> Sequence[bytes]:
            template = make_template(form)
            return [template.sets, *template.skips]

        sets, *skips = self._kept(key, make)
        return Template(sets, tuple(skips))

    def segment(self, segment: Segment) -> tuple[bytes, ...]:
        """Return a segment's packets; called from several threads at once."""
        self._stop.check()
        key = None
        if self._keys and self._own_pictures:
            # A photo that is gone is for the picture stage to put in words.
            with contextlib.suppress(OSError):
                key = self._keys.segment(segment)

        def make() -> Sequence[bytes]:
            self._coded_segments.add(segment.start)
            coded = self._code(segment)
            self._heap.after_work()
            return coded

        return self._kept(key, make)

    def _code(self, segment: Segment) -> tuple[bytes, ...]:
        form, template, go_on = self._form, self.template, self._stop.check
        counter, rest_template = self._counter, self._rest_template
        if segment.kind == "band" and counter and rest_template:
            picture = self._pictures.frame(segment.start)
            return code_banded(
                form, segment, picture, counter.band, counter.patch, template, rest_template, go_on
            )
        return code_segment(form, segment, self._picture, template, go_on)

    def _picture(self, frame: int) -> Picture:
        picture = self._pictures.frame(frame)
        return self._counter.on(picture, frame) if self._counter else picture

    def _kept(self, key: str | None, make: Callable[[], Sequence[bytes]]) -> tuple[bytes, ...]:
        """Return the byte strings of a key, made where they are not in the cache."""
        if key is None or self._store is None:
            return tuple(make())
        found = self._store.get(key)
        if found is not None:
            return tuple(unpacked(found))
        made = tuple(make())
        self._store.put(key, packed(made))
        return made

    def sound(self) -> Iterator[bytes]:
        """Yield the packets of the film's sound."""
        fresh: Iterator[bytes] | None = None
        for first in range(0, len(sound_packets(self._timeline.samples)), _CHUNK):
            key = self._sound_key(first)
            found = self._store.get(key) if self._store and key and not fresh else None
            if found is not None:
                yield from unpacked(found)
                continue
            if fresh is None:
                # The coder carries over from packet to packet: it starts with the film.
                fresh = islice(self._fresh_sound(), first, None)
            packets = list(islice(fresh, _CHUNK))
            yield from packets
            if self._store and key:
                self._store.put(key, packed(packets))
        # Sound that is too long is for the muxer to find.
        yield from fresh or ()

    def _fresh_sound(self) -> Iterator[bytes]:
        timeline = self._timeline
        if self._sound is not None:
            yield from coded_sound(self._form, self._sound(timeline), timeline.samples)
            return
        # Mixing and coding share the work: the mix is made in a thread of its own.
        blocks = ahead(sound_of(timeline, self._found_programme()), _BLOCKS_AHEAD, self._stop)
        with contextlib.closing(blocks):
            yield from coded_sound(self._form, blocks, timeline.samples)

    def programme(self) -> Programme | None:
        """Return how loud the film is, or None where its sound is not the board's own."""
        return self._found_programme() if self._own_sound else None

    def _found_programme(self) -> Programme:
        if self._programme is None:
            self._programme = kept_programme(self._timeline, self._keys, self._store)
        return self._programme

    def _sound_key(self, first: int) -> str | None:
        if self._keys is None or not self._own_sound:
            return None
        with contextlib.suppress(OSError):
            return self._keys.sound(first)
        return None

    def close(self) -> None:
        """Keep what was learned about files, and hold the cache to its size."""
        if self._store and self._files:
            self._files.save()
            self._store.prune()
