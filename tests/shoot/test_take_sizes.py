"""Takes that are smaller than the film's picture: said, and whole all the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from animatic.shoot.takes import Shoot, look_over
from tests.boards import BoardFolder, panels
from tests.takes_made import take, video

HEAD = "board: 1\npicture: {size: 160x90}\nshoot_on: 2\n"
ROWS = "- {shot: 10, photo: a.jpg, duration: 36f}"


def findings(shoot: Shoot) -> list[tuple[str, str, str, bool]]:
    return [(one.kind, one.path.name, one.words, one.leaves_out) for one in shoot.findings]


@pytest.mark.parametrize(
    ("size", "fit", "kinds"),
    [
        ((80, 45), "cover", ["small"]),
        ((159, 90), "cover", []),  # By less than a hundredth.
        ((158, 89), "cover", ["small"]),
        ((320, 180), "cover", []),
        # Wide: filled from top to bottom it is enlarged, whole between bars it is not.
        ((160, 60), "cover", ["shape", "small"]),
        ((160, 60), "contain", ["shape"]),
        ((120, 60), "contain", ["shape", "small"]),
    ],
)
def test_a_take_that_is_too_small_is_said_and_is_whole_all_the_same(
    size: tuple[int, int], fit: str, kinds: list[str], board: BoardFolder, folder: Path
) -> None:
    film = board.lay_out(panels(ROWS, HEAD.replace("160x90", f"160x90, fit: {fit}")))
    take(folder / "10_take1", range(1, 37), size=size)
    found = look_over(film, folder)
    shape = f"{size[0]}x{size[1]} is not of the shape of the film's 160x90"
    small = f"{size[0]}x{size[1]} is too small for the film's 160x90: it is shown enlarged"
    words = {"shape": shape, "small": small}
    assert findings(found) == [(kind, "10_take1", words[kind], False) for kind in kinds]
    assert found.shots[0].status == "shot"
    assert set(found.takes()) == {"10"}


def test_a_video_that_is_too_small_is_said_too(board: BoardFolder, folder: Path) -> None:
    film = board.lay_out(panels(ROWS, HEAD.replace("160x90", "1920x1080")))
    video(folder / "10_take1.mov", range(1, 37), size=(320, 180))
    found = look_over(film, folder)
    words = "320x180 is too small for the film's 1920x1080: it is shown enlarged"
    assert findings(found) == [("small", "10_take1.mov", words, False)]
    assert found.shots[0].status == "shot"
