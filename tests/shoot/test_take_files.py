"""Which file of a take's folder is of which number, and which take a name is."""

from __future__ import annotations

import unicodedata
from dataclasses import replace
from pathlib import Path

import pytest
from boards import BoardFolder, panels

from animatic.errors import MediaError
from animatic.shoot.framefiles import numbered, ranges
from animatic.shoot.takenames import TakeName, match_names
from animatic.timeline import Timeline


def touch(folder: Path, *names: str) -> Path:
    folder.mkdir(exist_ok=True)
    for name in names:
        (folder / name).touch()
    return folder


def test_a_sequence_starts_at_any_number_and_is_in_the_order_of_numbers(tmp_path: Path) -> None:
    folder = touch(tmp_path / "t", "f9.png", "f10.png", "f8.png", "notes 3.txt", ".f7.png")
    found = numbered(folder)
    assert [path.name for path in found.files] == ["f8.png", "f9.png", "f10.png"]
    assert (found.numbers, found.slots, found.missing) == ((8, 9, 10), 3, ())


def test_missing_numbers_are_told_in_runs_as_the_files_write_them(tmp_path: Path) -> None:
    names = [f"IMG_{n:04}.JPG" for n in (7, 8, 11, 12, 14)]
    found = numbered(touch(tmp_path / "t", *names))
    assert (found.slots, found.missing) == (8, ((9, 10), (13, 13)))
    assert ranges(found, found.missing) == "0009-0010, 0013"


def test_numbers_far_apart_cost_no_memory(tmp_path: Path) -> None:
    found = numbered(touch(tmp_path / "t", "f1.png", "f20261125203815.png"))
    assert found.missing == ((2, 20261125203814),)


def test_a_camera_that_begins_again_at_1_goes_on(tmp_path: Path) -> None:
    # JEITA CP-3461 (from memory): file numbers are 0001 to 9999.
    names = [f"DSC_{n:04}.jpg" for n in (9997, 9998, 9999, 1, 3)]
    found = numbered(touch(tmp_path / "t", *names))
    assert [path.stem[-4:] for path in found.files] == ["9997", "9998", "9999", "0001", "0003"]
    assert ranges(found, found.missing) == "0002"


@pytest.mark.parametrize(
    ("written", "missing"),
    [
        ((9998, 9999, 0, 1), ""),
        ((9998, 9999, 1), ""),
        ((9998, 9999, 0), ""),
        ((9997, 9999, 0, 1, 4), "9998, 0002-0003"),
    ],
)
def test_no_picture_is_dropped_where_a_camera_begins_again(
    written: tuple[int, ...], missing: str, tmp_path: Path
) -> None:
    # That some cameras go on with 0000 is common practice, no source.
    found = numbered(touch(tmp_path / "t", *(f"DSC_{n:04}.jpg" for n in written)))
    assert [int(path.stem[-4:]) for path in found.files] == list(written)
    assert ranges(found, found.missing) == missing


@pytest.mark.parametrize(
    ("names", "words"),
    [
        ([], "there are no numbered pictures in it, as 0001.jpg"),
        (["cover.jpg", "1.txt"], "there are no numbered pictures in it, as 0001.jpg"),
        (
            ["IMG_0001.jpg", "IMG_0002.jpg", "frame_0001.jpg"],
            "there are 2 numberings in it, IMG_0001.jpg to IMG_0002.jpg and frame_0001.jpg;"
            " keep one of them",
        ),
        (
            ["a1.jpg", "a1.png"],
            "there are 2 numberings in it, a1.jpg and a1.png; keep one of them",
        ),
        (["a1.jpg", "a01.jpg"], "one number is there twice, a01.jpg and a1.jpg; keep one of them"),
    ],
)
def test_what_is_no_one_sequence_is_refused(names: list[str], words: str, tmp_path: Path) -> None:
    with pytest.raises(MediaError) as caught:
        numbered(touch(tmp_path / "t", *names))
    assert str(caught.value) == words


def test_one_name_in_two_unicode_forms_is_one_numbering(tmp_path: Path) -> None:
    name = "žába_1.jpg"
    other = unicodedata.normalize("NFD", "žába_2.jpg")
    found = numbered(touch(tmp_path / "t", unicodedata.normalize("NFC", name), other))
    assert found.numbers == (1, 2)


@pytest.fixture
def film(tmp_path: Path) -> Timeline:
    folder = BoardFolder(tmp_path)
    folder.photo()
    names = ["4", "40", "Жук", "č.2", "a", "A", "x/y"]
    rows = "\n".join(f"- {{shot: {name!r}, photo: a.jpg, duration: 12f}}" for name in names)
    return folder.lay_out(panels(rows))


NO_SHOT = "it is of no shot of the board; a take of shot 4 is called 4_take1"


@pytest.mark.parametrize(
    ("media", "name", "expected"),
    [
        ("{shot}_take{take}", "40_take2", TakeName("40", 2)),
        ("{shot}_take{take}", "40_TAKE002", TakeName("40", 2)),
        ("{shot}_take{take}", "Жук_take1", TakeName("Жук", 1)),
        ("{shot}_take{take}", unicodedata.normalize("NFD", "č.2_take3"), TakeName("č.2", 3)),
        ("{shot}_take{take}", "A_take1", TakeName("A", 1)),
        ("{shot}_take{take}", "x_y_take1", TakeName("x/y", 1)),
        ("{shot}_take{take}", "41_take1", NO_SHOT),
        ("{shot}_take{take}", "40_take", NO_SHOT),
        ("{shot}-t{take}.mov", "40-t01", TakeName("40", 1)),
        ("{shot}.{take}", "40.2", TakeName("40", 2)),
        ("t{take} s{shot}", "t07 s4", TakeName("4", 7)),
        ("{take}-{shot}-{take}", "3-40-3", TakeName("40", 3)),
        ("reel {shot}", "Reel 40", TakeName("40", 1)),
        (
            "{shot}{take}",
            "402",
            "it could be take 2 of shot 4 or take 2 of shot 40;"
            " change `media` in the board, and the name",
        ),
    ],
)
def test_a_name_is_read_by_the_boards_pattern(
    media: str, name: str, expected: TakeName | str, film: Timeline
) -> None:
    assert match_names(replace(film, media=media), [name]) == {name: expected}
