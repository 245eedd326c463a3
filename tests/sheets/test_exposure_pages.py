"""Exposure sheets as they lie on the paper: nothing strikes what has to be read, every picture."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from animatic.sheets import exposurepdf
from animatic.sheets.exposure import Exposed
from animatic.sheets.exposurecolumns import LEAST
from animatic.sheets.exposurepictures import pictured
from animatic.sheets.pdfpage import mm
from animatic.timeline import lay_out
from animatic.timeline.model import Line, Panel, Timeline
from animatic.timeline.mouths import Chart, Word
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
            f"{seen}: in bold the step to a frame, then its place; empty: it stays."
        )
        assert min(words[camera], words["23.976 frames a second"]) == 9
        assert page.overprinted() == []


LAMPS = ", ".join(f"lamp {n} behind the nets and barrels at {n} %" for n in range(24))


def of_two_speakers(timeline: Timeline) -> Chart:
    """Both lines' mouths change in every frame."""
    shapes = ("teeth together", "open wide", "lips rounded")
    return {
        line.number: (
            Word("word", 1, 0, 40, tuple((at, shapes[at % 3]) for at in range(40))),
            Word("Remembering", 4, 40, 44),
        )
        for line in timeline.lines
    }


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("kind", ["plain", "lights", "mouths", "paces"])
def test_a_sheet_lies_across_before_its_letters_are_small(
    folder: BoardFolder, monkeypatch: pytest.MonkeyPatch, kind: str, paper: str
) -> None:
    lights = f"[{LAMPS}]" if kind == "lights" else "[sun]"
    head = f"{HEAD}handles: 8f\nsetups: {{quay: {{lights: {lights}, note: It gets hot.}}}}\n"
    rows = "- {shot: 10, photo: a.jpg, setup: quay, size: CU INSERT, duration: 60f}"
    if kind == "paces":
        rows += "".join(f"\n- {{photo: a.jpg, duration: 6f, shoot_on: {n}}}" for n in (1, 3, 2, 4))
    timeline = folder.lay_out(panels(rows, head))
    if kind == "mouths":
        (shot,) = timeline.shots
        lines = tuple(Line(n, "Odd", "word", 0, 90_000, 0, 45, None) for n in (1, 2))
        spoken = replace(shot.panels[0], lines=lines)
        timeline = replace(timeline, shots=(replace(shot, panels=(spoken,)),))
    setups = folder.read(panels(rows, head)).content.setups
    chart = of_two_speakers(timeline)
    found = noted(monkeypatch, exposurepdf)
    exposurepdf.write(timeline, timeline.shots, setups, chart, paper)
    for page in found:
        assert (page.width > page.height) == (kind in ("lights", "mouths"))
        assert min(text.size for text in page.texts) >= LEAST
        assert page.overprinted() == []
        joined = " ".join(text.what for text in page.texts)
        assert "…" not in joined
        assert (LAMPS if kind == "lights" else "sun") in joined
        assert ("twos then ones then threes then twos then fours" in joined) == (kind == "paces")


def test_what_no_page_has_room_for_is_smaller_but_there(
    folder: BoardFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    lights = ", ".join([LAMPS] * 3)
    head = f"{HEAD}setups: {{quay: {{lights: [{lights}]}}}}\n"
    row = "- {shot: 10, photo: a.jpg, setup: quay, duration: 60f}"
    page, *_ = sheets(folder, monkeypatch, row, head)
    assert lights in " ".join(text.what for text in page.texts)
    assert 4.5 <= min(text.size for text in page.texts) < LEAST
    assert page.overprinted() == []


def test_a_step_over_the_whole_photo_is_whole(
    folder: BoardFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    move = "move: {to: {left: 0.99, width: 0.01, height: 0.01}}"
    row = f"- {{shot: 10, photo: a.jpg, duration: 2f, {move}}}"
    (page,) = sheets(folder, monkeypatch, row)
    found = {text.what for text in page.texts}
    assert {"+99.00", "99.00", "100.00", "-99.00", "1.00"} <= found
    assert not [words for words in found if "…" in words]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_head_of_a_long_title_and_many_shots_is_legible(
    folder: BoardFolder, monkeypatch: pytest.MonkeyPatch, paper: str
) -> None:
    title = "The bell that would not ring until the tide came back again"
    rows = "- {shot: second unit 10, photo: a.jpg, size: CU INSERT, duration: 30s}\n" + "\n".join(
        f"- {{shot: {n}, photo: a.jpg, duration: 1f}}" for n in range(1200)
    )
    board = folder.read(panels(rows, f"{HEAD}title: {title}\n"))
    timeline = lay_out(board)
    found = noted(monkeypatch, exposurepdf)
    exposurepdf.write(timeline, timeline.shots[:1], {}, {}, paper)
    for number, page in enumerate(found, 1):
        joined = " ".join(text.what for text in page.texts)
        assert title in joined
        assert f"shot 1 of 1201 · CU INSERT · page {number} of {len(found)}" in joined
        assert min(text.size for text in page.texts) >= LEAST
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


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_title_of_a_hundred_letters_is_whole(
    folder: BoardFolder, monkeypatch: pytest.MonkeyPatch, paper: str
) -> None:
    title = "Low Water, or the Long Evening on Which the Tide Forgot to Come Back to the Quay"
    title += " and Nobody Rang the Bell"
    board = folder.read(panels("- {shot: 10, photo: a.jpg}", f'{HEAD}title: "{title}"\n'))
    timeline = lay_out(board)
    found = noted(monkeypatch, exposurepdf)
    exposurepdf.write(timeline, timeline.shots, {}, {}, paper)
    assert title in " ".join(text.what for text in found[0].texts)
