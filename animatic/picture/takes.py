"""Pictures out of video takes, by their numbers."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from av.video.frame import VideoFrame
from PIL import Image

from animatic.errors import MediaError
from animatic.picture.photo import Photo
from animatic.videofile import VideoFile, pixels

__all__ = ["Videos"]

_MOST = 6
"""Videos open at a time: a few threads, each within a dissolve of two."""


@dataclass
class _Reader:
    """A video being read: `next` is the number of the picture that comes."""

    path: Path
    video: VideoFile
    frames: Iterator[VideoFrame]
    next: int = 0


class Videos:
    """Gives any picture of any video by decoding from the start or from where one is read to.

    Seeking would be faster and is not exact in every file; a take is short. Safe in threads:
    a reader is used by one of them at a time.
    """

    def __init__(self) -> None:
        self._idle: list[_Reader] = []
        self._lock = threading.Lock()

    def picture(self, path: Path, number: int) -> Photo:
        """Return picture `number` (from 0) of a video; MediaError names a video at fault."""
        try:
            reader = self._reader(path, number)
            frame = next(islice(reader.frames, number - reader.next, None), None)
            if frame is None:
                raise MediaError(f"there is no picture {number + 1} in it any more")
            reader.next = number + 1
            image = Image.fromarray(pixels(frame))
        except MediaError as fault:
            raise MediaError(f"{path}: {fault}") from None
        self._put_back(reader)
        return Photo(image, image.size, 1, None)

    def _reader(self, path: Path, number: int) -> _Reader:
        """Return the reader that gets to a picture soonest, taken out of the idle ones."""
        with self._lock:
            fit = [one for one in self._idle if one.path == path and one.next <= number]
            if fit:
                best = max(fit, key=lambda one: one.next)
                self._idle.remove(best)
                return best
        video = VideoFile(path)
        return _Reader(path, video, video.frames())

    def _put_back(self, reader: _Reader) -> None:
        with self._lock:
            self._idle.append(reader)
            gone = self._idle[:-_MOST]
            del self._idle[:-_MOST]
        for one in gone:
            one.video.close()
