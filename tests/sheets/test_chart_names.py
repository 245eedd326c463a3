"""Names on the chart of shot lengths: all of them, at any number of shots, and none on another."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise
from pathlib import Path
from random import Random

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text
from scipy.optimize import minimize

from animatic.sheets.chartnames import most_in_a_row, rows_of, spread
from animatic.sheets.pacechart import drawn
from animatic.timeline import Timeline
from animatic.timeline.pace import pace
from tests.boards import HEAD, BoardFolder, panels


@pytest.fixture
def folder(tmp_path: Path) -> BoardFolder:
    made = BoardFolder(tmp_path)
    made.photo()
    return made


def film(
    folder: BoardFolder, shots: int, way: str = "", title: str = "Low Water"
) -> tuple[Figure, Timeline]:
    """Return the chart of a film of so many shots of 0.8 to 6 s, and its timeline."""
    dice = Random(shots)
    rows = []
    for n in range(shots):
        seconds = dice.uniform(0.8, 6)
        name = f"{10 * (n + 1)}"
        if way == "bursts":
            seconds = 0.2 if n // 20 % 2 else dice.uniform(5, 14)
        if way == "long names":
            name = f"seq{n // 7:02}_sh{10 * n:04}_quay_at_dusk"
        line = ", dialogue: [{who: Odd, line: The tide is late., over: next}]" if n % 3 else ""
        rows.append(f"- {{shot: '{name}', photo: a.jpg, duration: {seconds:.2f}s{line}}}")
    board = folder.read(panels("\n".join(rows), f"{HEAD}title: {title}\n"))
    timeline = folder.lay_out(panels("\n".join(rows), f"{HEAD}title: {title}\n"))
    return drawn(timeline, pace(board, timeline)), timeline


def texts(figure: Figure) -> Iterator[Text]:
    """Yield every text that is drawn; a number of an axis beyond its end is none."""
    inside = set()
    for axes in figure.axes:
        for axis, (low, high) in ((axes.xaxis, axes.get_xlim()), (axes.yaxis, axes.get_ylim())):
            ticks = zip(axis.get_majorticklocs(), axis.get_majorticklabels(), strict=True)
            inside |= {id(label) for at, label in ticks if low <= at <= high}
            inside |= {id(axis.label)}
        inside |= {id(text) for text in axes.texts}
    inside |= {id(text) for text in figure.texts}
    inside |= {id(text) for legend in figure.legends for text in legend.get_texts()}
    for text in figure.findobj(Text):
        is_title = text.get_text() == figure.axes[0].get_title("left")
        if (is_title or id(text) in inside) and text.get_text() and text.get_visible():
            yield text


@pytest.mark.parametrize(
    ("shots", "way"),
    [
        *((shots, "") for shots in (1, 2, 16, 24, 60, 120, 300, 1000)),
        *((shots, "bursts") for shots in (60, 300)),
        *((shots, "long names") for shots in (16, 120)),
    ],
)
def test_every_shot_is_named_and_no_word_lies_on_another(
    folder: BoardFolder, shots: int, way: str
) -> None:
    figure, timeline = film(folder, shots, way, "Low Water " * 20)
    # An SVG is laid out at 72 dots an inch, a PNG at more.
    for dpi in (72, 150):
        figure.set_dpi(dpi)
        figure.draw_without_rendering()
        shown = list(texts(figure))
        words = [text.get_text() for text in shown]
        names = [text.get_text() for axes in figure.axes for text in axes.texts]
        assert [n for n in names if "mean" not in n] == [shot.name for shot in timeline.shots]
        assert {"seconds into the film", "speech"} <= {*words, "speech" if shots < 2 else ""}
        edges = np.array([text.get_window_extent().extents for text in shown])
        x0, y0, x1, y1 = edges.T
        lies_on = (x0[:, None] < x1) & (x0 < x1[:, None]) & (y0[:, None] < y1) & (y0 < y1[:, None])
        pairs = np.argwhere(np.triu(lies_on, 1))
        assert [(words[a], words[b]) for a, b in pairs] == []
        assert edges[:, :2].min() >= 0
        assert x1.max() <= figure.bbox.width
        assert y1.max() <= figure.bbox.height


@pytest.mark.parametrize(("shots", "way"), [(60, ""), (300, "bursts")])
def test_a_line_leads_from_each_name_to_its_column(
    folder: BoardFolder, shots: int, way: str
) -> None:
    figure, timeline = film(folder, shots, way)
    figure.draw_without_rendering()
    left = list(timeline.shots)
    for axes in figure.axes:
        leads = axes.lines[-1].get_xydata().reshape(-1, 4, 2)[:, :3]
        names = [text for text in axes.texts if "mean" not in text.get_text()]
        assert len(leads) == len(names)
        for (foot, knee, head), name in zip(leads, names, strict=True):
            shot = left.pop(0)
            assert name.get_text() == shot.name
            seconds, length = axes.transData.inverted().transform(axes.transAxes.transform(foot))
            rate = float(timeline.rate.fps)
            assert seconds == pytest.approx((shot.start + shot.end) / 2 / rate)
            if shot.frames / rate > 0.8:
                assert length == pytest.approx(shot.frames / rate)
            else:
                # Twenty lines side by side would look like a column.
                assert foot[1] == 1
            assert knee[0] == foot[0]
            box = name.get_window_extent()
            x, y = axes.transAxes.transform(head)
            assert (box.x0 + box.x1) / 2 == pytest.approx(x, abs=1)
            assert 0 < box.y0 - y < 6
        # Lines that keep their order do not cross.
        assert all(a[2][0] < b[2][0] for a, b in pairwise(leads))
    assert left == []


def test_all_rows_have_one_scale(folder: BoardFolder) -> None:
    figure, _ = film(folder, 120)
    assert len(figure.axes) == 2
    widths = {round(axes.get_xlim()[1] - axes.get_xlim()[0], 6) for axes in figure.axes}
    assert len(widths) == 1
    assert len({axes.get_ylim() for axes in figure.axes}) == 1


def test_rows_are_as_few_and_as_short_as_can_be() -> None:
    dice = Random(2)
    for _ in range(40):
        frames = [dice.randint(1, 90) for _ in range(dice.randint(1, 9))]
        most = dice.randint(1, 5)
        rows = rows_of(frames, most)
        assert [i for row in rows for i in row] == list(range(len(frames)))
        assert max(map(len, rows)) <= most
        wanted = -(-len(frames) // most)
        assert len(rows) <= wanted
        longest = max(sum(frames[i] for i in row) for row in rows)
        # Every way to part them into no more rows.
        inner = range(1, len(frames))
        ways = [
            [0, *cuts, len(frames)]
            for number in range(wanted)
            for cuts in combinations(inner, number)
        ]
        best = min(
            max(sum(frames[a:b]) for a, b in pairwise(edges))
            for edges in ways
            if all(b - a <= most for a, b in pairwise(edges))
        )
        assert longest == best


def test_names_stand_as_near_to_their_columns_as_can_be() -> None:
    dice = Random(3)
    height, width = 8.5, 120.0
    for _ in range(30):
        count = dice.randint(1, most_in_a_row(height, width))
        wanted = sorted(dice.uniform(0, width) for _ in range(count))
        places = spread(wanted, height, width)
        assert all(b - a >= 10 - 1e-9 for a, b in pairwise(places))
        assert places[0] >= 5 - 1e-9
        assert places[-1] <= width - 5 + 1e-9
        # Against scipy's solver of the same task.
        rules = [{"type": "ineq", "fun": lambda p: np.diff(p) - 10}] if count > 1 else []
        solved = minimize(
            lambda p, wanted=wanted: float(np.sum((p - wanted) ** 2)),
            np.linspace(5, width - 5, count),
            bounds=[(5, width - 5)] * count,
            constraints=rules,
            options={"maxiter": 500},
        )
        assert places == pytest.approx(solved.x, abs=0.05)
