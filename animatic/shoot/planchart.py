"""The days of the shoot as a chart (PNG): a bar a day over the clock, breaks left white."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from animatic.sheets.chartletters import LINE_INCHES, lettered, plain, title_lines
from animatic.sheets.wrapping import wrapped
from animatic.shoot.estimate import Plan, Stint
from animatic.shoot.hours import Dated, parts, said
from animatic.words import counted

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["drawn", "write"]

_LOOKS = ("", "////", "....", "xxxx", "\\\\\\\\", "----", "oooo", "++++")
"""Hatches tell setups apart, so that the chart can be printed in black and white."""
_POINTS_WIDE, _POINTS_HIGH = 660, 23
"""About as wide as the whole clock, and as high as a bar."""
_SIZES = (8.0, 7.0, 6.0, 5.0, 4.0)
"""Points of a shot's name."""


def write(plan: Plan, days: Sequence[Dated], title: str, font: Path | None = None) -> bytes:
    """Return the chart; `font` is the board's own."""
    import matplotlib as mpl

    buffer = BytesIO()
    with mpl.rc_context({"hatch.linewidth": 0.5}):
        figure = drawn(plan, days, title, font)
        figure.savefig(buffer, format="png", dpi=130, metadata={"Software": None})
    return buffer.getvalue()


def drawn(plan: Plan, days: Sequence[Dated], title: str, font: Path | None = None) -> Figure:
    """Return the chart as a figure, before it is written."""
    from matplotlib.figure import Figure

    what = f"{counted(plan.poses, 'pose')} in {counted(len(days), 'day')}"
    heading = title_lines(title, what, _POINTS_WIDE, font)
    high = 1.9 + 0.42 * len(days) + LINE_INCHES * (len(heading) - 1)
    with lettered(font):
        figure = Figure(figsize=(11, high), layout="constrained")
        axes = figure.add_subplot()
        looks = {setup.name: _LOOKS[i % len(_LOOKS)] for i, setup in enumerate(plan.setups)}
        for dated in days:
            for stint in dated.day.stints:
                _bar(axes, dated, stint, looks[stint.setup])
        _axes(axes, days)
        for dated in days:
            for stint in dated.day.stints:
                _name(axes, dated, stint, font)
        axes.set_title("\n".join(heading), loc="left")
        _legend(axes, plan, looks, font)
    return figure


def _bar(axes: Axes, dated: Dated, stint: Stint, hatch: str) -> None:
    grey = "0.62" if stint.kind == "rig" else "0.8" if stint.kind == "dress" else "white"
    for first, end in parts(dated.day, stint):
        axes.barh(
            dated.day.number,
            end - first,
            0.78,
            left=first,
            color=grey,
            edgecolor="0.1",
            hatch=hatch if stint.kind == "shoot" else "",
            linewidth=0.7,
        )


def _name(axes: Axes, dated: Dated, stint: Stint, font: Path | None) -> None:
    """Letter a shot's name on the longest part of its bar, as large as it is whole there."""
    if stint.kind != "shoot" or stint.shot is None:
        return
    first, end = max(parts(dated.day, stint), key=lambda stretch: stretch[1] - stretch[0])
    low, high = axes.get_xlim()
    wide = (end - first) * _POINTS_WIDE / (high - low) - 4
    for size in _SIZES:

        def fits(line: str, size: float = size) -> bool:
            return 0.65 * size * len(line) <= wide

        lines = wrapped(plain(stint.shot.name, font), fits)
        if all(map(fits, lines)) and len(lines) * size * 1.25 <= _POINTS_HIGH:
            box = {"facecolor": "white", "edgecolor": "none", "pad": 1.2}
            middle = ((first + end) / 2, dated.day.number)
            name = "\n".join(lines)
            axes.annotate(name, middle, ha="center", va="center", bbox=box, fontsize=size)
            return


def _axes(axes: Axes, days: Sequence[Dated]) -> None:
    names = [" ".join(filter(None, (str(each.day.number), each.name))) for each in days]
    axes.set_yticks([each.day.number for each in days], names)
    axes.set_ylim(len(days) + 0.6, 0.4)
    axes.set_ylabel("day")
    low, high = axes.get_xlim()
    hours = [hour * 60 for hour in range(int(low // 60), int(high // 60) + 2)]
    axes.set_xlim(hours[0], hours[-1])
    axes.set_xticks(hours, [said(hour) for hour in hours])
    axes.spines[["top", "right"]].set_visible(False)


def _legend(axes: Axes, plan: Plan, looks: dict[str, str], font: Path | None) -> None:
    from matplotlib.patches import Patch

    patches = [Patch(facecolor="0.62", edgecolor="0.1", label="rig")]
    for setup in plan.setups:
        name = plain(setup.name, font) or "without a setup"
        patches.append(
            Patch(facecolor="white", edgecolor="0.1", hatch=looks[setup.name], label=name)
        )
    # Below the chart: inside it the legend would lie on a bar.
    axes.figure.legend(handles=patches, loc="outside lower center", ncols=6, frameon=False)
