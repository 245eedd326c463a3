"""What two photos share: known gains found again through other framings and from elsewhere.

The photographs are scikit-image's and scikit-learn's; `stereo_motorcycle` is two real
photographs of one scene from two places (Middlebury stereo data). The corner of a set is laid
out by OpenCV, from photographs as wallpaper.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import combinations
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

from animatic.board.keypoints import Keypoints, keypoints_in, look_for_keypoints
from animatic.timeline import matched
from animatic.timeline.matched import overlap
from tests.photographs import Frame, corner, exposed, framed, photograph

DEMO = Path(__file__).parents[2] / "demo_board" / "photos"
PHOTOGRAPHS = ("china", "astronaut", "chelsea", "coffee", "rocket", "flower")
GAIN = (-0.82, -0.70, -0.55)
"""Stops of red, green and blue; darker, so that next to nothing burns out."""
FRAMES = {
    "a pan": (0.3, 0.1, 0.7, 0.7),
    "a tilt": (0.0, 0.3, 0.7, 0.7),
    "half as wide": (0.25, 0.2, 0.5, 0.5),
    "twice as near, aside": (0.45, 0.4, 0.5, 0.5),
    "three times as near": (0.3, 0.3, 0.33, 0.33),
}


def keypoints(picture: np.ndarray) -> Keypoints:
    return keypoints_in(Image.fromarray(picture))


@cache
def whole(name: str) -> Keypoints:
    return keypoints(photograph(name))


def off(found, wanted=GAIN) -> float:
    """How far what was found is from the gain, in hundredths of a stop."""
    assert found is not None
    return float(abs(np.array(found.brighter) - 100 * np.array(wanted)).max())


@pytest.mark.parametrize("frame", FRAMES.values(), ids=FRAMES)
@pytest.mark.parametrize("name", PHOTOGRAPHS)
def test_a_known_gain_is_found_through_another_framing(name: str, frame: Frame) -> None:
    other = keypoints(exposed(framed(photograph(name), frame), GAIN))
    most = 10 if name == "coffee" else 7
    assert off(overlap(other, whole(name))) <= most
    assert off(overlap(whole(name), other), [-part for part in GAIN]) <= most


@pytest.mark.parametrize("name", ["china", "chelsea", "rocket", "flower", "left"])
def test_four_times_as_near_is_still_found(name: str) -> None:
    near = framed(photograph(name), (0.35, 0.35, 0.25, 0.25))
    assert off(overlap(keypoints(exposed(near, GAIN)), whole(name))) <= 10


@pytest.mark.parametrize("stops", [1.2, -2.5])
def test_what_is_burnt_out_or_lost_in_the_dark_does_not_count(stops: float) -> None:
    for name in ("a pan", "half as wide"):
        other = keypoints(exposed(framed(photograph("coffee"), FRAMES[name]), stops))
        assert off(overlap(other, whole("coffee")), [stops] * 3) <= 7


@pytest.mark.parametrize(("turn", "keystone"), [(3, 0.0), (-40, 0.0), (2, 0.1), (-2, -0.3)])
def test_a_hand_held_camera_and_a_puppet_that_came_in_do_not_matter(
    turn: float, keystone: float
) -> None:
    for name in ("chelsea", "coffee", "rocket"):
        picture = framed(photograph(name), (0.2, 0.2, 0.6, 0.6), turn, keystone)
        picture[200:, 320:420] = (180, 40, 30)
        assert off(overlap(keypoints(exposed(picture, GAIN)), whole(name))) <= 6


@pytest.mark.parametrize("frame", [(0, 0, 1, 1), (0.1, 0.1, 0.8, 0.8), (0.25, 0.2, 0.5, 0.5)])
def test_two_real_photographs_of_one_scene_agree(frame: Frame) -> None:
    """From the place of the other eye; the two were taken at one exposure."""
    other = keypoints(exposed(framed(photograph("right"), frame), GAIN))
    assert off(overlap(other, whole("left"))) <= 10


@pytest.mark.parametrize("degrees", [10, 20, 30, 40])
def test_a_set_is_known_again_from_another_angle(degrees: int) -> None:
    """The camera went round the set: no shift or size lays one photo over the other."""
    other = keypoints(exposed(corner(degrees), GAIN))
    assert off(overlap(other, keypoints(corner(0)))) <= 6
    assert off(overlap(other, keypoints(corner(-10)))) <= 6


def with_dark_corners(picture: np.ndarray) -> np.ndarray:
    """As a lens gives it that is 0.7 stop darker in the corners."""
    high, wide = picture.shape[:2]
    down, across = np.mgrid[0:high, 0:wide]
    middle = np.array([high - 1, wide - 1]) / 2
    outward = (((np.stack([down, across], axis=2) - middle) / np.hypot(*middle)) ** 2).sum(axis=2)
    return exposed(picture, -0.7 * outward[..., None])


@pytest.mark.parametrize("name", ["china", "coffee", "chelsea"])
def test_the_dark_corners_of_a_lens_are_no_exposure(name: str) -> None:
    one, other = (
        keypoints(with_dark_corners(framed(photograph(name), frame)))
        for frame in [(0.0, 0.0, 0.6, 0.6), (0.3, 0.3, 0.7, 0.7)]
    )
    assert off(overlap(one, other), (0, 0, 0)) <= 5


def test_photographs_of_other_things_share_nothing() -> None:
    names = (*PHOTOGRAPHS, "left", "retina", "immunohistochemistry")
    part = (0.1, 0.2, 0.6, 0.6)
    seen = {name: (whole(name), keypoints(framed(photograph(name), part))) for name in names}
    for one, other in combinations(seen, 2):
        for first in seen[one]:
            for second in seen[other]:
                pairs = matched._alike(first, second)
                held = matched._seen_from_two_places(first, second, pairs)
                assert len(held) == 0, (one, other)


def test_a_horizon_alone_is_not_enough() -> None:
    """Of the demo: a face before the evening sky, and the sea by day."""
    files = {name: DEMO / f"{name}.jpg" for name in ("pim_dusk_cu", "boat_away", "horizon_pov")}
    found = look_for_keypoints(files.values())
    for name in ("boat_away", "horizon_pov"):
        assert overlap(found[files["pim_dusk_cu"]], found[files[name]]) is None


def test_of_the_demo_views_that_show_one_place_are_joined() -> None:
    """At one exposure and white each: the quay by dusk, and the quay and the post by day."""
    pairs = [("dusk_ls", "water_ws"), ("quay_wide", "odd_ms"), ("quay_wide", "tide_post")]
    files = {name: DEMO / f"{name}.jpg" for pair in pairs for name in pair}
    found = look_for_keypoints(files.values())
    for one, other in pairs:
        assert off(overlap(found[files[one]], found[files[other]]), (0, 0, 0)) <= 15


def test_a_light_that_no_camera_gives_is_none_of_a_camera() -> None:
    """The same picture through a deep filter: what differs is not the automatics."""
    filtered = keypoints(exposed(photograph("coffee"), (0.5, 0.0, -1.0)))
    assert overlap(filtered, whole("coffee")) is None


@pytest.mark.parametrize("size", [(1, 1), (5, 4), (300, 200), (1600, 2)])
def test_a_photo_without_any_drawing_shares_nothing(size: tuple[int, int]) -> None:
    flat = keypoints_in(Image.new("RGB", size, (90, 120, 60)))
    for one, other in [(flat, whole("coffee")), (whole("coffee"), flat), (flat, flat)]:
        assert overlap(one, other) is None


def test_what_chance_gives_is_what_it_gives() -> None:
    """Pairs thrown at random: sets that are said to come once in a thousand hardly come."""
    random = np.random.default_rng(5)
    size = (1600, 1067)
    surest = 0.0
    for _ in range(60):
        at = [random.uniform(0, size, (60, 2)).astype(np.float32) for _ in range(2)]
        lights, described = np.zeros((60, 3)), np.zeros((60, 128), np.uint8)
        one, other = (Keypoints(size, places, lights, described) for places in at)
        pairs = np.repeat(np.arange(60)[:, None], 2, axis=1)
        assert len(matched._seen_from_two_places(one, other, pairs)) == 0
        ways = cv2.USAC_MAGSAC, matched._OFF_LINE, 0.999, 10_000
        _, marks = cv2.findFundamentalMat(one.at, other.at, *ways)
        if marks is not None:
            surest = min(surest, matched.chance(60, int(marks.sum()), size))
    assert surest > -2


def test_the_strongest_keypoints_are_known_again_most() -> None:
    near = keypoints(framed(photograph("coffee"), FRAMES["half as wide"]))
    strong = matched._alike(near.strongest(300), whole("coffee"))
    last = replace(
        near, at=near.at[-300:], lights=near.lights[-300:], described=near.described[-300:]
    )
    assert len(near.at) > 600
    assert len(strong) > 1.5 * len(matched._alike(last, whole("coffee")))
