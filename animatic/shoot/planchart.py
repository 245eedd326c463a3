"""The days of the shoot as a chart (PNG): a bar a day over the clock, breaks left white."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from typing import TYPE_CHECKING

from animatic.sheets.rows import one_line
from animatic.shoot.estimate import Plan, Stint
from animatic.shoot.hours import Dated, parts, said
from animatic.words import counted

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["write"]

_LOOKS = ("", "////", "....", "xxxx", "\\\\\\\\", "----", "oooo", "++++")
"""Hatches tell setups apart, so that the chart can be printed in black and white."""


def write(plan: Plan, days: Sequence[Dated], title: str) -> bytes:
    """Return the chart."""
    import matplotlib as mpl
    from matplotlib.figure import Figure

    with mpl.rc_context({"font.size": 9, "hatch.linewidth": 0.5, "text.parse_math": False}):
        figure = Figure(figsize=(11, 1.9 + 0.42 * len(days)), layout="constrained")
        axes = figure.add_subplot()
        looks = {setup.name: _LOOKS[i % len(_LOOKS)] for i, setup in enumerate(plan.setups)}
        for dated in days:
            for stint in dated.day.stints:
                _bar(axes, dated, stint, looks[stint.setup])
        _axes(axes, days)
        what = f"{counted(plan.poses, 'pose')} in {counted(len(days), 'day')}"
        axes.set_title(f"{one_line(title)}: {what}", loc="left")
        _legend(axes, plan, looks)
        buffer = BytesIO()
        figure.savefig(buffer, format="png", dpi=130, metadata={"Software": None})
    return buffer.getvalue()


def _bar(axes: Axes, dated: Dated, stint: Stint, hatch: str) -> None:
    stretches = list(parts(dated.day, stint))
    grey = "0.62" if stint.kind == "rig" else "0.8" if stint.kind == "dress" else "white"
    for first, end in stretches:
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
    if stint.kind == "shoot" and stint.shot is not None:
        first, end = max(stretches, key=lambda stretch: stretch[1] - stretch[0])
        if end - first >= 8 * len(stint.shot.name):
            box = {"facecolor": "white", "edgecolor": "none", "pad": 1.2}
            middle = ((first + end) / 2, dated.day.number)
            name = one_line(stint.shot.name)
            axes.annotate(name, middle, ha="center", va="center", bbox=box, fontsize=8)


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


def _legend(axes: Axes, plan: Plan, looks: dict[str, str]) -> None:
    from matplotlib.patches import Patch

    patches = [Patch(facecolor="0.62", edgecolor="0.1", label="rig")]
    for setup in plan.setups:
        name = one_line(setup.name) or "without a setup"
        patches.append(
            Patch(facecolor="white", edgecolor="0.1", hatch=looks[setup.name], label=name)
        )
    # Below the chart: inside it the legend would lie on a bar.
    axes.figure.legend(handles=patches, loc="outside lower center", ncols=6, frameon=False)
