"""What lies beside the photos of a folder and is not read, so that nobody misses it silently."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from animatic.errors import listed
from animatic.photofile import RAW
from animatic.start.look import SUFFIXES
from animatic.start.naming import readable
from animatic.times import natural_key
from animatic.words import counted

__all__ = ["passed_over"]

VIDEOS = frozenset(
    (
        *(".3gp", ".avi", ".m2ts", ".m4v", ".mkv", ".mov"),
        *(".mp4", ".mpg", ".mts", ".webm", ".wmv"),
    )
)
OTHERS = frozenset((".avif", ".bmp", ".gif", ".jp2", ".jxl", ".ppm", ".psd", ".tga"))
"""Pictures that are no photos as cameras write them."""
_PICTURES = SUFFIXES | RAW | OTHERS
_DEEPEST = 2
"""Folders in folders that are looked into, as cards have them."""
_NAMED = 5


def passed_over(folder: Path) -> list[str]:
    """Return in words, a line a kind, what `find_photos` does not take from a folder.

    Only the names of files are looked at. Hidden ones, and such that are no pictures, are not
    spoken of.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     Path(folder, "a.nef").touch()
    ...     Path(folder, "notes.txt").touch()
    ...     passed_over(Path(folder))
    ['1 RAW photo (a.nef); export RAW photos as JPEG or TIFF']
    """
    shown = [path for path in folder.iterdir() if not path.name.startswith(".")]
    files = [path.name for path in shown if path.is_file()]
    gone = [path.name for path in shown if not path.exists() and _suffix(path.name) in _PICTURES]
    found = [
        (_of(files, RAW), "RAW photo", "export RAW photos as JPEG or TIFF"),
        (_of(files, VIDEOS), "video", "save single pictures of a video as JPEG"),
        (_of(files, OTHERS), "other picture", "save such pictures as JPEG or PNG"),
        (
            [f"{name} with {counted(count, 'photo')}" for name, count in _full_folders(folder)],
            "folder",
            "start each folder by itself, or put all photos into one",
        ),
        (gone, "broken link", "copy the photos themselves"),
    ]
    return [_said(names, noun, hint) for names, noun, hint in found if names]


def _suffix(name: str) -> str:
    return os.path.splitext(name)[1].lower()


def _of(names: Iterable[str], suffixes: frozenset[str]) -> list[str]:
    return [name for name in names if _suffix(name) in suffixes]


def _full_folders(folder: Path) -> Iterator[tuple[str, int]]:
    """Yield the folders below a folder that hold photos, RAW ones too, and how many."""
    for place, below, files in os.walk(folder):
        inner = Path(place).relative_to(folder)
        depth = len(inner.parts)
        below[:] = [name for name in below if depth < _DEEPEST and not name.startswith(".")]
        shown = [name for name in files if not name.startswith(".")]
        if depth and (count := len(_of(shown, SUFFIXES | RAW))):
            yield inner.as_posix(), count


def _said(names: Sequence[str], noun: str, hint: str) -> str:
    """Return how many there are, the first by name, and what to do."""
    shown = listed([readable(name) for name in sorted(names, key=natural_key)], _NAMED)
    return f"{counted(len(names), noun)} ({shown}); {hint}"
