"""What was made before, kept in the user's cache folder: checked, bounded, safe to delete.

An entry is a file named after the hash of all that decides its contents. It begins with a
checksum over its name and its contents, so that one that was cut, zeroed or put in another's
place is found, and made anew. Entries are written under another name and renamed: two runs at
once do not hurt each other. A cache that cannot be written is no error, only slower.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import tempfile
import time
from collections.abc import Iterable, Iterator
from pathlib import Path

from platformdirs import user_cache_path

__all__ = ["LIMIT", "STALE", "Cache", "cache_folder", "packed", "unpacked"]

LIMIT = 2_000_000_000
"""Bytes that a cache may take; the entries longest unused go first."""
_CHECK = 32
STALE = 3600
"""Seconds after which a half-written entry belongs to a run that is gone."""
_PART = ".part"


def cache_folder() -> Path:
    """Return the folder of the user's cache."""
    return user_cache_path("animatic")


class Cache:
    """Entries by key, a hexadecimal hash; at most about `limit` bytes of them."""

    def __init__(self, folder: Path | None = None, limit: int = LIMIT) -> None:
        self.folder = cache_folder() if folder is None else folder
        self.limit = limit
        self.reused = 0
        self.made = 0
        """Entries that were found, and entries that were put, by this object."""

    def get(self, key: str) -> bytes | None:
        """Return an entry's contents, or None where there is none that is whole."""
        path = self._path(key)
        try:
            data = path.read_bytes()
        except OSError:
            return None
        contents = data[_CHECK:]
        if data[:_CHECK] != _checksum(key, contents):
            with contextlib.suppress(OSError):
                path.unlink()
            return None
        with contextlib.suppress(OSError):
            os.utime(path)  # The clock by which the longest unused goes first.
        self.reused += 1
        return contents

    def put(self, key: str, contents: bytes) -> None:
        """Keep an entry; where the disk does not let us, do without."""
        path = self._path(key)
        with contextlib.suppress(OSError):
            path.parent.mkdir(parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(_PART, dir=path.parent)
            try:
                with os.fdopen(handle, "wb") as file:
                    file.write(_checksum(key, contents) + contents)
                os.replace(name, path)
            except BaseException:
                with contextlib.suppress(OSError):
                    os.unlink(name)
                raise
            self.made += 1

    def size(self) -> int:
        """Return the bytes that the cache takes."""
        return sum(size for _, size, _ in self._entries())

    def prune(self) -> None:
        """Remove the entries longest unused, until the rest is within the limit."""
        entries = sorted(self._entries())
        excess = sum(size for _, size, _ in entries) - self.limit
        for used, size, path in entries:
            left_behind = path.name.endswith(_PART) and used < time.time() - STALE
            if excess <= 0 and not left_behind:
                continue
            with contextlib.suppress(OSError):
                path.unlink()
                excess -= size

    def clear(self) -> None:
        """Remove every entry."""
        for _, _, path in self._entries():
            with contextlib.suppress(OSError):
                path.unlink()

    def _path(self, key: str) -> Path:
        return self.folder / key[:2] / key

    def _entries(self) -> Iterator[tuple[float, int, Path]]:
        """Yield (time of last use, size, path) of every file; others may remove some meanwhile.

        Only files in folders of two hexadecimal digits are ours.
        """
        for folder in self.folder.glob("[0-9a-f][0-9a-f]"):
            with contextlib.suppress(OSError):
                for path in folder.iterdir():
                    with contextlib.suppress(OSError):
                        found = path.stat()
                        yield found.st_mtime, found.st_size, path


def _checksum(key: str, contents: bytes) -> bytes:
    return hashlib.blake2b(contents, digest_size=_CHECK, key=key.encode()[:64]).digest()


def packed(parts: Iterable[bytes]) -> bytes:
    """Return byte strings as one.

    >>> list(unpacked(packed([b"one", b"", b"two"])))
    [b'one', b'', b'two']
    """
    return b"".join(len(part).to_bytes(4, "big") + part for part in parts)


def unpacked(data: bytes) -> Iterator[bytes]:
    """Yield the byte strings that `packed` put into one."""
    at = 0
    while at < len(data):
        end = at + 4 + int.from_bytes(data[at : at + 4], "big")
        yield data[at + 4 : end]
        at = end
