"""Where a film flashes: found where fast cuts change the light, and nowhere else."""

from __future__ import annotations

from pathlib import Path

import pytest
from boards import BoardFolder, panels

from animatic.picture.flashing import flashing
from animatic.timeline import lay_out
from animatic.timeline.findings import findings

HEAD = "board: 1\ntitle: Lightning\nrate: 24\npicture: {size: 320x180}\nshoot_on: 1\n"


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    board = BoardFolder(tmp_path)
    for name, grey in (("dark", 20), ("light", 240), ("lighter", 250)):
        board.photo(f"{name}.jpg", size=(320, 180), colour=(grey, grey, grey))
    return board


def found(board: BoardFolder, rows: str, head: str = HEAD) -> list[str]:
    board.write(panels(rows, head))
    read = board.read(board.file.read_bytes())
    return [str(one) for one in findings(read, lay_out(read), [flashing]) if one.kind == "flash"]


def cuts(frames: int, count: int, *photos: str) -> str:
    """Return panels of one length, each of one of the photos in turn."""
    lines = [f"- {{shot: 1, photo: {photos[0]}.jpg, duration: 48f}}"]
    for number in range(1, count + 1):
        photo = photos[number % len(photos)]
        lines.append(f"- {{photo: {photo}.jpg, duration: {frames}f}}")
    return "\n".join([*lines, f"- {{shot: 2, photo: {photos[0]}.jpg, duration: 48f}}"])


def test_eight_changes_of_light_in_a_second_are_found(board: BoardFolder) -> None:
    (said,) = found(board, cuts(3, 8, "dark", "light"))
    # The first change is at frame 48; the ninth, back to dark, is no change at all.
    assert said.endswith(
        ": shot 1: the light changes 8 times in the second up to 01:00:02:21; more than three"
        " flashes a second can bring on a seizure (WCAG 2.2, 2.3.1): hold the pictures longer, or"
        " bring them closer in brightness"
    )


def test_six_changes_in_a_second_are_borne(board: BoardFolder) -> None:
    assert not found(board, cuts(4, 20, "dark", "light"))


def test_cuts_between_pictures_of_one_brightness_do_not_flash(board: BoardFolder) -> None:
    assert not found(board, cuts(2, 20, "light", "lighter"))


def test_two_stretches_far_apart_are_found_each(board: BoardFolder) -> None:
    first = cuts(3, 8, "dark", "light")
    second = first.replace("shot: 1,", "shot: 3,").replace("shot: 2,", "shot: 4,")
    assert [one.split(": ")[1] for one in found(board, f"{first}\n{second}")] == [
        "shot 1",
        "shot 3",
    ]


def test_fades_flash_as_cuts_do(board: BoardFolder) -> None:
    rows = "\n".join(
        f"- {{shot: {shot}, photo: light.jpg, duration: 6f,"
        " transition: {from_black: 3f, to_black: 3f}}"
        for shot in range(1, 9)
    )
    assert len(found(board, rows)) == 1
    assert not found(board, rows.replace("6f", "12f").replace("3f", "6f"))


def test_each_fade_is_a_change_and_so_is_the_cut_to_its_black(board: BoardFolder) -> None:
    rows = "\n".join(
        f"- {{shot: {shot}, photo: light.jpg, duration: 6f, transition: {{from_black: 6f}}}}"
        for shot in range(1, 9)
    )
    assert len(found(board, rows)) == 1
    assert not found(board, rows.replace("6f", "8f"))


def test_many_cuts_of_which_few_change_the_light_do_not_flash(board: BoardFolder) -> None:
    assert not found(board, cuts(2, 20, "light", "lighter", "light", "lighter", "dark"))
