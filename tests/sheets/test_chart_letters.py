"""Shot names on charts: whole, apart from each other, and never a glyph that is not there."""

from __future__ import annotations

from io import BytesIO
from itertools import combinations
from pathlib import Path

import pytest
from matplotlib.figure import Figure
from PIL import Image

from animatic.cli import run
from animatic.sheets import pacechart
from animatic.shoot import plan_shoot, planchart
from animatic.shoot.hours import WORKDAYS, dated
from animatic.timeline.pace import pace
from tests.boards import HEAD, BoardFolder, panels
from tests.own_font import save_own_font

NAMES = (
    "seq02_sh0100",
    "seq02_sh0110",
    "seq02_sh0120_harbour_wide_return",
    "seq02_sh0120_harbour_wide_leave",
    "日本",
    "東京",
)
ROWS = "\n".join(f"- {{shot: {name}, photo: a.jpg, duration: 110f}}" for name in NAMES)
TITLE = "title: For $5 \\frac and $\n"


@pytest.fixture
def folder(tmp_path: Path) -> BoardFolder:
    made = BoardFolder(tmp_path)
    made.photo()
    return made


@pytest.fixture
def own_font(folder: BoardFolder) -> Path:
    file = folder.path("own.ttf")
    save_own_font(file, "日本東京")
    return file


def drawn(folder: BoardFolder, chart: str, head: str = HEAD + TITLE) -> Figure:
    board = folder.read(panels(ROWS, head))
    timeline = folder.lay_out(panels(ROWS, head))
    if chart == "pace":
        return pacechart.drawn(timeline, pace(board, timeline))
    found = plan_shoot(board, timeline)
    days = dated(found, None, WORKDAYS)
    return planchart.drawn(found, days, timeline.title, timeline.lettering.font)


def words(figure: Figure) -> list[str]:
    return ["".join(text.get_text().split()) for text in figure.axes[0].texts]


@pytest.mark.parametrize("chart", ["pace", "plan"])
def test_names_are_whole_and_apart(folder: BoardFolder, chart: str) -> None:
    figure = drawn(folder, chart)
    figure.draw_without_rendering()
    found = words(figure)
    assert [name for name in NAMES[:4] if name not in found] == []
    assert found.count("??") == 2
    texts = [text for text in figure.axes[0].texts if not text.get_text().startswith("mean")]
    boxes = [text.get_window_extent() for text in texts]
    assert not [pair for pair in combinations(boxes, 2) if pair[0].overlaps(pair[1])]
    assert all(figure.bbox.containsx(x) for box in boxes for x in (box.x0, box.x1))
    assert all(figure.bbox.containsy(y) for box in boxes for y in (box.y0, box.y1))


@pytest.mark.parametrize("chart", ["pace", "plan"])
@pytest.mark.parametrize("times", [1, 3, 20])
def test_a_long_title_stays_on_the_chart(folder: BoardFolder, chart: str, times: int) -> None:
    title = " ".join(["The bell that would not ring until the tide came back"] * times)
    figure = drawn(folder, chart, f"{HEAD}title: {title}\n")
    figure.draw_without_rendering()
    (axes,) = figure.axes
    heading = axes.get_title(loc="left").replace("\n", " ")
    box = axes._left_title.get_window_extent()
    assert figure.bbox.containsx(box.x0)
    assert figure.bbox.containsx(box.x1)
    assert figure.bbox.containsy(box.y1)
    # Six shots of 110 frames on twos are 330 poses.
    assert heading.endswith(": shot lengths" if chart == "pace" else ": 330 poses in 3 days")
    assert heading.startswith(f"{title}: ") == (times < 20)
    assert times < 20 or "…: " in heading
    # The bars are as high as with a short title.
    assert axes.get_window_extent().height > 100


@pytest.mark.parametrize("chart", ["pace", "plan"])
def test_the_boards_font_letters_what_the_other_lacks(
    folder: BoardFolder, own_font: Path, chart: str
) -> None:
    head = f"{HEAD}{TITLE}lettering: {{font: {own_font.name}}}\n"
    figure = drawn(folder, chart, head)
    assert {"日本", "東京"} <= set(words(figure))
    for form in ("png", "svg"):
        # A glyph that is nowhere would be warned of, and warnings fail a test here.
        figure.savefig(BytesIO(), format=form)


@pytest.mark.parametrize("command", [["pace"], ["plan", "--format", "png"]])
def test_charts_say_what_they_cannot_letter(
    folder: BoardFolder, capsys: pytest.CaptureFixture[str], command: list[str]
) -> None:
    board = str(folder.write(panels(ROWS, HEAD + TITLE)))
    name, *options = command
    out = ["--out", str(folder.folder)] if name == "pace" else ["--file", "plan.png"]
    if name == "plan":
        out[1] = str(folder.folder / out[1])
    assert run([name, board, *options, *out]) == 0
    said = capsys.readouterr().err
    assert said.count("日本東京") == 1
    assert said.count("\n") == 1
    with Image.open(folder.folder / f"{name}.png") as picture:
        assert picture.format == "PNG"
