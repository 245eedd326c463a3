"""What is known of taken pictures, looked at once: size, sameness, time, damage.

Every picture is decoded whole. The answers are kept in the user's cache folder under path,
size and time of change, as those of the board's own photos are.
"""

from __future__ import annotations

import os
import warnings
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from hashlib import blake2b
from pathlib import Path
from typing import TYPE_CHECKING

from animatic.board.media import Memory
from animatic.errors import MediaError
from animatic.photofile import damage, is_sideways, photo_formats, refuse_damage, refuse_kind
from animatic.times import capture_time

if TYPE_CHECKING:
    from PIL import Image

    from animatic.videofile import VideoFacts

__all__ = ["Looks", "PictureFacts"]

_EXIF = 0x8769
_NO_TIME = -1
_SECOND = 1_000_000_000
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_HANDFUL = 16
"""Pictures that a thread takes at a time: what is remembered is quicker than handing it over."""
_REDUCED = 8
"""A JPEG is decoded to an eighth: all of the file is read, and in a fraction of the time."""


@dataclass(frozen=True, slots=True)
class PictureFacts:
    """Upright width and height in pixels, a mark that is alike for alike pictures, and when.

    `taken` is the camera's DateTimeOriginal in nanoseconds; None where there is none.
    """

    width: int
    height: int
    mark: int
    taken: int | None


class Looks:
    """Looks at pictures and videos, and remembers what it saw."""

    def __init__(self) -> None:
        self._memory = Memory("takes.json")

    def pictures(
        self, paths: Iterable[Path], tell: Callable[[int], None] = lambda done: None
    ) -> dict[Path, PictureFacts | str]:
        """Return the facts of picture files, or words that say what is wrong with one.

        `tell` is told how many are done.
        """
        ordered = list(paths)
        found: dict[Path, PictureFacts | str] = {}
        handfuls = [ordered[at : at + _HANDFUL] for at in range(0, len(ordered), _HANDFUL)]
        # Filters of warnings are the whole process's: they are set once, around all threads.
        with warnings.catch_warnings(), ThreadPoolExecutor(os.cpu_count() or 1) as pool:
            warnings.simplefilter("ignore")
            for some in pool.map(lambda some: [(p, self._picture(p)) for p in some], handfuls):
                found.update(some)
                tell(len(found))
        return found

    def _picture(self, path: Path) -> PictureFacts | str:
        found = self._memory.recall("picture", path, 4, _measured)
        if isinstance(found, str):
            return found
        width, height, mark, taken = found
        return PictureFacts(width, height, mark, None if taken == _NO_TIME else taken)

    def apart(self, one: Path, other: Path) -> int | None:
        """Return how far two pictures differ: 0 where nothing moved; None where that is unknown.

        What the light does to the whole picture, evenly or from side to side, is left out.
        """
        from animatic.shoot.sketch import ROWS, sketched, sketches_apart  # It loads numpy.

        found = [self._memory.recall("sketch", p, ROWS, sketched) for p in (one, other)]
        sketches = [sketch for sketch in found if not isinstance(sketch, str)]
        return sketches_apart(*sketches) if len(sketches) == len(found) else None

    def video(self, path: Path) -> VideoFacts | str:
        """Return the facts of a video, or words that say what is wrong with it."""
        from animatic.videofile import VideoFacts, measure_video

        def measured(path: Path) -> list[int]:
            facts = measure_video(path)
            rate = (facts.fps.numerator, facts.fps.denominator)
            return [facts.frames, facts.width, facts.height, *rate, facts.same]

        found = self._memory.recall("video", path, 6, measured)
        if isinstance(found, str):
            return found
        frames, width, height, over, under, same = found
        return VideoFacts(frames, width, height, Fraction(over, under), same)

    def keep(self) -> None:
        """Write down what was seen, for the next time."""
        self._memory.keep()


def _measured(path: Path) -> list[int]:
    from PIL import Image, UnidentifiedImageError

    formats = photo_formats()
    if not path.stat().st_size:
        raise MediaError("the file is empty")
    try:
        with Image.open(path, formats=formats) as image:
            refuse_kind(image)
            width, height = image.size[::-1] if is_sideways(image) else image.size
            taken = _taken(image)
            image.draft(image.mode, (image.width // _REDUCED, image.height // _REDUCED))
            image.load()
            refuse_damage(image, path, "picture")
            return [width, height, _mark(image), taken]
    except (MediaError, MemoryError):
        raise
    except UnidentifiedImageError:
        raise MediaError("this is no picture that can be read") from None
    except Image.DecompressionBombError:
        raise MediaError("the picture has too many pixels") from None
    except Exception:  # A damaged file may raise anything in a decoder.
        raise MediaError(damage(path, "picture")) from None


def _taken(image: Image.Image) -> int:
    try:
        exif = image.getexif()
        return _nanoseconds(capture_time({**exif, **exif.get_ifd(_EXIF)}))
    except Exception:  # Damaged Exif may raise anything, and the picture may still be whole.
        return _NO_TIME


def _mark(image: Image.Image) -> int:
    digest = blake2b(f"{image.mode} {image.size}".encode(), digest_size=7)
    digest.update(image.tobytes())
    return int.from_bytes(digest.digest())


def _nanoseconds(taken: datetime | None) -> int:
    """Return a time as a whole number; the clock of a camera without a zone is taken for UTC."""
    if taken is None:
        return _NO_TIME
    since = (taken if taken.tzinfo is not None else taken.replace(tzinfo=UTC)) - _EPOCH
    return since // timedelta(microseconds=1) * (_SECOND // 1_000_000)
