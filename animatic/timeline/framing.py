"""Which part of a photo fills the picture at a frame: arithmetic alone, in float pixels.

A view is the rectangle of the upright photo, in photo pixels, that lies under the whole
canvas. It has the canvas's shape, so one scale serves both directions, and may reach beyond
the photo where `contain` leaves bars. A move runs straight from the first view to the last,
as a camera on rails does: the width of the field changes with the distance travelled.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor

from animatic.timeline.model import Box, Ease, Fit, Move, Panel

__all__ = [
    "Framing",
    "Rect",
    "box_at",
    "ease",
    "framing_at",
    "is_moving",
    "scale",
    "source_box",
]

Size = tuple[int, int]
Rect = tuple[float, float, float, float]
"""Left, top, right, bottom."""

# A hundred-thousandth of a pixel: float noise must not cost a row at the edge of a photo.
_NOISE = 1e-5


@dataclass(frozen=True, slots=True)
class Framing:
    """How one canvas is filled: `source` of the photo, in photo pixels, goes to `target`.

    `target` is left, top, right, bottom on the canvas in whole pixels; what is outside it
    stays black.
    """

    source: Rect
    target: tuple[int, int, int, int]


def ease(t: float, kind: Ease) -> float:
    """Return how far a move has come when the part `t` of its time is over; both 0 to 1.

    `in` starts from rest with even acceleration, `out` comes to rest with even deceleration,
    `both` does both (3t² - 2t³); values of `t` outside 0 to 1 rest at the ends.

    >>> [ease(t, "both") for t in (-1.0, 0.25, 0.5, 1.0)]
    [0.0, 0.15625, 0.5, 1.0]
    >>> ease(0.5, "none"), ease(0.5, "in"), ease(0.5, "out")
    (0.5, 0.25, 0.75)
    """
    t = min(1.0, max(0.0, t))
    if kind == "in":
        return t * t
    if kind == "out":
        return t * (2.0 - t)
    if kind == "both":
        return t * t * (3.0 - 2.0 * t)
    return t


def _progress(move: Move, frame: int) -> float:
    """Return the eased part of the move that is done at a frame of the panel."""
    if frame <= move.first:
        return 0.0
    if frame >= move.last:
        return 1.0
    return ease((frame - move.first) / (move.last - move.first), move.ease)


def is_moving(panel: Panel, frame: int) -> bool:
    """Whether a frame of the panel lies inside its move, where no other frame looks the same."""
    return panel.move is not None and panel.move.first < frame < panel.move.last


def box_at(panel: Panel, frame: int) -> Box:
    """Return the part of the photo that a panel asks for at a frame of the panel.

    Outside the move the framing rests: frames below 0 or beyond the panel's end are allowed.
    """
    move, crop = panel.move, panel.crop
    if move is None:
        return crop
    done = _progress(move, frame)
    if done in (0.0, 1.0):
        return move.to if done else crop
    pairs = zip(_sides(crop), _sides(move.to), strict=True)
    return Box(*(a + (b - a) * done for a, b in pairs))


def _sides(box: Box) -> Rect:
    return box.left, box.top, box.width, box.height


def _pixels(box: Box, photo_size: Size) -> Rect:
    """Return a box in photo pixels, kept inside the photo."""
    width, height = photo_size
    left, top = max(0.0, box.left * width), max(0.0, box.top * height)
    right = min(float(width), (box.left + box.width) * width)
    bottom = min(float(height), (box.top + box.height) * height)
    return left, top, right, bottom


def source_box(photo_size: Size, canvas: Size, fit: Fit, crop: Box) -> Rect:
    """Return the rectangle of the photo, in photo pixels, that lies under the whole canvas.

    `photo_size` and `canvas` are width and height in pixels. With `cover` it is the largest
    rectangle of the canvas's shape in the middle of the crop; with `contain` the smallest one
    round the crop, which reaches beyond it where the bars are.

    >>> source_box((4000, 3000), (1920, 1080), "cover", Box())
    (0.0, 375.0, 4000.0, 2625.0)
    >>> source_box((3000, 3000), (2000, 1000), "contain", Box())
    (-1500.0, 0.0, 4500.0, 3000.0)
    """
    left, top, right, bottom = _pixels(crop, photo_size)
    across, down = (right - left) / canvas[0], (bottom - top) / canvas[1]
    if (across < down) == (fit == "cover"):
        half, middle = canvas[1] * across / 2, (top + bottom) / 2
        return left, middle - half, right, middle + half
    half, middle = canvas[0] * down / 2, (left + right) / 2
    return middle - half, top, middle + half, bottom


def _mixed(a: Rect, b: Rect, part: float) -> Rect:
    left, top, right, bottom = (x + (y - x) * part for x, y in zip(a, b, strict=True))
    return left, top, right, bottom


def framing_at(panel: Panel, canvas: Size, frame: int) -> Framing:
    """Return how the canvas is filled at a frame of the panel.

    The map from photo to canvas is one scale and one shift, both free of steps; the edge of
    a bar falls on a whole pixel.
    """
    size, move = panel.photo_size, panel.move
    view = source_box(size, canvas, panel.fit, panel.crop)
    if move is not None:
        last = source_box(size, canvas, panel.fit, move.to)
        view = _mixed(view, last, _progress(move, frame))
    if panel.fit == "cover":
        return Framing(_inside(view, size), (0, 0, *canvas))
    left, top, right, bottom = _pixels(box_at(panel, frame), size)
    step = (view[2] - view[0]) / canvas[0]
    x = _whole((left - view[0]) / step, (right - view[0]) / step, canvas[0])
    y = _whole((top - view[1]) / step, (bottom - view[1]) / step, canvas[1])
    source = (
        view[0] + x[0] * step,
        view[1] + y[0] * step,
        view[0] + x[1] * step,
        view[1] + y[1] * step,
    )
    return Framing(_inside(source, size), (x[0], y[0], x[1], y[1]))


def _whole(first: float, end: float, limit: int) -> tuple[int, int]:
    """Return the whole pixels inside [first, end), at least one."""
    start = min(max(0, ceil(first - _NOISE)), limit - 1)
    return start, max(start + 1, min(limit, floor(end + _NOISE)))


def _inside(rect: Rect, size: Size) -> Rect:
    """Return a rectangle without the float noise that would put it outside the photo."""
    left, top, right, bottom = rect
    return max(0.0, left), max(0.0, top), min(float(size[0]), right), min(float(size[1]), bottom)


def scale(panel: Panel, canvas: Size) -> float:
    """Return canvas pixels per photo pixel at a panel's tightest framing.

    Above 1 the photo is smaller than the picture that it has to fill.
    """
    boxes = [panel.crop] if panel.move is None else [panel.crop, panel.move.to]
    views = (source_box(panel.photo_size, canvas, panel.fit, box) for box in boxes)
    return max(canvas[0] / (view[2] - view[0]) for view in views)
