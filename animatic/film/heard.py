"""How loud a film is, and the gain that makes it so: measured once, then kept in the cache."""

from __future__ import annotations

import contextlib
import json
from dataclasses import asdict
from typing import TYPE_CHECKING

from animatic.film.cache import Cache
from animatic.film.coding import Format
from animatic.film.keys import FileHashes, Keys
from animatic.timeline.model import Timeline

if TYPE_CHECKING:
    from animatic.sound import Programme

__all__ = ["film_programme", "kept_programme"]


def film_programme(timeline: Timeline, store: Cache | None = None) -> Programme:
    """Return the programme of a film; `store` is the cache, the user's own unless given.

    MediaError for a sound that cannot be used.
    """
    store = Cache() if store is None else store
    files = FileHashes(store)
    keys = Keys(timeline, Format(timeline.size, timeline.rate), files)
    found = kept_programme(timeline, keys, store)
    files.save()
    return found


def kept_programme(timeline: Timeline, keys: Keys | None, store: Cache | None) -> Programme:
    """Return the programme of a film, from the cache where it is there."""
    from animatic.sound import find_programme

    key = None
    if keys is not None:
        # A file that is gone is for the sound stage to put in words.
        with contextlib.suppress(OSError):
            key = keys.programme()
    if store is None or key is None:
        return find_programme(timeline)
    kept = store.get(key)
    if kept is not None:
        return _read(kept)
    found = find_programme(timeline)
    store.put(key, json.dumps(asdict(found)).encode())
    return found


def _read(kept: bytes) -> Programme:
    from animatic.sound import Loudness, Programme

    values = json.loads(kept)
    values["film"] = Loudness(**values["film"])
    values["buses"] = {bus: Loudness(**read) for bus, read in values["buses"].items()}
    return Programme(**values)
