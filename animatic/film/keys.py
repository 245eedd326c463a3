"""Keys of the cache: hashes of all that decides a segment, the template and the coded sound."""

from __future__ import annotations

import hashlib
import json
import threading
import time
from bisect import bisect_right
from dataclasses import fields, is_dataclass, replace
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from platform import machine
from typing import Any

import av

import animatic
from animatic.film.cache import Cache
from animatic.film.coding import Format
from animatic.film.segments import Segment
from animatic.fonts import font_file
from animatic.timeline.model import Cue, Line, Panel, Timeline
from animatic.timeline.spans import Layer

__all__ = ["FileHashes", "Keys"]

_PLACES = {"index", "start", "end", "first_frame", "end_frame"}
"""Where something lies in the film, which does not decide how it looks."""
_UNSEEN = {
    Panel: {*_PLACES, "shoot_on", "note", "take", "lines", "carried"},
    Line: {*_PLACES, "number", "voice", "scratch"},
}
_UNHEARD = {Cue: {"shot", "licence"}, Line: {"number", "who", "text", "voice", "scratch"}}
"""Fields that a key leaves out; a field that joins the model later is in every key."""
_FRESH = 2_000_000_000
"""Nanoseconds in which a file may change twice and keep its time."""


class FileHashes:
    """Hashes of files by their bytes, remembered by path, size and times."""

    _KEY = hashlib.blake2b(b"file hashes", digest_size=32).hexdigest()

    def __init__(self, store: Cache) -> None:
        self._store = store
        self._lock = threading.Lock()
        self._known: dict[str, list[Any]] = {}
        self._changed = False
        found = store.get(self._KEY)
        if found is not None:
            self._known = json.loads(found)

    def of(self, path: Path) -> str:
        """Return the hash of a file's bytes; its OSError where it cannot be read."""
        found = path.stat()
        marks = [found.st_size, found.st_mtime_ns, found.st_ctime_ns, found.st_ino]
        with self._lock:
            known = self._known.get(str(path))
        if known is not None and known[1:] == marks:
            return str(known[0])
        with path.open("rb") as file:
            digest = hashlib.file_digest(file, "sha256").hexdigest()
        # One that changed just now may change again within the grain of its time stamp.
        if time.time_ns() - max(found.st_mtime_ns, found.st_ctime_ns) > _FRESH:
            with self._lock:
                self._known[str(path)] = [digest, *marks]
                self._changed = True
        return digest

    def save(self) -> None:
        """Keep what was learned for the next run."""
        with self._lock:
            if self._changed:
                self._store.put(self._KEY, json.dumps(self._known).encode())


class Keys:
    """The cache keys of one timeline in one format; OSError where a file cannot be read."""

    def __init__(self, timeline: Timeline, form: Format, files: FileHashes) -> None:
        self._timeline, self._form, self._files = timeline, form, files
        self._seen = replace(form, bit_rate=0)
        self._starts = [panel.start for panel in timeline.panels]
        self._panels_in_shot = {
            panel.index: len(shot.panels) for shot in timeline.shots for panel in shot.panels
        }

    def template(self, form: Format) -> str:
        """Return the key of the skip pictures of a format."""
        return _key("template", replace(form, bit_rate=0), _makers())

    def segment(self, segment: Segment) -> str:
        """Return the key of a segment; that of a still one leaves out its length."""
        timeline, span, start = self._timeline, segment.span, segment.start
        layers = span.layers(start)
        # The lettering is that of the panel whose frames these are, also within a dissolve.
        lettered = timeline.panels[bisect_right(self._starts, start) - 1]
        parts = [
            self._parts(lettered, _UNSEEN),
            self._parts(lettered.lettered_lines(start - lettered.start), _UNSEEN),
            self._panels_in_shot[lettered.index],
            self._parts(timeline.lettering, {}),
            self._files.of(font_file(timeline.lettering.font)),
        ]
        for layer in layers:
            move = layer.panel.move
            rests_after = move is not None and layer.frame >= move.last
            parts += [self._parts(layer.panel, _UNSEEN), rests_after]
            if not span.is_still:
                parts += [layer.frame, self._taken(layer, segment.frames)]
        if segment.counted:
            shot = next(one for one in timeline.shots if start < one.end)
            parts += ["counted", shot.name, start - shot.start, shot.frames, segment.frames]
        if not span.is_still:
            ramp = None if span.ramp is None else (span.ramp[0] - start, span.ramp[1])
            parts += [segment.frames, ramp, span.outgoing is None, span.incoming is None]
        return _key("segment", self._seen, _makers(), *parts)

    def _taken(self, layer: Layer, frames: int) -> Any:
        """Return what was shot for the frames of a layer, as hashes of files and numbers."""
        take = layer.panel.take
        if take is None:
            return None
        shown = (take.at(layer.frame + number) for number in range(frames))
        return [one and (self._files.of(one.file), one.number) for one in shown]

    def sound(self, first: int) -> str:
        """Return the key of the film's coded sound from a packet on."""
        timeline = self._timeline
        place = (timeline.begins, timeline.samples, first)
        return _key("sound", self._form.bit_rate, _makers(), place, *self._heard())

    def programme(self) -> str:
        """Return the key of how loud the film is, which a part has in common with its whole."""
        return _key("programme", _makers(), *self._heard())

    def _heard(self) -> list[Any]:
        film = self._timeline.whole or self._timeline
        parts = (film.cues, film.lines, film.mix)
        return [film.samples, *(self._parts(part, _UNHEARD) for part in parts)]

    def _parts(self, value: Any, left_out: dict[type, set[str]]) -> Any:
        """Return a value of the model as plain values, with files as hashes of their bytes."""
        if isinstance(value, Path):
            return self._files.of(value)
        if isinstance(value, tuple):
            return tuple(self._parts(part, left_out) for part in value)
        if not is_dataclass(value):
            return value
        names = {field.name for field in fields(value)} - left_out.get(type(value), set())
        return tuple((name, self._parts(getattr(value, name), left_out)) for name in sorted(names))


def _key(*parts: Any) -> str:
    return hashlib.blake2b(repr(parts).encode(), digest_size=32).hexdigest()


@cache
def _makers() -> str:
    """Return a hash of what makes pictures and sound: our own code, and the libraries."""
    digest = hashlib.blake2b(digest_size=32)
    home = Path(animatic.__file__).parent
    for part in ("*.py", "timeline/*.py", "picture/*.py", "sound/*.py", "film/*.py"):
        for file in sorted(home.glob(part)):
            digest.update(file.name.encode() + b"\0" + file.read_bytes())
    versions = [_version(name) for name in ("av", "numpy", "pillow", "pydub", "pi-heif")]
    digest.update(repr((versions, sorted(av.library_versions.items()), machine())).encode())
    return digest.hexdigest()


def _version(library: str) -> str | None:
    """Return the version of a library; None where it is not installed."""
    try:
        return version(library)
    except PackageNotFoundError:
        return None
