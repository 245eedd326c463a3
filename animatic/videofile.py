"""A video file as it is: its pictures, upright, one after the other, and what it says of itself.

The shoot counts takes by it and the picture stage shows them, so that it is ground floor: both
decode in one way, and picture n is the same picture to both.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from hashlib import blake2b
from pathlib import Path

import av
import numpy as np
from av.video.frame import VideoFrame
from numpy.typing import NDArray

from animatic.errors import MediaError
from animatic.mediafile import Opened, open_container

__all__ = ["READ", "VideoFacts", "VideoFile", "measure_video"]

READ = "mov, mp4, mkv, avi, webm or mxf"
"""What an error message offers."""

# Never playlists or lists of other files: a take is the file that it is named by.
_FORMATS = "asf,avi,flv,gif,matroska,mov,mpeg,mpegts,mxf,ogg,nut,y4m,yuv4mpegpipe"
_UNKNOWN, _BT709, _BT601 = 2, 1, 5
"""Matrices by their code points in ITU-T H.273."""
_RGB = "rgb24"
_MOST_COMPARED = 8192
"""Pictures at a video's start that are looked at for doubles."""
_TRUSTED = Fraction(19, 20)
"""How much of the pictures that a length holds must be there: rates are rounded."""
_HIGH = 720
"""Rows from which a video that names no matrix is taken for BT.709 (common practice)."""


@dataclass(frozen=True, slots=True)
class VideoFacts:
    """Pictures, their upright width and height in pixels, and pictures a second as stated."""

    frames: int
    width: int
    height: int
    fps: Fraction
    same: int
    """Bit n says that picture n is the same as the one before it."""


class VideoFile(Opened):
    """A video opened for one reading of its pictures, in the order in which they are shown.

    MediaError, in words that do not name the file, where it cannot be read, at once or, for
    damage further in, when that place is reached.
    """

    def __init__(self, path: Path) -> None:
        try:
            if not path.stat().st_size:
                raise MediaError("the file is empty")
            self._container = open_container(path, _FORMATS)
        except FileNotFoundError:
            raise MediaError("the file is not there") from None
        except (av.error.FFmpegError, OSError) as error:
            said = error.strerror or type(error).__name__
            raise MediaError(f"the video cannot be read ({said}); allowed: {READ}") from None
        if not self._container.streams.video:
            self._container.close()
            raise MediaError(f"the file holds no pictures; allowed: {READ}")
        self._stream = self._container.streams.video[0]
        self._stream.thread_type = "AUTO"
        self.fps = Fraction(self._stream.average_rate or 0)
        self._least = Fraction(self._stream.frames) or self._by_duration()

    def close(self) -> None:
        """Close the file; closing twice does no harm."""
        self._container.close()

    def _by_duration(self) -> Fraction:
        """Return the pictures that there are at least by the stated length, in microseconds."""
        return Fraction(self._container.duration or 0, 1_000_000) * self.fps * _TRUSTED

    def frames(self) -> Iterator[VideoFrame]:
        """Yield every picture as it was decoded."""
        done = 0
        try:
            for frame in self._container.decode(self._stream):
                if frame.is_corrupt:
                    break
                yield frame
                done += 1
            else:
                if not done:
                    raise MediaError("the video has no picture that can be read")
                if done < self._least:
                    raise MediaError(f"the video breaks off after {done} pictures")
                return
        except av.error.FFmpegError as error:
            raise MediaError(
                f"the video is damaged after {done} pictures ({error.strerror})"
            ) from None
        raise MediaError(f"the video is damaged after {done} pictures")


def turned(frame: VideoFrame) -> int:
    """Return the quarter turns, against the clock, that make a picture upright."""
    return frame.rotation // 90 % 4


def pixels(frame: VideoFrame) -> NDArray[np.uint8]:
    """Return a decoded picture upright as height x width x 3, sRGB."""
    matrix = int(frame.colorspace)
    if matrix in (0, _UNKNOWN):
        matrix = _BT709 if frame.height >= _HIGH else _BT601
    found = frame.reformat(format=_RGB, src_colorspace=matrix).to_ndarray()
    return np.ascontiguousarray(np.rot90(found, turned(frame)), dtype=np.uint8)


def measure_video(path: Path) -> VideoFacts:
    """Return the facts of a video, by decoding it to its end; MediaError says what is wrong."""
    with VideoFile(path) as video:
        count, same, before = 0, 0, b""
        size = (0, 0)
        for frame in video.frames():
            width, height = frame.width, frame.height
            found = (height, width) if turned(frame) % 2 else (width, height)
            if count and found != size:
                raise MediaError(f"the picture's size changes after {count} pictures")
            mark = _mark(frame)
            if mark == before and count < _MOST_COMPARED:
                same |= 1 << count
            size, before, count = found, mark, count + 1
        return VideoFacts(count, *size, video.fps, same)


def _mark(frame: VideoFrame) -> bytes:
    digest = blake2b(digest_size=16)
    for plane in frame.planes:
        digest.update(plane)
    return digest.digest()
