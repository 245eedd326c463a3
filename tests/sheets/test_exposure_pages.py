"""Exposure sheets as they lie on the paper: nothing strikes what has to be read, every picture."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from animatic.sheets import exposurepdf
from animatic.sheets.exposure import Exposed
from animatic.sheets.exposurepictures import pictured
from animatic.sheets.pdfpage import mm
from animatic.timeline.model import Panel
from tests.boards import HEAD, BoardFolder, panels
from tests.sheets.drawn import Drawn, noted
from tests.strategies import untimed


@pytest.fixture
def folder(tmp_path: Path) -> BoardFolder:
    made = BoardFolder(tmp_path)
    made.photo()
    return made


def sheets(
    folder: BoardFolder,
    patch: pytest.MonkeyPatch,
    rows: str,
    head: str = HEAD,
    paper: str = "a4",
) -> list[Drawn]:
    board, timeline = folder.read(panels(rows, head)), folder.lay_out(panels(rows, head))
    with patch.context() as inner:
        found = noted(inner, exposurepdf)
        exposurepdf.write(timeline, timeline.shots, board.content.setups, {}, paper)
    return found


LONG = "- {shot: 10, photo: a.jpg, duration: 4s, move: {to: {width: 0.5, height: 0.5}}}"


@pytest.mark.parametrize(
    ("rate", "handles", "on"),
    [("25", 8, 2), ("24", 7, 2), ("24", 8, 3), ("29.97", 5, 2), ("12", 3, 4), ("24", 8, 2)],
)
def test_no_rule_strikes_a_poses_number_its_box_or_a_picture(
    folder: BoardFolder, monkeypatch: pytest.MonkeyPatch, rate: str, handles: int, on: int
) -> None:
    head = f"{HEAD}rate: {rate}\nhandles: {handles}f\nshoot_on: {on}\n"
    short = "\n".join(["- {photo: a.jpg, duration: 1f}"] * 3 + [LONG.replace("shot: 10, ", "")])
    seconds = 0
    for page in sheets(folder, monkeypatch, f"{LONG}\n{short}", head):
        numbers = [text for text in page.bolds if text.what.isdigit()]
        assert numbers
        ticks = [box for box in page.boxes if box.what == "1"]
        assert ticks
        assert list(page.struck(numbers + ticks + page.pictures)) == []
        heavy = [stroke for stroke, weight in page.rules if weight > 1]
        seconds += len({y for _, y, _, _ in heavy}) - 3
    # The second begins at every row but the first of a page, which is ruled heavily anyhow.
    assert seconds >= 4


def test_a_panel_of_a_frame_has_a_picture_like_any_other(
    folder: BoardFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    lengths = (1, 2, 20, 1, 1, 1, 3, 1, 40, 1)
    rows = "\n".join(f"- {{photo: a.jpg, duration: {n}f}}" for n in lengths)
    first, second = sheets(
        folder, monkeypatch, rows.replace("- {", "- {shot: 10, ", 1), HEAD + "handles: 7f\n"
    )
    # On the second page the ninth panel goes on, and has its picture again.
    assert (len(first.pictures), len(second.pictures)) == (9, 2)
    for page in (first, second):
        assert page.overprinted() == []
    heights = [picture.low - picture.top for picture in first.pictures]
    # A row is over 4.3 mm high.
    assert min(heights) > 3.6 * mm
    # After panel 2, and after panel 8, there are rows to spare.
    assert heights[1] > 10 * mm
    assert heights[7] > 10 * mm
    # The last frame's panel has the handle's rows.
    assert second.pictures[1].low - second.pictures[1].top > 10 * mm


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("mirror", ["", "mirror: true, "])
def test_the_foot_is_whole_and_beside_the_rate(
    folder: BoardFolder, monkeypatch: pytest.MonkeyPatch, mirror: str, paper: str
) -> None:
    rows = f"{LONG.replace('photo', f'{mirror}photo', 1)}\n" + LONG.replace("shot: 10, ", "")
    for page in sheets(folder, monkeypatch, rows, f"{HEAD}rate: 23.976\n", paper):
        words = {text.what: text.size for text in page.texts}
        [camera] = [words for words in words if words.startswith("Camera, in % of the ")]
        seen = "photo as seen" if mirror else "photo"
        assert camera.removeprefix("Camera, in % of the ") == (
            f"{seen}: in bold the step since the frame before, then where it is."
        )
        assert min(words[camera], words["23.976 frames a second"]) == 9
        assert page.overprinted() == []


@untimed
@given(
    st.lists(st.integers(1, 30), min_size=1, max_size=20),
    st.integers(0, 9),
    st.sampled_from([20 * mm, 26 * mm]),
    st.sampled_from([16 / 9, 1.0, 9 / 16, 2.39]),
)
def test_pictures_stay_in_the_column_and_off_each_other(
    lengths: list[int], before: int, width: float, shape: float
) -> None:
    every = [
        Panel(n, n + 1, "10", 0, count, 2, Path("a.jpg"), (160, 90))
        for n, count in enumerate(lengths)
    ]
    rows = [Exposed(1, "handle", None, 1, False, every[0], False)] * before
    for panel in every:
        rows += [Exposed(1, "shot", 0, 1, False, panel, at == 0) for at in range(panel.end)]
    step = 13.0
    found = pictured(rows, width, step, shape, lambda words: 6.0 * len(words))
    assert [each.row.panel for each in found] == every
    reach = 0.0
    for each in found:
        assert each.height >= step - 2 or each.height >= (width - 20) / shape - 0.01
        assert each.width / each.height == pytest.approx(shape)
        assert each.x >= 0
        assert each.x + each.width <= width
        assert each.y >= max(each.at * step, reach)
        assert each.low <= len(rows) * step
        # The words lie at the left of the row; no picture lies over them.
        for words in found:
            beyond = each.x >= 2 + 6.0 * len(words.words)
            line = (words.at * step, (words.at + 1) * step)
            assert beyond or each.low <= line[0] or each.y >= line[1]
        reach = each.low
