"""Words on the chart of the shoot: none lies on another, none is outside, and none is lost."""

from __future__ import annotations

from pathlib import Path
from random import Random

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text

from animatic.shoot import plan_shoot, planchart
from animatic.shoot.hours import WORKDAYS, dated
from tests.boards import HEAD, BoardFolder, panels


def drawn(folder: BoardFolder, shots: int, an_hour: int, setup: str) -> tuple[Figure, int]:
    """Return the chart of a shoot, and how many stints of shooting it has."""
    dice = Random(shots)
    setups = [f"{setup} {n}" for n in range(shots // 8 + 1)]
    rows = "\n".join(
        f"- {{shot: {10 * n}, photo: a.jpg, duration: {dice.uniform(0.8, 6):.2f}s,"
        f" setup: {dice.choice(setups)}}}"
        for n in range(1, shots + 1)
    )
    listed = ", ".join(f"{name}: {{}}" for name in setups)
    text = panels(rows, f"{HEAD}setups: {{{listed}}}\npace: {{poses_per_hour: {an_hour}}}\n")
    plan = plan_shoot(folder.read(text), folder.lay_out(text))
    days = dated(plan, None, WORKDAYS)
    stints = sum(stint.kind == "shoot" for each in days for stint in each.day.stints)
    return planchart.drawn(plan, days, "Low Water"), stints


def texts(figure: Figure) -> list[Text]:
    [axes] = figure.axes
    keys = [text for legend in figure.legends for text in legend.get_texts()]
    numbers = [*axes.get_xticklabels(), *axes.get_yticklabels()]
    shown = [*axes.texts, *numbers, *keys, axes.yaxis.label]
    title = [text for text in axes.findobj(Text) if text.get_text() == axes.get_title("left")]
    return [text for text in [*shown, *title] if text.get_text()]


@pytest.mark.parametrize(
    ("shots", "an_hour", "setup"),
    [
        (16, 30, "quay"),
        (60, 60, "the quay at dusk from the east"),
        (60, 600, "the long quay at dusk from the east"),
        (120, 600, "quay"),
        (600, 600, "quay"),
    ],
)
def test_no_word_lies_on_another(tmp_path: Path, shots: int, an_hour: int, setup: str) -> None:
    folder = BoardFolder(tmp_path)
    folder.photo()
    figure, stints = drawn(folder, shots, an_hour, setup)
    [axes] = figure.axes
    for dpi in (72, 130):
        figure.set_dpi(dpi)
        figure.draw_without_rendering()
        shown = texts(figure)
        words = [text.get_text() for text in shown]
        edges = np.array([text.get_window_extent().extents for text in shown])
        x0, y0, x1, y1 = edges.T
        lies_on = (x0[:, None] < x1) & (x0 < x1[:, None]) & (y0[:, None] < y1) & (y0 < y1[:, None])
        assert [(words[a], words[b]) for a, b in np.argwhere(np.triu(lies_on, 1))] == []
        assert edges[:, :2].min() >= 0
        assert x1.max() <= figure.bbox.width
        assert y1.max() <= figure.bbox.height
    # No name is broken into single letters, and what has no room is counted.
    names = [text.get_text() for text in axes.texts]
    assert all(name.isdecimal() for name in names)
    left_out = stints - len(names)
    title = axes.get_title("left")
    if an_hour < 100:
        assert left_out == 0
    assert (f"; {left_out} bars too short for a name" in title) == (left_out > 0)


@pytest.mark.parametrize(("shots", "setups"), [(100, 13), (180, 23), (200, 26)])
def test_setups_have_looks_of_their_own_or_it_is_said(
    tmp_path: Path, shots: int, setups: int
) -> None:
    folder = BoardFolder(tmp_path)
    folder.photo()
    figure, _ = drawn(folder, shots, 600, "quay")
    [legend] = figure.legends
    looks = [patch.get_hatch() for patch in legend.get_patches()[1:]]
    assert len(looks) == setups
    title = figure.axes[0].get_title("left")
    is_said = "from the 25th setup on the looks come again" in " ".join(title.split())
    assert is_said == (len(set(looks)) < setups)
