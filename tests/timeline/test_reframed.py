"""Photos laid over each other: known gains found again through another framing, and nothing else.

The photographs are scikit-image's and scikit-learn's; `stereo_motorcycle` is two real
photographs of one scene from two places (Middlebury stereo data).
"""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from animatic.board.light import BLACK, BURNT, COLUMNS, ROWS, look_at_lights
from animatic.timeline import reframed
from animatic.timeline.reframed import SHAPE, Sight, correlation, overlap, transformed
from animatic.timeline.views import grid_of
from tests.photographs import exposed, framed, photograph

DEMO = Path(__file__).parents[2] / "demo_board" / "photos"
PHOTOGRAPHS = ("china", "astronaut", "chelsea", "coffee", "rocket", "flower")
GAIN = (-0.82, -0.70, -0.55)
"""Stops of red, green and blue; darker, so that next to nothing burns out."""
FRAMES = {
    "a pan": (0.3, 0.1, 0.7, 0.7),
    "a tilt": (0.0, 0.3, 0.7, 0.7),
    "half as wide": (0.25, 0.2, 0.5, 0.5),
    "twice as near, aside": (0.45, 0.4, 0.5, 0.5),
}


@pytest.fixture
def sight(tmp_path, monkeypatch):
    """What makes a picture ready to be laid over others, by way of a file."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))

    def made(picture: np.ndarray) -> Sight:
        path = tmp_path / f"{len(list(tmp_path.iterdir()))}.png"
        Image.fromarray(picture).save(path)
        return from_file(path)

    return made


def from_file(path: Path) -> Sight:
    return Sight(grid_of(look_at_lights([path])[path]).reshape(ROWS, COLUMNS, 3))


def off(found, wanted=GAIN) -> float:
    """How far what was found is from the gain, in hundredths of a stop."""
    return float(abs(np.array(found.brighter) - 100 * np.array(wanted)).max())


@pytest.mark.parametrize("frame", FRAMES.values(), ids=FRAMES)
@pytest.mark.parametrize("name", PHOTOGRAPHS[:4])
def test_a_known_gain_is_found_through_another_framing(sight, name: str, frame) -> None:
    wide = sight(photograph(name))
    other = sight(exposed(framed(photograph(name), frame), GAIN))
    found, opposite = overlap(other, wide), overlap(wide, other)
    assert found is not None
    assert opposite is not None
    assert off(found) <= 6
    assert off(opposite, [-part for part in GAIN]) <= 6


@pytest.mark.parametrize("stops", [1.2, -2.5])
def test_what_is_burnt_out_or_lost_in_the_dark_does_not_count(sight, stops: float) -> None:
    wide = sight(photograph("coffee"))
    for name in ("a pan", "half as wide"):
        found = overlap(sight(exposed(framed(photograph("coffee"), FRAMES[name]), stops)), wide)
        assert found is not None
        assert off(found, [stops] * 3) <= 11


@pytest.mark.parametrize(("turn", "keystone"), [(3, 0.0), (-4, 0.0), (2, 0.1), (-2, -0.1)])
def test_a_hand_held_camera_and_a_puppet_that_came_in_do_not_matter(
    sight, turn: float, keystone: float
) -> None:
    for name in ("chelsea", "coffee"):
        picture = framed(photograph(name), (0.2, 0.15, 0.6, 0.6), turn, keystone)
        picture[200:, 320:420] = (180, 40, 30)
        found = overlap(sight(exposed(picture, GAIN)), sight(photograph(name)))
        assert found is not None
        assert off(found) <= 6


@pytest.mark.parametrize("frame", [(0, 0, 1, 1), (0.1, 0.1, 0.8, 0.8), (0.25, 0.2, 0.5, 0.5)])
def test_two_real_photographs_of_one_scene_agree(sight, frame) -> None:
    """From the place of the other eye; the two were taken at one exposure."""
    other = sight(exposed(framed(photograph("right"), frame), GAIN))
    found = overlap(other, sight(photograph("left")))
    assert found is not None
    assert off(found) <= 12


def test_photographs_of_other_things_share_nothing(sight) -> None:
    frames = [(0.0, 0.0, 1.0, 1.0), (0.1, 0.2, 0.6, 0.6), (0.5, 0.5, 0.4, 0.4)]
    sights = {
        name: [sight(framed(photograph(name), frame)) for frame in frames]
        for name in (*PHOTOGRAPHS, "left")
    }
    for one, other in combinations(sights, 2):
        for first in sights[one]:
            for second in sights[other]:
                assert overlap(first, second) is None, (one, other)
                # Not even where they lie best, before their lights are compared.
                assert reframed._best(first, second).sureness < reframed._SURE


@pytest.mark.parametrize("name", ["boat_away", "horizon_pov"])
def test_a_horizon_alone_is_not_enough(sight, name: str) -> None:
    """Of the demo: a face before the evening sky, and the sea by day."""
    face, sea = (from_file(DEMO / f"{one}.jpg") for one in ("pim_dusk_cu", name))
    assert overlap(face, sea) is None
    place = max(reframed._best(face, sea), reframed._best(sea, face), key=lambda p: p.sureness)
    assert place.sureness > 13
    assert place.margin < reframed._MARGIN / 2


@pytest.mark.parametrize("name", ["rocket", "flower"])
def test_what_is_mostly_smooth_is_compared_rightly_or_not_at_all(sight, name: str) -> None:
    """A sky at dusk, and a bloom before a blurred ground."""
    random = np.random.default_rng(11)
    compared = 0
    for _ in range(12):
        size = random.uniform(0.5, 0.8, 2)
        first, second = ((*random.uniform(0, 1 - part, 2), part, part) for part in size)
        one, other = (framed(photograph(name), frame) for frame in (first, second))
        found = overlap(sight(exposed(one, GAIN)), sight(other))
        if found is not None:
            compared += 1
            assert off(found) <= 20
    assert compared > 0


def test_a_light_that_no_camera_gives_is_none_of_a_camera(sight) -> None:
    """The same picture through a deep filter: what differs is not the automatics."""
    wide = sight(photograph("coffee"))
    assert overlap(sight(exposed(photograph("coffee"), (0.5, 0.0, -1.0))), wide) is None


@pytest.mark.parametrize("value", [0, BLACK, BURNT, -300])
def test_a_photo_without_any_drawing_shares_nothing(sight, value: int) -> None:
    flat = Sight(np.full((ROWS, COLUMNS, 3), {BURNT: np.inf, BLACK: -np.inf}.get(value, value)))
    wide = sight(photograph("coffee"))
    assert overlap(flat, wide) is None
    assert overlap(wide, flat) is None
    assert overlap(flat, flat) is None


def test_the_correlation_is_that_of_numpy_over_what_overlaps() -> None:
    """`numpy.corrcoef` of the two parts, for shifts to all sides."""
    random = np.random.default_rng(7)
    far, near = random.normal(size=(ROWS, COLUMNS)), random.normal(size=(20, 26))
    alike, count, least = correlation(transformed(far), transformed(near)[None])
    for down, across in [(0, 0), (3, 5), (-8, 4), (10, -9), (25, 30), (-15, -20), (30, 40)]:
        top, left = max(0, down), max(0, across)
        bottom, right = min(ROWS, down + 20), min(COLUMNS, across + 26)
        one = far[top:bottom, left:right].ravel()
        two = near[top - down : bottom - down, left - across : right - across].ravel()
        at = (0, down % SHAPE[0], across % SHAPE[1])
        assert alike[at] == pytest.approx(np.corrcoef(one, two)[0, 1], abs=1e-3)
        assert count[at] == one.size
        assert least[at] == pytest.approx(min(one.std(), two.std()), abs=1e-3)
