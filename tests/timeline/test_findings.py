"""Each finder gives its finding, in full, and is silent just beside its threshold."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from animatic.errors import BoardError, Place
from animatic.timeline.findings import Finding
from tests.boards import HEAD, BoardFolder, panels

Find = Callable[..., list[str]]


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    """Photos of several sizes for a picture of 160x90, and a sound of a second."""
    board = BoardFolder(tmp_path)
    board.photo()
    board.photo("small.jpg", size=(128, 72))
    board.photo("square.jpg", size=(400, 400))
    board.photo("wide.jpg", size=(480, 180))
    board.photo("tall.jpg", size=(90, 160))
    board.sound("one.wav", samples=48_000)
    return board


@pytest.fixture
def find(board: BoardFolder) -> Find:
    """What is found in panels of one kind, or of all for ""."""
    return board.found


def test_a_plain_board_has_nothing_to_find(find: Find) -> None:
    assert find("", "- {shot: 10, photo: a.jpg}\n- {shot: 20, photo: a.jpg}") == []


# ------------------------------------------------------------------------------- poses


def test_a_shot_that_is_not_whole_poses(find: Find) -> None:
    text = "- {shot: 10, photo: a.jpg, duration: 24f}\n- {photo: a.jpg, duration: 25f}"
    assert find("poses", text) == [
        "4:38: shot 10: 49 frames on twos leave 1 for the last pose; 48f or 50f would be whole"
        " poses"
    ]


@pytest.mark.parametrize("frames", [48, 50])
def test_a_shot_of_whole_poses_is_none(frames: int, find: Find) -> None:
    text = (
        f"- {{shot: 10, photo: a.jpg, duration: 25f}}\n- {{photo: a.jpg, duration: {frames - 25}f}}"
    )
    assert find("poses", text) == []


@pytest.mark.parametrize(
    ("shoot_on", "frames", "words"),
    [
        (3, 7, "7 frames on threes leave 1 for the last pose; 6f or 9f would be whole poses"),
        (4, 11, "11 frames on fours leave 3 for the last pose; 8f or 12f would be whole poses"),
        (8, 9, "9 frames on 8s leave 1 for the last pose; 8f or 16f would be whole poses"),
    ],
)
def test_the_words_for_other_paces(shoot_on: int, frames: int, words: str, find: Find) -> None:
    text = f"- {{shot: 10, photo: a.jpg, duration: {frames}f, shoot_on: {shoot_on}}}"
    assert find("poses", text) == [f"4:38: shot 10: {words}"]


FEWER = "{0} frames on twos leave 1 for the last pose; {1}f or {2}f would be whole poses"
MORE = "{0} frames on twos leave 1 for the last pose; {2}f would be whole poses"


@pytest.mark.parametrize(
    ("frames", "more", "words"),
    [
        (1, "", "1 frame on twos leaves 1 for the last pose; 2f would be whole poses"),
        (3, "", FEWER),
        # A fade, half a dissolve and a move need their frames.
        (9, ", transition: {from_black: 8f}", FEWER),
        (9, ", transition: {from_black: 9f}", MORE),
        (9, ", transition: {from_black: 5f, to_black: 4f}", MORE),
        (9, ", move: {to: {width: 0.5}, start: 1f, length: 7f}", FEWER),
        (9, ", move: {to: {width: 0.5}, start: 1f, length: 8f}", MORE),
        (9, ", move: {to: {width: 0.5}}", FEWER),
    ],
)
def test_no_length_is_offered_that_would_be_refused(
    frames: int, more: str, words: str, find: Find
) -> None:
    row = "- {{shot: 10, photo: a.jpg, duration: {}f{}}}"
    whole = frames - 1, frames + 1
    assert find("poses", row.format(frames, more)) == [
        f"4:38: shot 10: {words.format(frames, *whole)}"
    ]
    for offer in re.findall(r"(\d+)f", words.format(frames, *whole)):
        assert find("poses", row.format(offer, more)) == []
    if words == MORE or frames == 1:
        with pytest.raises(BoardError):
            find("poses", row.format(whole[0], more))


def test_panels_of_a_stretch_have_a_frame_each(find: Find) -> None:
    row = "- {shot: 10, photo: a.jpg, duration: 1f, shoot_on: 4}\n"
    row += "- {photo: a.jpg, duration: 1f}\n" * 4
    assert find("poses", row) == [
        "4:38: shot 10: 5 frames on fours leave 1 for the last pose; 8f would be whole poses"
    ]


def test_each_stretch_of_one_pace_counts_for_itself(find: Find) -> None:
    text = """
        - {shot: 10, photo: a.jpg, duration: 25f, shoot_on: 1}
        - {photo: a.jpg, duration: 25f, shoot_on: 3}
        - {photo: a.jpg, duration: 26f}
        """
    assert find("poses", text) == []  # 25 ones, and 51 threes


# ------------------------------------------------------------------- photos too small


def test_a_photo_smaller_than_the_picture(find: Find) -> None:
    assert find("photo", "- {shot: 10, photo: small.jpg}") == [
        "4:21: shot 10: the photo (128x72) is enlarged 1.25 times;"
        " use a larger photo or a wider crop, or accept a soft picture"
    ]


def test_a_photo_of_the_pictures_size_is_none(find: Find) -> None:
    assert find("photo", "- {shot: 10, photo: a.jpg}") == []


@pytest.mark.parametrize(
    ("keys", "scale"),
    [
        ("crop: {width: 0.5, height: 0.5}", "2.00"),
        ("crop: {left: 0.2, width: 0.8, top: 0.2, height: 0.8}", "1.25"),
        ("move: {to: {width: 0.25, height: 0.25}}", "4.00"),
        ("crop: {width: 0.8, height: 0.8}, move: {to: {width: 0.5, height: 0.5}}", "2.00"),
    ],
)
def test_a_crop_or_the_end_of_a_move_uses_fewer_pixels(keys: str, scale: str, find: Find) -> None:
    assert find("photo", f"- {{shot: 10, photo: a.jpg, {keys}}}") == [
        f"4:21: shot 10: the photo (160x90) is enlarged {scale} times;"
        " use a larger photo or a wider crop, or accept a soft picture"
    ]


def test_contain_takes_the_side_that_fits_first(find: Find) -> None:
    # 120x90 in 160x90: filling it takes 1.33 times, showing it whole takes none.
    text = "- {shot: 10, photo: a.jpg, crop: {width: 0.75}, fit: contain}"
    assert find("photo", text) == []
    assert find("photo", text.replace("contain", "cover")) == [
        "4:21: shot 10: the photo (160x90) is enlarged 1.33 times;"
        " use a larger photo or a wider crop, or accept a soft picture"
    ]


# ------------------------------------------------------------------------- odd shapes


@pytest.mark.parametrize(
    ("photo", "words"),
    [
        (
            "square.jpg",
            "to fill the picture, 44 % of the photo is cut away;"
            " choose what stays with crop, or write fit: contain",
        ),
        (
            "tall.jpg, fit: contain",
            "bars fill 68 % of the picture; a crop nearer to the picture's shape would fill it",
        ),
        (
            "square.jpg, fit: contain",
            "bars fill 44 % of the picture; a crop nearer to the picture's shape would fill it",
        ),
    ],
)
def test_a_photo_of_another_shape(photo: str, words: str, find: Find) -> None:
    assert find("aspect", f"- {{shot: 10, photo: {photo}}}") == [f"4:21: shot 10: {words}"]


def test_a_shape_one_and_a_half_times_the_pictures_is_none(find: Find) -> None:
    # 480x180 is 2.667 to 1, the picture 1.778 to 1: 1.5 times.
    assert find("aspect", "- {shot: 10, photo: wide.jpg}") == []
    assert find("aspect", "- {shot: 10, photo: wide.jpg, crop: {height: 0.99}}") == [
        "4:21: shot 10: to fill the picture, 34 % of the photo is cut away;"
        " choose what stays with crop, or write fit: contain"
    ]


def test_a_crop_may_bring_the_shape_right(find: Find) -> None:
    text = "- {shot: 10, photo: square.jpg, crop: {top: 0.2, height: 0.5625}}"
    assert find("aspect", text) == []


# ------------------------------------------------------------------------------- jumps


SETUPS = f"{HEAD}setups: {{quay: {{}}, cabin: {{}}}}\n"


def cut(first: str, second: str) -> str:
    return f"- {{shot: 10, photo: a.jpg, {first}}}\n- {{shot: 20, photo: a.jpg, {second}}}"


def test_a_cut_between_one_setup_and_one_size_jumps(find: Find) -> None:
    assert find("jump", cut("setup: quay, size: MS", "setup: quay, size: MS"), SETUPS) == [
        "6:3: shot 20: cuts from shot 10 on one setup (quay) and size (MS);"
        " such a cut jumps: change the size, the angle by 30 degrees, or the setup"
    ]


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("setup: quay, size: MS", "setup: quay, size: CU"),
        ("setup: quay, size: MS", "setup: cabin, size: MS"),
        ("setup: quay, size: MS", "setup: quay, size: MS OTS"),
        ("setup: quay, size: INSERT", "setup: quay, size: INSERT"),
        ("setup: quay", "setup: quay"),
        ("size: MS", "size: MS"),
        ("setup: quay, size: MS", "setup: quay, size: MS, transition: {dissolve: 12f}"),
    ],
)
def test_cuts_that_do_not_jump(first: str, second: str, find: Find) -> None:
    assert find("jump", cut(first, second), SETUPS) == []


def test_the_panels_at_the_cut_are_what_counts(find: Find) -> None:
    text = """
        - {shot: 10, photo: a.jpg, setup: quay, size: WS}
        - {photo: a.jpg, size: MS}
        - {shot: 20, photo: a.jpg, setup: quay, size: MS}
        """
    assert [line[:15] for line in find("jump", text, SETUPS)] == ["7:3: shot 20: c"]
    assert find("jump", text.replace("quay, size: MS}", "quay, size: WS}"), SETUPS) == []


# ------------------------------------------------------------------------ short panels


@pytest.mark.parametrize(("frames", "said"), [(1, "1 frame"), (2, "2 frames"), (5, "5 frames")])
def test_a_panel_of_few_frames(frames: int, said: str, find: Find) -> None:
    text = f"- {{shot: 10, photo: a.jpg}}\n- {{photo: a.jpg, shoot_on: 1, duration: {frames}f}}"
    assert find("short", text) == [
        f"5:3: shot 10: panel 2 lasts {said};"
        " under 6 frames a picture is hardly seen; fast cuts can flash"
    ]


def test_a_panel_of_six_frames_is_none(find: Find) -> None:
    assert find("short", "- {shot: 10, photo: a.jpg, duration: 6f}") == []


# ------------------------------------------------------------------------------ glyphs


def test_characters_that_the_font_lacks(find: Find) -> None:
    """DejaVu Sans has Latin, Greek and Cyrillic, and no Chinese characters."""
    text = """
        - shot: 10
          photo: a.jpg
          dialogue: [{who: 潮, line: The 潮 is late 鐘.}]
        """
    assert find("glyph", text) == [
        "4:3: shot 10: the font has no glyph for 潮 鐘;"
        " name a font that has them under lettering: font"
    ]


def test_characters_that_the_font_has_are_none(find: Find) -> None:
    line = "dialogue: [{who: Žofie, line: Où est Ωμέγα - Где вода € «»?}]"
    assert find("glyph", f"- {{shot: Σκηνή, photo: a.jpg, {line}}}") == []


@pytest.mark.parametrize(
    ("lettering", "places"),
    [
        ("{}", ["5:3", "6:3"]),
        ("{shot: false}", ["6:3"]),
        ("{dialogue: false}", ["5:3"]),
        ("{shot: false, dialogue: false}", []),
    ],
)
def test_only_what_is_lettered_needs_glyphs(lettering: str, places: list[str], find: Find) -> None:
    text = """
        - {shot: 潮, photo: a.jpg}
        - {photo: a.jpg, dialogue: [{who: Odd, line: The 潮.}]}
        """
    found = find("glyph", text, f"{HEAD}lettering: {lettering}\n")
    assert [words.split(": ")[0] for words in found] == places


# ------------------------------------------------------------------------------- order


def test_findings_come_in_the_order_of_the_board(board: BoardFolder) -> None:
    text = panels(
        """
        - {shot: 10, photo: square.jpg, duration: 5f}
        - {shot: 20, photo: small.jpg, duration: 3f}
        """,
        f"{HEAD}music: [{{file: one.wav, until: shot 20, skip: 0.9s}}]\n",
    )
    found = board.findings(text)
    # By place, and by kind at one place.
    assert [(one.place.line, one.kind) for one in found] == [
        (3, "music"),
        (5, "short"),
        (5, "aspect"),
        (5, "poses"),
        (6, "short"),
        (6, "photo"),
        (6, "poses"),
    ]
    assert found == sorted(found, key=lambda one: (one.place, one.kind))


def test_a_finding_speaks_as_text_and_as_json() -> None:
    finding = Finding(Place("board.yaml", 3, 9), "jump", "20", "it jumps", "change the size")
    assert str(finding) == "board.yaml:3:9: shot 20: it jumps; change the size"
    assert str(Finding(Place("b", 1, 1), "jump", "20", "it jumps")) == "b:1:1: shot 20: it jumps"
    assert finding.as_dict() == {
        "kind": "jump",
        "shot": "20",
        "file": "board.yaml",
        "line": 3,
        "column": 9,
        "found": "it jumps",
        "hint": "change the size",
    }


def test_what_is_shot_before_the_cut_shifts_the_poses_of_a_change_of_pace(find: Find) -> None:
    """7 + 71 frames on twos are 39 poses on the exposure sheet, and 7 + 70 leave one of a frame."""
    head = f"{HEAD}handles: 7f\nshoot_on: 2\n"
    row = "- {{shot: 10, photo: a.jpg, duration: {}f}}\n"
    row += "- {{photo: a.jpg, duration: 12f, shoot_on: 1}}\n"
    assert find("poses", row.format(71), head) == []
    [said] = find("poses", row.format(70), head)
    assert said.endswith(
        "70 frames on twos, with 7 shot before them, leave 1 for the last pose;"
        " 69f or 71f would be whole poses"
    )
    # A shot of one pace goes on into its handles: what counts is the cut.
    assert find("poses", "- {shot: 10, photo: a.jpg, duration: 70f}", head) == []
