"""All that is kept between runs, in one folder: what was coded, spoken lines, facts of files."""

from __future__ import annotations

import contextlib
import re
import time
from collections.abc import Iterator
from pathlib import Path

from animatic.board.media import MEMORIES
from animatic.board.voices import VOICES
from animatic.film.cache import STALE, Cache

__all__ = ["clear_kept", "kept_size"]

_VOICE = re.compile(r"[0-9a-f]{32}\.wav")
_PART = re.compile(r"\.animatic-[0-9a-f]{12}\.part")


def kept_size(store: Cache) -> int:
    """Return the bytes of all that is kept, in the cache itself and beside it."""
    return store.size() + sum(size for size, _ in _others(store.folder))


def clear_kept(store: Cache) -> None:
    """Remove all that is kept, and nothing else that lies in the folder."""
    store.clear()
    for _, path in _others(store.folder):
        with contextlib.suppress(OSError):
            path.unlink()


def _others(folder: Path) -> Iterator[tuple[int, Path]]:
    """Yield (size, path) of the files that are ours and no entries of the cache."""
    for path in (*folder.glob("*"), *(folder / VOICES).glob("*")):
        in_voices = path.parent != folder
        is_ours = _VOICE.fullmatch(path.name) if in_voices else path.name in MEMORIES
        is_part = _PART.fullmatch(path.name)
        with contextlib.suppress(OSError):
            found = path.stat()
            # A half-written file may be another run's, which would miss it.
            is_left = is_part and found.st_mtime < time.time() - STALE
            if path.is_file() and (is_ours or is_left):
                yield found.st_size, path
