"""Which part of a photo fills the picture: arithmetic, and the same measured in pixels."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import cv2
import numpy as np
import pytest
import skimage
from hypothesis import given
from hypothesis import strategies as st
from picture_timelines import P, timeline
from PIL import Image

from animatic.picture import PictureMaker, load_photo
from animatic.timeline.framing import box_at, ease, framing_at, scale, source_box
from animatic.timeline.model import Box, Ease, Fit, Move, Panel

SIDES = st.integers(1, 9000)
CANVASES = st.sampled_from([(1920, 1080), (160, 90), (1080, 1920), (998, 666), (2, 4000)])
FITS: list[Fit] = ["cover", "contain"]
EASES: list[Ease] = ["none", "in", "out", "both"]


@st.composite
def boxes(draw: st.DrawFn) -> Box:
    width, height = draw(st.floats(0.01, 1)), draw(st.floats(0.01, 1))
    return Box(
        draw(st.floats(0, 1)) * (1 - width), draw(st.floats(0, 1)) * (1 - height), width, height
    )


def panel(
    photo_size: tuple[int, int],
    fit: Fit = "cover",
    crop: Box | None = None,
    move: Move | None = None,
) -> Panel:
    return Panel(0, 1, "10", 0, 48, 2, Path("p"), photo_size, fit, crop or Box(), move)


@given(st.tuples(SIDES, SIDES), CANVASES, st.sampled_from(FITS), boxes())
def test_a_view_has_the_canvas_shape_and_the_crops_middle(
    photo: tuple[int, int], canvas: tuple[int, int], fit: Fit, crop: Box
) -> None:
    left, top, right, bottom = source_box(photo, canvas, fit, crop)
    across, down = (right - left) / canvas[0], (bottom - top) / canvas[1]
    assert across == pytest.approx(down, rel=1e-6)
    assert (left + right) / 2 == pytest.approx((crop.left + crop.width / 2) * photo[0], abs=1e-6)
    assert (top + bottom) / 2 == pytest.approx((crop.top + crop.height / 2) * photo[1], abs=1e-6)
    wide, high = (right - left) / (crop.width * photo[0]), (bottom - top) / (crop.height * photo[1])
    # One side is the crop's own; the other lies inside it (cover) or round it (contain).
    near, far = sorted((wide, high))
    assert (far if fit == "cover" else near) == pytest.approx(1, rel=1e-6)


@given(
    st.tuples(SIDES, SIDES), CANVASES, st.sampled_from(FITS), boxes(), boxes(), st.integers(-9, 60)
)
def test_what_is_shown_lies_inside_photo_and_canvas(
    photo: tuple[int, int], canvas: tuple[int, int], fit: Fit, crop: Box, to: Box, frame: int
) -> None:
    framing = framing_at(panel(photo, fit, crop, Move(to, "both", 5, 40)), canvas, frame)
    left, top, right, bottom = framing.source
    assert 0 <= left < right <= photo[0]
    assert 0 <= top < bottom <= photo[1]
    x, y, end_x, end_y = framing.target
    assert 0 <= x < end_x <= canvas[0]
    assert 0 <= y < end_y <= canvas[1]
    if fit == "cover":
        assert framing.target == (0, 0, *canvas)


# Published nowhere: plain geometry, worked by hand.
@pytest.mark.parametrize(
    ("photo", "canvas", "fit", "crop", "view"),
    [
        ((4000, 3000), (1920, 1080), "cover", Box(), (0, 375, 4000, 2625)),
        ((3000, 4000), (1920, 1080), "cover", Box(), (0, 1156.25, 3000, 2843.75)),
        ((4000, 2000), (1000, 1000), "cover", Box(), (1000, 0, 3000, 2000)),
        ((4000, 2000), (1000, 1000), "contain", Box(), (0, -1000, 4000, 3000)),
        ((4000, 3000), (1600, 1200), "cover", Box(0.5, 0.5, 0.25, 0.25), (2000, 1500, 3000, 2250)),
        ((4000, 3000), (1600, 1200), "cover", Box(0, 0, 1, 0.5), (1000, 0, 3000, 1500)),
        ((4000, 3000), (1600, 1200), "contain", Box(0, 0, 1, 0.5), (0, -750, 4000, 2250)),
    ],
)
def test_views(
    photo: tuple[int, int],
    canvas: tuple[int, int],
    fit: Fit,
    crop: Box,
    view: tuple[float, float, float, float],
) -> None:
    assert source_box(photo, canvas, fit, crop) == pytest.approx(view)


def test_scale_is_canvas_pixels_a_photo_pixel_at_the_tightest() -> None:
    assert scale(panel((3840, 2160)), (1920, 1080)) == pytest.approx(0.5)
    assert scale(panel((960, 2000)), (1920, 1080)) == pytest.approx(2.0)
    assert scale(panel((3840, 2160), crop=Box(0, 0, 0.25, 0.25)), (1920, 1080)) == pytest.approx(2)
    assert scale(panel((3840, 4320), "contain"), (1920, 1080)) == pytest.approx(0.25)
    push = Move(Box(0.25, 0.25, 0.5, 0.5), "both", 0, 24)
    assert scale(panel((3840, 2160), move=push), (1920, 1080)) == pytest.approx(1.0)
    pull = Move(Box(), "both", 0, 24)
    tight = panel((3840, 2160), crop=Box(0.25, 0.25, 0.5, 0.5), move=pull)
    assert scale(tight, (1920, 1080)) == pytest.approx(1.0)


def test_eases_against_the_curves_by_hand() -> None:
    assert [ease(n / 4, "none") for n in range(5)] == [0, 0.25, 0.5, 0.75, 1]
    assert [ease(n / 4, "in") for n in range(5)] == [0, 0.0625, 0.25, 0.5625, 1]
    assert [ease(n / 4, "out") for n in range(5)] == [0, 0.4375, 0.75, 0.9375, 1]
    assert [ease(n / 4, "both") for n in range(5)] == [0, 0.15625, 0.5, 0.84375, 1]


@given(st.sampled_from(EASES), st.floats(-2, 3), st.floats(-2, 3))
def test_eases_never_turn_back_and_rest_at_their_ends(kind: Ease, a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert 0 <= ease(low, kind) <= ease(high, kind) <= 1
    if a <= 0:
        assert ease(a, kind) == 0
    if a >= 1:
        assert ease(a, kind) == 1


def test_in_and_out_are_each_other_backwards() -> None:
    for n in range(101):
        assert ease(n / 100, "in") == pytest.approx(1 - ease(1 - n / 100, "out"))
        assert ease(n / 100, "both") == pytest.approx(1 - ease(1 - n / 100, "both"))


def test_a_move_rests_before_its_first_and_after_its_last_frame() -> None:
    start, to = Box(0, 0, 0.5, 0.5), Box(0.5, 0.25, 0.25, 0.5)
    moving = panel((1000, 1000), crop=start, move=Move(to, "none", 10, 20))
    for frame in (-30, 0, 10):
        assert box_at(moving, frame) == start
    for frame in (20, 21, 200):
        assert box_at(moving, frame) == to
    assert box_at(moving, 15) == Box(0.25, 0.125, 0.375, 0.5)
    cut = panel((1000, 1000), crop=start, move=Move(to, "both", 10, 11))
    assert [box_at(cut, frame) for frame in (10, 11)] == [start, to]


def ramp_photo(path: Path, size: tuple[int, int], step: int = 1) -> None:
    """Red tells the column, green the row, in codes of `step` pixels."""
    y, x = np.mgrid[: size[1], : size[0]]
    Image.fromarray(np.stack([x // step, y // step, x * 0 + 128], axis=2).astype(np.uint8)).save(
        path, **({"quality": 100, "subsampling": 0} if path.suffix == ".jpg" else {})
    )


CROPS = [Box(), Box(0.1, 0.2, 0.5, 0.5), Box(0.301, 0.107, 0.633, 0.511), Box(0, 0, 0.3, 0.9)]


@pytest.mark.parametrize("crop", CROPS)
@pytest.mark.parametrize("fit", FITS)
@pytest.mark.parametrize("canvas", [(64, 36), (320, 180), (90, 160), (100, 100)])
def test_every_pixel_shows_its_place_on_the_photo(
    tmp_path: Path, canvas: tuple[int, int], fit: Fit, crop: Box
) -> None:
    """Geometry by hand: pixel i of n over a span from a lies at a + (i + 1/2) * span / n."""
    path, (width, height) = tmp_path / "ramp.png", (240, 200)
    ramp_photo(path, (width, height))
    film = timeline([P(path, fit=fit, crop=crop)], size=canvas)
    picture = PictureMaker(film).panel(film.panels[0]).astype(float)
    wide, high = crop.width * width, crop.height * height
    choose = min if fit == "cover" else max
    step = choose(wide / canvas[0], high / canvas[1])
    x = crop.left * width + wide / 2 + (np.arange(canvas[0]) + 0.5 - canvas[0] / 2) * step
    y = crop.top * height + high / 2 + (np.arange(canvas[1]) + 0.5 - canvas[1] / 2) * step
    inside_x = (x > crop.left * width + step) & (x < crop.left * width + wide - step)
    inside_y = (y > crop.top * height + step) & (y < crop.top * height + high - step)
    # A code's middle lies half a pixel in; at the photo's own edge a ramp flattens.
    clear_x = inside_x & (x > 4 * max(1, step)) & (x < width - 4 * max(1, step))
    clear_y = inside_y & (y > 4 * max(1, step)) & (y < height - 4 * max(1, step))
    assert clear_x.any()
    assert clear_y.any()
    shown = picture[np.ix_(clear_y, clear_x)]
    assert abs(shown[..., 0] - (x[clear_x] - 0.5)).max() <= 1.0
    assert abs(shown[..., 1] - (y[clear_y] - 0.5)[:, None]).max() <= 1.0
    beyond_x = (x < crop.left * width - step) | (x > crop.left * width + wide + step)
    beyond_y = (y < crop.top * height - step) | (y > crop.top * height + high + step)
    if fit == "contain":
        assert not picture[:, beyond_x].any()
        assert not picture[beyond_y].any()
        assert beyond_x.any() or beyond_y.any() or canvas[0] * high == canvas[1] * wide
    else:
        assert picture.any(axis=2).all()


def test_a_jpeg_decoded_smaller_keeps_its_place(tmp_path: Path) -> None:
    """Odd sizes: an eighth of 2003 pixels is no whole number."""
    path, (width, height) = tmp_path / "ramp.jpg", (2003, 1501)
    ramp_photo(path, (width, height), step=8)
    film = timeline([P(path, crop=Box(0.05, 0.05, 0.9, 0.9))], size=(160, 120))
    picture = PictureMaker(film).panel(film.panels[0]).astype(float)
    step = min(width * 0.9 / 160, height * 0.9 / 120)
    x = width / 2 + (np.arange(160) + 0.5 - 80) * step
    y = height / 2 + (np.arange(120) + 0.5 - 60) * step
    # Codes of eight pixels: a tenth of a code is eight tenths of a photo pixel.
    assert abs(picture[..., 0] - (x / 8 - 0.5)).mean() < 0.6
    assert abs((picture[..., 0] - (x / 8 - 0.5)).mean()) < 0.1
    assert abs((picture[..., 1] - (y / 8 - 0.5)[:, None]).mean()) < 0.1


@pytest.mark.parametrize("name", ["coffee.png", "chelsea.png", "astronaut.png", "rocket.jpg"])
def test_photographs_scaled_down_look_as_opencv_makes_them(name: str, tmp_path: Path) -> None:
    """OpenCV's area filter is another one, so 34 dB will do: a shift of a pixel costs more."""
    path = Path(skimage.__file__).parent / "data" / name
    whole = np.asarray(load_photo(path))
    height, width = whole.shape[0] // 3, whole.shape[1] // 3
    film = timeline([P(path)], size=(width, height))
    picture = PictureMaker(film).panel(film.panels[0]).astype(float)
    left, top, right, bottom = (
        round(side) for side in source_box(whole.shape[1::-1], (width, height), "cover", Box())
    )
    part = np.ascontiguousarray(whole[top:bottom, left:right])
    wanted = cv2.resize(part, (width, height), interpolation=cv2.INTER_AREA).astype(float)

    def decibels(one: np.ndarray, other: np.ndarray) -> float:
        return float(10 * np.log10(255**2 / ((one - other) ** 2).mean()))

    assert decibels(picture, wanted) > 30
    assert decibels(picture, wanted) > decibels(np.roll(picture, 1, axis=1), wanted) + 3
    assert decibels(picture, wanted) > decibels(np.roll(picture, 1, axis=0), wanted) + 3


@pytest.mark.parametrize("size", [(8000, 10), (10, 8000), (1, 1)])
@pytest.mark.parametrize("fit", FITS)
def test_extreme_shapes_make_a_picture(tmp_path: Path, size: tuple[int, int], fit: Fit) -> None:
    path = tmp_path / "photo.png"
    Image.new("RGB", size, (200, 100, 50)).save(path)
    film = timeline([P(path, fit=fit)], size=(160, 90))
    picture = PictureMaker(film).frame(0)
    assert picture.shape == (90, 160, 3)
    assert picture.max() == 200


def test_framing_is_had_without_the_parts_that_make_pixels() -> None:
    code = (
        "import sys, animatic.timeline.framing\n"
        "print([name for name in ('animatic.picture', 'PIL', 'moviepy') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
