"""The days of the shoot as a chart (PNG): a bar a day over the clock, breaks left white."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from animatic.frames import ceil_div
from animatic.sheets.chartletters import LINE_INCHES, lettered, measured, plain, title_lines
from animatic.sheets.wrapping import wrapped
from animatic.shoot.estimate import Plan, Stint
from animatic.shoot.hours import Dated, parts, said
from animatic.words import counted

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["drawn", "write"]

_LOOKS = (
    *("", "////", "....", "xxxx", "\\\\\\\\", "----", "oooo", "++++", "||||", "//.."),
    *("//", "..", "xx", "\\\\", "--", "oo", "++", "||", "\\\\..", "--.."),
    *("||..", "//oo", "--oo", "||oo"),
)
"""Hatches tell setups apart, so that the chart can be printed in black and white."""
_POINTS_WIDE, _POINTS_HIGH = 660, 23
"""About as wide as the whole clock, and as high as a bar."""
_SIZES = (8.0, 7.0, 6.0, 5.0)
"""Points of a shot's name."""
_KEY, _KEY_HIGH, _KEY_MARK, _KEYS_WIDE = 9, 15, 46, 780
"""Points: of a setup's name in the key, of a row of it, of what stands beside a name, and of all
columns of the key."""
_LETTER = 0.6
"""How wide a letter is, in parts of its size, about."""
_FEWEST_LETTERS = 3
"""In a line of a name that is broken: fewer cannot be read."""


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
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    with lettered(font):
        figure = Figure(figsize=(11, 1.9 + 0.42 * len(days)), layout="constrained")
        FigureCanvasAgg(figure)  # It measures words without drawing all anew.
        axes = figure.add_subplot()
        looks = {setup.name: _LOOKS[i % len(_LOOKS)] for i, setup in enumerate(plan.setups)}
        for dated in days:
            for stint in dated.day.stints:
                _bar(axes, dated, stint, looks[stint.setup])
        _axes(axes, days)
        left_out = sum(
            not _name(axes, dated, stint, font) for dated in days for stint in dated.day.stints
        )
        what = f"{counted(plan.poses, 'pose')} in {counted(len(days), 'day')}"
        if plan.done is not None:
            what += f"; {counted(plan.done.poses, 'pose')} done"
        if left_out:
            what += f"; {counted(left_out, 'bar')} too short for a name"
        if len(plan.setups) > len(_LOOKS):
            what += f"; from the {len(_LOOKS) + 1}th setup on the looks come again"
        heading = title_lines(title, what, _POINTS_WIDE, font)
        axes.set_title("\n".join(heading), loc="left")
        wide, high = figure.get_size_inches()
        figure.set_size_inches(wide, high + LINE_INCHES * (len(heading) - 1))
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


def _name(axes: Axes, dated: Dated, stint: Stint, font: Path | None) -> bool:
    """Letter a shot's name on the longest part of its bar, as large as it is whole there.

    Return whether there was room.
    """
    if stint.kind != "shoot" or stint.shot is None:
        return True
    first, end = max(parts(dated.day, stint), key=lambda stretch: stretch[1] - stretch[0])
    low, high = axes.get_xlim()
    wide = (end - first) * _POINTS_WIDE / (high - low) - 4
    for words, size, rotation in _ways(plain(stint.shot.name, font), wide):
        room = (wide, _POINTS_HIGH) if rotation == 0 else (_POINTS_HIGH, wide)
        taken = measured(axes.figure.figure, words, size)
        if all(one <= most for one, most in zip(taken, room, strict=True)):
            box = {"facecolor": "white", "edgecolor": "none", "pad": 1.2}
            middle = ((first + end) / 2, dated.day.number)
            text = axes.annotate(words, middle, ha="center", va="center", bbox=box, fontsize=size)
            text.set_rotation(rotation)
            return True
    return False


def _ways(name: str, wide: float) -> Iterator[tuple[str, float, int]]:
    """Yield how a name could be lettered, best first: the words, their size, how they are turned.

    Level or upright, and only where neither has room in lines.
    """
    for size in _SIZES:
        if size <= wide:
            yield name, size, 0
            yield name, size, 90
    for size in _SIZES:
        letters = int(wide / (_LETTER * size))
        if letters >= _FEWEST_LETTERS:
            yield "\n".join(wrapped(name, partial(_has_most, letters))), size, 0


def _has_most(letters: int, line: str) -> bool:
    return len(line) <= letters


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
    figure = axes.figure.figure
    longest = max(measured(figure, str(patch.get_label()), _KEY)[0] for patch in patches)
    columns = max(1, min(6, int(_KEYS_WIDE / (longest + _KEY_MARK))))
    rows = ceil_div(len(patches), columns)
    wide, high = figure.get_size_inches()
    figure.set_size_inches(wide, high + max(0, rows - 2) * _KEY_HIGH / 72)
    # Below the chart: inside it the legend would lie on a bar.
    figure.legend(
        handles=patches, loc="outside lower center", ncols=columns, fontsize=_KEY, frameon=False
    )
