"""tighten, mirror, guide and looks: from the board's words to pixels and findings."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from animatic.errors import BoardError
from animatic.picture import PictureMaker
from animatic.picture.guide import guide_box
from animatic.sheets.thumbs import thumbnail
from animatic.timeline.model import Box
from tests.boards import HEAD, BoardFolder, panels


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    board = BoardFolder(tmp_path)
    ramp = np.zeros((180, 320, 3), np.uint8)
    ramp[..., 0] = np.linspace(0, 255, 320)
    ramp[..., 1] = np.linspace(0, 255, 180)[:, None]
    Image.fromarray(ramp).save(board.path("a.png"))
    return board


def crop_of(board: BoardFolder, words: str) -> Box:
    film = board.lay_out(panels(f"- {{shot: 1, photo: a.png, crop: {words}}}"))
    return film.panels[0].crop


@pytest.mark.parametrize(
    ("words", "box"),
    [
        ('{tighten: "2 at 0.5,0.5"}', Box(0.25, 0.25, 0.5, 0.5)),
        ("{tighten: 1.6 at 0.4 0.35}", Box(0.0875, 0.0375, 0.625, 0.625)),
        ("{tighten: 4 at 0.9 0.05}", Box(0.75, 0.0, 0.25, 0.25)),
        ("{tighten: 1 at 0 1}", Box()),
    ],
)
def test_tighten_is_a_part_of_the_photo_round_a_place(
    board: BoardFolder, words: str, box: Box
) -> None:
    assert crop_of(board, words) == box


def test_tighten_is_written_with_a_comma_on_a_line_of_its_own(board: BoardFolder) -> None:
    text = panels("- shot: 1\n  photo: a.png\n  crop:\n    tighten: 2 at 0.5,0.5\n")
    assert board.lay_out(text).panels[0].crop == Box(0.25, 0.25, 0.5, 0.5)


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (
            "{tighten: 1.6}",
            "panels[1].crop.tighten (shot 1): found 1.6; allowed: a factor from 1 to 20, and a"
            " place in"
            " parts of width and height, as 1.6 at 0.4 0.3; write 1.6 at 0.5 0.5",
        ),
        (
            "{tighten: 0.5 at 0.5 0.5}",
            "panels[1].crop.tighten (shot 1): 0.5 at 0.5 0.5; allowed: a factor from 1 to 20, and"
            " a place"
            " in parts of width and height, as 1.6 at 0.4 0.3",
        ),
        (
            "{tighten: 2 at 0.5 0.5, left: 0.1, width: 0}",
            "panels[1].crop (shot 1): tighten stands beside the sides of a rectangle;"
            " tighten is a framing of its own: leave one of them out",
        ),
    ],
)
def test_what_is_no_tightening_is_refused(board: BoardFolder, words: str, message: str) -> None:
    with pytest.raises(BoardError) as fault:
        crop_of(board, words)
    assert str(fault.value).partition(": ")[2] == message


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        ("1,6 at 0.4 0.3", "1.6 at 0.4 0.3"),
        ("1,6 at 0,4 0,3", "1.6 at 0.4 0.3"),
        ("1,6 at 0,4,0,3", "1.6 at 0.4 0.3"),
        ("1,6 at 0,4; 0,3", "1.6 at 0.4 0.3"),
        ("2 at 1,0,5", "2 at 1 0.5"),
        ("2,5", "2.5 at 0.5 0.5"),
    ],
)
def test_a_decimal_comma_is_told_with_words_that_go_through(
    board: BoardFolder, words: str, meant: str
) -> None:
    inner, rows = f"{{tighten: {words}}}", "- shot: 1\n  photo: a.png\n  crop:\n    tighten: "
    for text in (f"- {{shot: 1, photo: a.png, crop: {inner}}}", rows + words, rows + f'"{words}"'):
        with pytest.raises(BoardError) as fault:
            board.read(panels(text))
        (problem,) = fault.value.problems
        assert problem.hint in (f"write {meant}", f"write tighten: {meant}")
        told = board.lay_out(panels(text.replace(f'"{words}"', meant).replace(words, meant)))
        assert told.panels[0].crop == crop_of(board, f"{{tighten: {meant}}}")


def test_a_framing_without_its_key_is_told_with_decimal_points(board: BoardFolder) -> None:
    with pytest.raises(BoardError) as fault:
        board.read(panels("- shot: 1\n  photo: a.png\n  crop: 1,6 at 0,4 0,3\n"))
    assert fault.value.problems[0].hint == "as crop: {tighten: 1.6 at 0.4 0.3}"


def test_mirror_swaps_left_and_right_of_the_framed_picture(board: BoardFolder) -> None:
    crop = "{left: 0.1, top: 0, width: 0.5, height: 0.9}"
    for fit in ("cover", "contain"):
        rows = "".join(
            f"- {{shot: {n}, photo: a.png, fit: {fit}, crop: {crop}, mirror: {on}}}\n"
            for n, on in ((1, "false"), (2, "true"))
        )
        film = board.lay_out(panels(rows))
        maker = PictureMaker(film)
        plain, mirrored = (maker.panel(panel) for panel in film.panels)
        assert np.array_equal(np.asarray(Image.fromarray(plain).transpose(0)), mirrored)
        assert not np.array_equal(plain, mirrored)
        small = np.asarray(thumbnail(film.panels[1], film.size, 160)).astype(int)
        assert np.abs(small - mirrored).mean() < 1.5


# Width over height: 2.39 is the trade's wide picture, 4:3 the old television's (common practice).
@pytest.mark.parametrize(
    ("size", "aspect", "box"),
    [
        ((1920, 1080), 2.39, (0, 138, 1920, 942)),
        ((1920, 1080), 4 / 3, (240, 0, 1680, 1080)),
        ((1080, 1920), 1.0, (0, 420, 1080, 1500)),
        ((1920, 1080), 16 / 9, (0, 0, 1920, 1080)),
    ],
)
def test_a_guide_is_the_largest_box_of_its_aspect(
    size: tuple[int, int], aspect: float, box: tuple[int, int, int, int]
) -> None:
    assert guide_box(size, aspect) == box


def test_guide_lines_lie_on_the_picture_outside_their_box(board: BoardFolder) -> None:
    head = f"{HEAD}lettering: {{shot: false, guide: 2}}\n"
    film = board.lay_out(panels("- {shot: 1, photo: a.png, duration: 2f}", head))
    maker = PictureMaker(film)
    plain, guided = maker.panel(film.panels[0]), maker.frame(0)
    changed = np.flatnonzero((plain != guided).any(axis=(1, 2)))
    # 160 wide at 2:1 is 80 high, in the middle of 90.
    assert changed.tolist() == [3, 4, 85, 86]
    assert guided[3:5, 80].tolist() == [[0, 0, 0], [255, 255, 255]]
    assert guided[85:87, 80].tolist() == [[255, 255, 255], [0, 0, 0]]


def line_findings(board: BoardFolder, first: str, second: str, setup: str = "s") -> list[str]:
    head = f"{HEAD}setups: {{s: {{place: Quay}}, t: {{place: Shed}}}}\n"
    text = f"""
    - {{shot: 10, photo: a.png, setup: s{first}}}
    - {{shot: 20, photo: a.png, setup: {setup}{second}}}
    """
    return board.found("line", text, head)


def test_a_figure_that_looks_the_other_way_after_the_cut_is_found(board: BoardFolder) -> None:
    left, right = ", looks: left", ", looks: right"
    assert line_findings(board, left, right) == [
        "6:45: shot 20: looks right, and shot 10 before it looks left; on one setup (s) the camera"
        " seems to cross the line: mirror one, or put a neutral shot between them"
    ]
    assert line_findings(board, left, left) == []
    assert line_findings(board, left, "") == []
    assert line_findings(board, left, right, "t") == []


def test_two_who_talk_to_each_other_look_opposite_ways(board: BoardFolder) -> None:
    def says(who: str, looks: str) -> str:
        return f", looks: {looks}, dialogue: [{{who: {who}, line: Late.}}]"

    assert line_findings(board, says("Pim", "left"), says("Odd", "right")) == []
    (said,) = line_findings(board, says("Pim", "left"), says("Odd", "left"))
    assert said.endswith(
        "shot 20: looks left, and shot 10 before it looks left, though Odd and Pim talk to each"
        " other; two who talk look opposite ways: mirror one"
    )
    (said,) = line_findings(board, says("Odd", "left"), says("Odd", "right"))
    assert "seems to cross the line" in said
