"""The film as a moviepy clip."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

from animatic.frames import Rate, frames_from_seconds
from animatic.picture.maker import PictureMaker

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from animatic.timeline.model import Timeline

__all__ = ["film_clip", "frame_at"]

# A time that a float puts a hair before a frame's start belongs to that frame.
_BEFORE = Fraction(499, 1000)


def frame_at(seconds: float, rate: Rate) -> int:
    """Return the frame that shows at a time in seconds: frame n from n / rate on.

    A thousandth of a frame is allowed for the error of a float.

    >>> [frame_at(seconds, Rate.named("24")) for seconds in (0.0, 29 / 24, 29.9 / 24)]
    [0, 29, 29]
    """
    return frames_from_seconds(Fraction(seconds) - _BEFORE / rate.fps, rate)


def film_clip(timeline: Timeline) -> Any:
    """Return the film's picture as one moviepy `VideoClip`, for scripts of one's own.

    Its frame function looks up whole frames, so no cut can slip; its pictures are writable
    arrays of shape (height, width, 3), uint8. moviepy counts int(duration * fps) frames, so
    half a frame is added to the duration: it then finds exactly the film's. Times outside
    the film show its first or last frame. Sound is not part of it.

    >>> from pathlib import Path
    >>> from animatic.board import read_board
    >>> from animatic.timeline import lay_out
    >>> clip = film_clip(lay_out(read_board(Path("demo_board"))))
    >>> clip.fps, clip.size, clip.get_frame(2.0).shape
    (24.0, (1920, 1080), (1080, 1920, 3))
    """
    # Here, since moviepy takes long to import and nothing else in the package needs it.
    from moviepy import VideoClip

    maker, rate, last = PictureMaker(timeline), timeline.rate, timeline.frames - 1

    def picture(seconds: float) -> NDArray[np.uint8]:
        return maker.frame(min(max(0, frame_at(seconds, rate)), last)).copy()

    duration = (timeline.frames + Fraction(1, 2)) / rate.fps
    clip = VideoClip(frame_function=picture, duration=float(duration))
    return clip.with_fps(float(rate.fps))
