"""Takes of shots that were changed: pictures more than the poses and fewer than the frames."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from animatic.shoot.takes import Shoot, look_over
from animatic.timeline import Timeline
from tests.boards import BoardFolder, panels
from tests.takes_made import START, take, video

HEAD = "board: 1\npicture: {size: 320x180}\nshoot_on: 2\nhandles: 8f\n"
# 8 + 60 + 8 = 76 frames to shoot, 38 poses; it was 72 frames long, and 88 and 44 to shoot.
ROWS = "- {shot: 30, photo: a.jpg, duration: 60f}"
SURPLUS = (
    "44 pictures are more than its 38 poses and fewer than its 76 frames; taken for one picture a"
    " pose, as none comes in a run of its pose"
)
UNKNOWN = (
    "44 pictures are more than its 38 poses and fewer than its 76 frames; taken for a picture a"
    " frame, as nothing tells; if each is a pose of its own, move the last 6 elsewhere"
)


@pytest.fixture
def film(board: BoardFolder) -> Timeline:
    return board.lay_out(panels(ROWS, HEAD))


def photographed(folder: Path, poses: Iterable[int], seconds: int = 0) -> Path:
    """Write an exposure of each pose: a figure that goes about, noise, and light that wavers.

    They are so many seconds apart.
    """
    chance = np.random.default_rng(7)
    places = np.cumsum(chance.integers(-6, 7, (200, 2)), axis=0)
    folder.mkdir(parents=True)
    for number, pose in enumerate(poses, 1):
        picture = np.full((180, 320), 120.0)
        x, y = 160 + places[pose][0], 90 + places[pose][1]
        picture[y - 30 : y + 30, x - 20 : x + 20] = 60
        picture = picture * chance.normal(1, 0.01) + chance.normal(0, 4, picture.shape)
        path = folder / f"IMG_{number:04}.jpg"
        Image.fromarray(picture.clip(0, 255).astype(np.uint8)).save(path, quality=95)
        os.utime(path, (START + seconds * number, START + seconds * number))
    return folder


def said(found: Shoot) -> list[tuple[str, str, bool]]:
    return [(one.kind, one.words, one.leaves_out) for one in found.findings]


def state(found: Shoot) -> tuple[str, int, int, str]:
    [one] = found.shots
    assert one.best is not None
    return one.status, one.frames, one.poses_left, one.best[1].note


WHOLE = ("shot", 76, 0, "one picture a pose, 6 more at the end, not used")


def test_a_shot_that_is_made_shorter_stays_shot_by_the_times_of_its_poses(
    film: Timeline, folder: Path
) -> None:
    take(folder / "30_take1", range(1, 45), size=(320, 180), times=[60 * n for n in range(44)])
    found = look_over(film, folder)
    assert state(found) == WHOLE
    assert said(found) == [("count", SURPLUS, False)]
    names = [int(one.file.stem[-4:]) for one in found.takes()["30"].pictures]
    # After four poses of handle each of thirty poses for two frames.
    assert names == [pose for pose in range(5, 35) for _ in range(2)]


def test_a_shot_that_is_made_shorter_stays_shot_by_its_looks(film: Timeline, folder: Path) -> None:
    photographed(folder / "30_take1", range(44))
    found = look_over(film, folder)
    assert state(found) == WHOLE
    assert said(found) == [("count", SURPLUS, False)]


@pytest.mark.parametrize("seconds", [0, 5])
@pytest.mark.parametrize("step", [0, 1], ids=["in step", "out of step"])
def test_two_exposures_of_each_pose_are_a_picture_a_frame(
    step: int, seconds: int, film: Timeline, folder: Path
) -> None:
    # Five seconds from picture to picture, as of one who is quick: by their times all are poses.
    photographed(folder / "30_take1", [(n + step) // 2 for n in range(44)], seconds)
    found = look_over(film, folder)
    assert state(found) == ("shooting", 44, 16, "")
    assert said(found) == []


def test_held_poses_do_not_hide_that_pictures_come_in_runs(film: Timeline, folder: Path) -> None:
    # Of three poses two are the same: noise and light alone tell their pictures apart.
    photographed(folder / "30_take1", [n // 2 - n // 2 // 3 for n in range(44)])
    found = look_over(film, folder)
    assert state(found) == ("shooting", 44, 16, "")
    assert said(found) == []


@pytest.mark.parametrize("count", [39, 44, 59, 75])
def test_copies_of_each_pose_are_a_picture_a_frame(
    count: int, film: Timeline, folder: Path
) -> None:
    # The times say poses, as where a program writes every picture twice: the doubling goes before.
    times = [60 * n for n in range(count)]
    shown = [n // 2 for n in range(count)]
    take(folder / "30_take1", range(1, count + 1), pictures=shown, size=(320, 180), times=times)
    found = look_over(film, folder)
    assert state(found) == ("shooting", count, 38 - count // 2, "")
    assert said(found) == []


def test_where_nothing_tells_it_is_said_what_a_take_was_taken_for(
    film: Timeline, folder: Path
) -> None:
    take(folder / "30_take1", range(1, 45), size=(320, 180))
    found = look_over(film, folder)
    assert state(found) == ("shooting", 44, 16, "")
    assert said(found) == [("count", UNKNOWN, False)]


def test_poses_as_many_as_the_frames_from_cut_to_cut_are_poses(
    film: Timeline, folder: Path
) -> None:
    take(folder / "30_take1", range(1, 61), size=(320, 180), times=[60 * n for n in range(60)])
    assert state(look_over(film, folder))[3] == "one picture a pose, 22 more at the end, not used"


def test_a_video_that_doubles_nothing_is_taken_for_a_picture_a_frame_and_said(
    film: Timeline, folder: Path
) -> None:
    video(folder / "30_take1.mov", range(44), size=(320, 180))
    found = look_over(film, folder)
    assert state(found) == ("shooting", 44, 16, "")
    assert said(found) == [("count", UNKNOWN, False)]


def test_the_same_picture_from_one_pose_to_the_next_is_a_copy(film: Timeline, folder: Path) -> None:
    path = photographed(folder / "30_take1", [n // 2 for n in range(76)])
    (path / "IMG_0061.jpg").write_bytes((path / "IMG_0060.jpg").read_bytes())
    found = look_over(film, folder)
    words = "the same picture again: 0060-0061, though another pose begins there"
    assert said(found) == [("doubled", words, False)]
    assert found.shots[0].status == "shot"


def test_doubles_within_a_pose_are_how_frames_on_twos_are_made(
    film: Timeline, folder: Path
) -> None:
    take(folder / "30_take1", range(1, 77), pictures=[n // 2 for n in range(76)], size=(320, 180))
    assert said(look_over(film, folder)) == []


def test_a_take_doubled_out_of_step_is_not_called_a_copy_at_every_pose(
    film: Timeline, folder: Path
) -> None:
    shown = [(n + 1) // 2 for n in range(76)]
    take(folder / "30_take1", range(1, 77), pictures=shown, size=(320, 180))
    assert said(look_over(film, folder)) == []
