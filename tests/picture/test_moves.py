"""Moves are smooth: the centre of a dot is followed over the frames of the film."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from picture_timelines import P, timeline
from PIL import Image

from animatic.picture import PictureMaker
from animatic.timeline.model import Box, Ease, Fit, Lettering, Move

WIDTH, HEIGHT = 2400, 1350
CANVAS = (480, 270)
DOTS = ((1130.0, 640.0), (1290.5, 730.25))
FRAMES = 49
MOVES = {
    "push in": (Box(), Box(0.3, 0.3, 0.4, 0.4)),
    "pull out": (Box(0.35, 0.35, 0.3, 0.3), Box(0.05, 0.05, 0.9, 0.9)),
    "pan": (Box(0.1, 0.2, 0.6, 0.6), Box(0.35, 0.2, 0.6, 0.6)),
    "creep": (Box(0.2, 0.2, 0.6, 0.6), Box(0.2013, 0.2007, 0.6, 0.6)),
    "tilt": (Box(0.3, 0.15, 0.5, 0.5), Box(0.3, 0.35, 0.5, 0.5)),
}


def dot_photo(path: Path, dot: tuple[float, float]) -> None:
    """A soft bright dot on black; positions count from the photo's corner."""
    y, x = np.ogrid[0.5:HEIGHT, 0.5:WIDTH]
    light = 240 * np.exp(-((x - dot[0]) ** 2 + (y - dot[1]) ** 2) / (2 * 22.0**2))
    image = Image.fromarray(light.round().astype(np.uint8)).convert("RGB")
    image.save(path, **({"quality": 97, "subsampling": 0} if path.suffix == ".jpg" else {}))


def centre(picture: np.ndarray) -> tuple[float, float]:
    """The centre of light, from the picture's corner."""
    light = picture[..., 1].astype(float)
    light[light < 12] = 0  # What JPEG leaves in the black.
    y, x = np.mgrid[0.5 : picture.shape[0], 0.5 : picture.shape[1]]
    return float((light * x).sum() / light.sum()), float((light * y).sum() / light.sum())


def curve(t: float, kind: Ease) -> float:
    """The eases, written down once more."""
    return {"none": t, "in": t**2, "out": 1 - (1 - t) ** 2, "both": 3 * t**2 - 2 * t**3}[kind]


@pytest.mark.parametrize("name", MOVES)
@pytest.mark.parametrize(
    ("kind", "ease", "fit", "dot"),
    [
        ("jpg", "both", "cover", DOTS[0]),
        ("png", "in", "contain", DOTS[1]),
        ("jpg", "none", "cover", DOTS[1]),
        ("png", "out", "cover", DOTS[0]),
    ],
)
def test_a_dot_keeps_to_the_curve(
    tmp_path: Path, name: str, kind: str, ease: Ease, fit: Fit, dot: tuple[float, float]
) -> None:
    path, (start, end) = tmp_path / f"dot.{kind}", MOVES[name]
    dot_photo(path, dot)
    move = Move(end, ease, 0, FRAMES - 1)
    film = timeline([P(path, FRAMES, fit=fit, crop=start, move=move)], size=CANVAS)
    maker = PictureMaker(film)
    errors = []
    for frame in range(0, FRAMES, 2):
        done = curve(frame / (FRAMES - 1), ease)
        left, top, width, height = (
            a + (b - a) * done
            for a, b in zip(
                (start.left, start.top, start.width, start.height),
                (end.left, end.top, end.width, end.height),
                strict=True,
            )
        )
        wanted = (
            (dot[0] - left * WIDTH) / (width * WIDTH) * CANVAS[0],
            (dot[1] - top * HEIGHT) / (height * HEIGHT) * CANVAS[1],
        )
        found = centre(maker.frame(frame))
        errors.append((found[0] - wanted[0], found[1] - wanted[1]))
    off = np.array(errors)
    assert abs(off).max() < 0.1
    # No jitter: from frame to frame the error does not jump.
    assert abs(np.diff(off, axis=0)).max() < 0.05


def test_the_finest_detail_does_not_tremble(tmp_path: Path) -> None:
    """A speck of three pixels, a third of a pixel in the film, keeps its place and its light."""
    path, speck = tmp_path / "speck.png", (1201.5, 676.5)
    light = np.full((HEIGHT, WIDTH), 100, np.uint8)
    light[675:678, 1200:1203] = 255
    Image.fromarray(light).save(path)
    crop, to = Box(0.1, 0.1, 0.65, 0.65), Box(0.12, 0.115, 0.65, 0.65)
    film = timeline([P(path, 49, crop=crop, move=Move(to, "none", 0, 48))], size=CANVAS)
    maker, off = PictureMaker(film), []
    for frame in range(49):
        left, top = 0.1 + 0.02 * frame / 48, 0.1 + 0.015 * frame / 48
        seen = maker.frame(frame).astype(float) - 100
        y, x = np.mgrid[0.5 : CANVAS[1], 0.5 : CANVAS[0]]
        whole = seen[..., 1].sum()
        off.append(
            (
                (seen[..., 1] * x).sum() / whole
                - (speck[0] - left * WIDTH) / (0.65 * WIDTH) * CANVAS[0],
                (seen[..., 1] * y).sum() / whole
                - (speck[1] - top * HEIGHT) / (0.65 * HEIGHT) * CANVAS[1],
            )
        )
    assert abs(np.array(off)).max() < 0.06


def test_the_move_is_the_same_film_in_any_order(tmp_path: Path) -> None:
    path = tmp_path / "dot.jpg"
    dot_photo(path, DOTS[0])
    move = Move(Box(0.3, 0.3, 0.4, 0.4), "both", 4, 20)
    film = timeline([P(path, 24, move=move)], size=(160, 90), lettering=Lettering())
    one, other = PictureMaker(film), PictureMaker(film)
    forwards = [one.frame(n).tobytes() for n in range(24)]
    backwards = [other.frame(n).tobytes() for n in reversed(range(24))][::-1]
    assert forwards == backwards
    # It rests to the panel's frame 4 and from 20 on, and moves in every frame between.
    assert len(set(forwards[:5])) == 1
    assert len(set(forwards[4:21])) == 17
    assert len(set(forwards[20:])) == 1


def test_at_rest_a_moving_panel_looks_as_one_that_never_moves(tmp_path: Path) -> None:
    path, end = tmp_path / "dot.png", Box(0.3, 0.3, 0.4, 0.4)
    dot_photo(path, DOTS[0])
    move = Move(end, "both", 4, 20)
    film = timeline([P(path, 24, move=move)], [P(path)], [P(path, crop=end)], size=(160, 90))
    maker = PictureMaker(film)
    for moving, still in ((0, 30), (23, 50)):
        difference = maker.frame(moving).astype(int) - maker.frame(still)
        assert abs(difference).max() <= 2
