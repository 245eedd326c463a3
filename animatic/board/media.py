"""What the layout must know of the photos and sounds a board names, looked at once.

A photo is loaded whole (a truncated file opens without complaint and fails only then) and a
sound is measured whole, so the answers are kept in the user's cache folder under the file's
path, size and time of change. The memory is only that: deleting it costs time, nothing else.
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Literal, get_args

from animatic.audiofacts import AudioFacts
from animatic.board.looking import by_threads
from animatic.errors import AnimaticError, MediaError
from animatic.files import write_beside
from animatic.photofile import (
    KINDS,
    RAW,
    damage,
    is_sideways,
    photo_formats,
    refuse_damage,
    refuse_kind,
)

if TYPE_CHECKING:
    from animatic.board.light import Light

__all__ = [
    "MEMORIES",
    "AudioFacts",
    "MediaFacts",
    "Memory",
    "PhotoFacts",
    "look_at",
    "measure_photo",
]

Kind = Literal["photo", "sound"]

_VERSION = 4
_MOST = {"light.json": 1000, "level.json": 500}
"""Long facts that are kept: the latest, and all that were asked for."""
MemoryName = Literal["media.json", "light.json", "level.json", "takes.json"]
MEMORIES: frozenset[str] = frozenset(get_args(MemoryName))
"""The files of all memories."""


@dataclass(frozen=True, slots=True)
class PhotoFacts:
    """Width and height in pixels of the upright photo."""

    width: int
    height: int


@dataclass(frozen=True, slots=True)
class MediaFacts:
    """What was found: facts of usable files, and in words what is wrong with the others."""

    photos: dict[Path, PhotoFacts]
    sounds: dict[Path, AudioFacts]
    faults: dict[tuple[str, Path], str]
    """By what the board takes the file for, and its path."""
    lights: dict[Path, Light] = field(default_factory=dict)
    """Of the photos that are to be evened."""


def measure_photo(path: Path) -> PhotoFacts:
    """Return the size of a photo after loading it; MediaError says why it cannot be used."""
    from PIL import Image, UnidentifiedImageError

    formats = photo_formats()
    if path.suffix.lower() in RAW:
        # Some open as the small picture that they hold beside the values.
        raise MediaError(f"a RAW photo is not read; allowed: {KINDS}")
    with path.open("rb") as file:
        if not file.read(1):
            raise MediaError("the file is empty")
        file.seek(0)
        try:
            with Image.open(file, formats=formats) as image:
                refuse_kind(image)
                size = image.size
                turned = is_sideways(image)
                # A quarter-size decode reads the whole file just the same, and faster.
                image.draft("RGB", (image.width // 4, image.height // 4))
                image.load()
                refuse_damage(image, path)
        except (MediaError, MemoryError):
            raise
        except UnidentifiedImageError:
            raise MediaError(f"this is no photo that can be read ({KINDS})") from None
        except Image.DecompressionBombError:
            raise MediaError("the photo has too many pixels") from None
        except Exception:  # A damaged file may raise anything in a decoder.
            raise MediaError(damage(path)) from None
    return PhotoFacts(*(size[::-1] if turned else size))


def _measure_sound(path: Path) -> AudioFacts:
    from animatic.audiofile import measure

    return measure(path)


def look_at(photos: Iterable[Path], sounds: Iterable[Path]) -> MediaFacts:
    """Return the facts of all files, by threads; a fault in one does not hinder the others."""
    memory = Memory("media.json")
    facts = MediaFacts({}, {}, {})
    work: list[tuple[Kind, Path]] = [("photo", path) for path in dict.fromkeys(photos)]
    work += [("sound", path) for path in dict.fromkeys(sounds)]
    for (kind, path), answer in zip(
        work, by_threads(lambda item: _recalled(memory, *item), work), strict=True
    ):
        if isinstance(answer, str):
            facts.faults[kind, path] = answer
        elif isinstance(answer, PhotoFacts):
            facts.photos[path] = answer
        else:
            facts.sounds[path] = answer
    memory.keep()
    return facts


def _recalled(memory: Memory, kind: Kind, path: Path) -> PhotoFacts | AudioFacts | str:
    if kind == "photo":
        found = memory.recall(kind, path, 2, lambda path: _numbers(measure_photo(path)))
        return found if isinstance(found, str) else PhotoFacts(*found)
    found = memory.recall(kind, path, 3, lambda path: _numbers(_measure_sound(path)))
    return found if isinstance(found, str) else AudioFacts(*found)


def _numbers(facts: PhotoFacts | AudioFacts) -> list[int]:
    if isinstance(facts, PhotoFacts):
        return [facts.width, facts.height]
    return [facts.frames, facts.sample_rate, facts.channels]


class Memory:
    """Facts by path, size and time of change, in one JSON file in the user's cache folder."""

    def __init__(self, name: MemoryName) -> None:
        import platformdirs

        self.file = platformdirs.user_cache_path("animatic") / name
        self.known: dict[str, list[int]] = {}
        self.used: set[str] = set()
        self.fresh = False
        with contextlib.suppress(Exception):  # Whatever stands there, it is only a memory.
            kept = json.loads(self.file.read_bytes())
            if kept["version"] == _VERSION:
                self.known = {
                    key: [int(value) for value in values] for key, values in kept["files"].items()
                }

    def recall(
        self, kind: str, path: Path, length: int, measure: Callable[[Path], list[int]]
    ) -> list[int] | str:
        """Return a file's facts, so many numbers, or words that say what is wrong with it."""
        try:
            state = path.stat()
            key = f"{kind}:{os.path.realpath(path)}"
            self.used.add(key)
            stamp = [state.st_size, state.st_mtime_ns]
            kept = self.known.get(key, [])
            if kept[:2] == stamp and len(kept) == 2 + length:
                return kept[2:]
            facts = measure(path)
        except AnimaticError as fault:
            return str(fault)
        except PermissionError:
            return "the file may not be read; look at its permissions"
        except OSError as fault:
            return f"the file cannot be read ({fault.strerror or fault})"
        self.known[key] = [*stamp, *facts]
        self.fresh = True
        return facts

    def remember(self, key: str, length: int, make: Callable[[], list[int]]) -> list[int]:
        """Return what was made before from the same, so many numbers; the key says from what."""
        self.used.add(key)
        kept = self.known.get(key, [])
        if len(kept) != length:
            kept = self.known[key] = make()
            self.fresh = True
        return kept

    def keep(self) -> None:
        """Write the memory where there is news; a machine that refuses loses only time."""
        if not self.fresh:
            return
        with contextlib.suppress(AnimaticError, OSError):
            self.file.parent.mkdir(parents=True, exist_ok=True)
            text = json.dumps({"version": _VERSION, "files": self._latest()})
            write_beside(self.file, text)

    def _latest(self) -> dict[str, list[int]]:
        over = len(self.known) - _MOST.get(self.file.name, len(self.known))
        oldest = {*[key for key in self.known if key not in self.used][: max(0, over)]}
        return {key: values for key, values in self.known.items() if key not in oldest}
