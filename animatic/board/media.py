"""What the layout must know of the photos and sounds a board names, looked at once.

A photo is loaded whole (a truncated file opens without complaint and fails only then) and a
sound is measured whole, so the answers are kept in the user's cache folder under the file's
path, size and time of change. The memory is only that: deleting it costs time, nothing else.
"""

from __future__ import annotations

import contextlib
import json
import os
import warnings
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from animatic.audiofile import AudioFacts
from animatic.errors import AnimaticError, MediaError
from animatic.files import write_beside

__all__ = ["AudioFacts", "MediaFacts", "PhotoFacts", "look_at", "measure_photo"]

_VERSION = 1
_MOST_PIXELS = 400_000_000
PHOTO_KINDS = "JPEG, PNG, TIFF, WebP, or HEIC with the extra heic"


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
    faults: dict[Path, str]


def measure_photo(path: Path) -> PhotoFacts:
    """Return the size of a photo after loading it; MediaError says why it cannot be used."""
    from PIL import Image, UnidentifiedImageError

    _admit_heic()
    if path.stat().st_size == 0:
        raise MediaError("the file is empty")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(path) as image:
                if image.width * image.height > _MOST_PIXELS:
                    raise MediaError(
                        f"the photo has {image.width}x{image.height} pixels, which is too many"
                    )
                # A quarter-size decode reads the whole file just the same, and faster.
                size = image.size
                turned = image.getexif().get(0x0112, 1) in (5, 6, 7, 8)
                image.draft("RGB", (image.width // 4, image.height // 4))
                image.load()
    except UnidentifiedImageError:
        raise MediaError(f"this is no photo that can be read ({PHOTO_KINDS})") from None
    except Image.DecompressionBombError:
        raise MediaError("the photo has too many pixels") from None
    except (OSError, SyntaxError, ValueError, EOFError) as fault:
        raise MediaError(f"the photo is damaged or cut short ({fault})") from None
    return PhotoFacts(*(size[::-1] if turned else size))


def _admit_heic() -> None:
    with contextlib.suppress(ImportError):
        from pi_heif import register_heif_opener  # type: ignore[import-not-found,unused-ignore]

        register_heif_opener()


def _measure_sound(path: Path) -> AudioFacts:
    from animatic.audiofile import measure

    return measure(path)


def look_at(photos: Iterable[Path], sounds: Iterable[Path]) -> MediaFacts:
    """Return the facts of all files, by threads; a fault in one does not hinder the others."""
    memory = _Memory()
    facts = MediaFacts({}, {}, {})
    work: list[tuple[Path, Callable[[Path], PhotoFacts | AudioFacts]]] = []
    work += [(path, measure_photo) for path in dict.fromkeys(photos)]
    work += [(path, _measure_sound) for path in dict.fromkeys(sounds)]
    with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        found = pool.map(lambda item: memory.recall(*item), work)
        for (path, _), answer in zip(work, found, strict=True):
            if isinstance(answer, str):
                facts.faults[path] = answer
            elif isinstance(answer, PhotoFacts):
                facts.photos[path] = answer
            else:
                facts.sounds[path] = answer
    memory.keep()
    return facts


class _Memory:
    """Facts by path, size and time of change, in one JSON file in the user's cache folder."""

    def __init__(self) -> None:
        import platformdirs

        self.file = platformdirs.user_cache_path("animatic") / "media.json"
        self.known: dict[str, list[int | str]] = {}
        self.fresh = False
        with contextlib.suppress(OSError, ValueError, TypeError):
            kept = json.loads(self.file.read_bytes())
            if kept["version"] == _VERSION:
                self.known = dict(kept["files"])

    def recall(
        self, path: Path, measure: Callable[[Path], PhotoFacts | AudioFacts]
    ) -> PhotoFacts | AudioFacts | str:
        """Return a file's facts, or words that say what is wrong with it."""
        try:
            state = path.stat()
            kind = "photo" if measure is measure_photo else "sound"
            key = f"{kind}:{os.path.realpath(path)}"
            stamp = [state.st_size, state.st_mtime_ns]
            if (kept := self.known.get(key)) and kept[:2] == stamp:
                numbers = [int(value) for value in kept[2:]]
                return PhotoFacts(*numbers) if kind == "photo" else AudioFacts(*numbers)
            facts = measure(path)
        except AnimaticError as fault:
            return str(fault)
        except PermissionError:
            return "the file may not be read; look at its permissions"
        except OSError as fault:
            return f"the file cannot be read ({fault.strerror or fault})"
        self.known[key] = [*stamp, *_numbers(facts)]
        self.fresh = True
        return facts

    def keep(self) -> None:
        """Write the memory where there is news; a machine that refuses loses only time."""
        if not self.fresh:
            return
        with contextlib.suppress(AnimaticError, OSError):
            self.file.parent.mkdir(parents=True, exist_ok=True)
            text = json.dumps({"version": _VERSION, "files": self.known})
            write_beside(self.file, text)


def _numbers(facts: PhotoFacts | AudioFacts) -> list[int]:
    if isinstance(facts, PhotoFacts):
        return [facts.width, facts.height]
    return [facts.frames, facts.sample_rate, facts.channels]
