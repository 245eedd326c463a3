"""The film as a moviepy clip: exactly its frames, at every rate."""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from picture_timelines import P, timeline
from PIL import Image

from animatic.frames import RATES, Rate
from animatic.picture import PictureMaker, film_clip
from animatic.picture.clip import frame_at
from animatic.timeline.model import Lettering, Timeline, Transition


def film(tmp_path: Path, rate: str) -> Timeline:
    shots = []
    # 29 frames in all: at 25 a second moviepy's own count would lose one.
    for number, length in enumerate((1, 2, 7, 1, 18)):
        path = tmp_path / f"{number}.png"
        Image.new("RGB", (16, 10), (40 * number + 20, 255 - 30 * number, 7 * number)).save(path)
        shots.append([P(path, length)])
    return timeline(
        *shots,
        size=(32, 20),
        rate=rate,
        lettering=Lettering(),
        transitions={4: Transition(to_black=5)},
    )


@pytest.mark.parametrize("rate", RATES)
def test_the_clip_has_exactly_the_films_frames(tmp_path: Path, rate: str) -> None:
    timed = film(tmp_path, rate)
    clip, maker = film_clip(timed), PictureMaker(timed)
    assert clip.size == (32, 20) or list(clip.size) == [32, 20]
    assert clip.fps == pytest.approx(float(timed.rate.fps), abs=0)
    assert Fraction(29, 1) / timed.rate.fps < clip.duration < Fraction(30, 1) / timed.rate.fps
    frames = list(clip.iter_frames())
    assert len(frames) == timed.frames == 29
    for number, picture in enumerate(frames):
        assert np.array_equal(picture, maker.frame(number)), number


def test_its_pictures_may_be_drawn_on(tmp_path: Path) -> None:
    clip = film_clip(film(tmp_path, "24"))
    picture = clip.get_frame(0)
    before = picture.copy()
    picture[:] = 0
    assert np.array_equal(clip.get_frame(0), before)


def test_moviepys_own_tools_work_on_it(tmp_path: Path) -> None:
    timed = film(tmp_path, "25")
    clip, maker = film_clip(timed), PictureMaker(timed)
    part = clip.subclipped(3 / 25, 10 / 25)
    assert np.array_equal(part.get_frame(0), maker.frame(3))
    assert np.array_equal(clip.get_frame(10**6), maker.frame(28))
    assert np.array_equal(clip.get_frame(-1), maker.frame(0))


@pytest.mark.parametrize("name", RATES)
def test_times_find_their_frame(name: str) -> None:
    """A frame shows from its own time to the next one's, whatever way a float was made."""
    rate = Rate.named(name)
    fps = float(rate.fps)
    for number in (*range(200), 86_399, 86_400, 1_000_003):
        assert frame_at(number / fps, rate) == number
        assert frame_at(float(Fraction(number) / rate.fps), rate) == number
        assert frame_at(number * (1 / fps), rate) == number
        assert frame_at((number + 0.5) / fps, rate) == number
        assert frame_at((number + 0.99) / fps, rate) == number


def test_moviepy_is_loaded_by_the_clip_alone() -> None:
    code = (
        "import sys, animatic.picture; from animatic.picture import PictureMaker, load_photo,"
        " film_clip\nprint('moviepy' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_what_the_stage_exports() -> None:
    import animatic.picture

    assert animatic.picture.__all__ == sorted(animatic.picture.__all__)
    for name in animatic.picture.__all__:
        assert getattr(animatic.picture, name).__name__ == name
    with pytest.raises(AttributeError, match=r"module 'animatic\.picture' has no attribute 'x'"):
        _ = animatic.picture.x
