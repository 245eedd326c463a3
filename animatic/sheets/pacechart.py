"""The pace of a film as a chart (PNG, SVG), as a bar for the terminal, and in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from io import BytesIO
from typing import TYPE_CHECKING, Any

from animatic.frames import Rate, apportion, seconds_from_frames
from animatic.sheets.chartletters import LINE_INCHES, lettered, measured, plain, title_lines
from animatic.sheets.chartnames import Way, most_in_a_row, rows_of, spread, way_of
from animatic.sheets.table import as_json as json_of
from animatic.timeline.model import Shot, Timeline
from animatic.timeline.pace import Pace

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["as_json", "as_text", "bar", "chart", "drawn"]

_BLOCKS = "▁▂▃▄▅▆▇█"
_WIDE, _LEFT, _RIGHT = 792, 58, 76
"""Points of the whole chart, and of what lies beside the columns."""
_TOP, _FOOT, _AXIS = 30, 21, 24
"""Points for the title, for the words under the last row, and for the numbers under each."""
_HIGH = {1: 200, 2: 130, 3: 110}
_LEAST_HIGH = 85
"""Points of a row of columns, by the number of rows."""
_LETTERS = 8
_LEVEL = 13
"""Points of a shot's name, and what a level one needs over its column."""
_APART = 1.5
"""Points that a column is wide at the least, if a line is to stand on it."""
_KEY = 94
"""Points beside the title for what the hatching is."""
_SPEECH: dict[str, Any] = {
    "facecolor": "white",
    "edgecolor": "0.15",
    "hatch": "////",
    "linewidth": 0.6,
}
_KNEES = (9, 26)
"""Points, at the least and at the most, in which lines lead from columns to names."""


def chart(timeline: Timeline, pace: Pace, form: str) -> bytes:
    """Return the chart as PNG or SVG: a column a shot, as wide as it is long, as high too.

    Black and white safe: speech is hatched, not coloured.
    """
    import matplotlib as mpl

    # The salt makes the names inside an SVG, and so its bytes, the same at every run.
    with mpl.rc_context({"svg.hashsalt": "animatic"}):
        buffer = BytesIO()
        metadata = {"Date": None} if form == "svg" else {"Software": None}
        drawn(timeline, pace).savefig(buffer, format=form, dpi=150, metadata=metadata)
    return buffer.getvalue()


def drawn(timeline: Timeline, pace: Pace) -> Figure:
    """Return the chart as a figure, before it is written: one row of columns, or several."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    with lettered(timeline.lettering.font):
        figure = Figure(figsize=(_WIDE / 72, 1))
        FigureCanvasAgg(figure)  # It measures words without drawing all anew.
        plan = _planned(figure, timeline)
        points = [row.band + plan.high + _AXIS for row in plan.rows]
        room = plan.wide - (_KEY if timeline.lines else 0)
        title = title_lines(timeline.title, "shot lengths", room, timeline.lettering.font)
        top = _TOP + (len(title) - 1) * LINE_INCHES * 72
        whole = top + sum(points) + _FOOT
        figure.set_size_inches(_WIDE / 72, whole / 72)
        below = whole - top
        for row, taken in zip(plan.rows, points, strict=True):
            foot = below - row.band - plan.high
            place = (_LEFT / _WIDE, foot / whole, plan.wide / _WIDE, plan.high / whole)
            axes = figure.add_axes(place)
            _draw_axes(axes, plan, row, pace.mean)
            _draw_speech(axes, timeline, plan, row)
            _draw_names(axes, plan, row, pace.mean)
            below -= taken
        axes.set_xlabel("seconds into the film")
        figure.axes[0].set_title("\n".join(title), loc="left", pad=plan.rows[0].band + 6)
        if timeline.lines:
            _draw_key(figure, whole)
    return figure


@dataclass(frozen=True, slots=True)
class _Name:
    """A shot's name as it is lettered, and what it measures level, in points."""

    words: str
    wide: float
    tall: float


@dataclass(frozen=True, slots=True)
class _Row:
    shots: Sequence[Shot]
    names: Sequence[_Name]
    band: float = _LEVEL
    """Points that are kept free above the columns' axis."""
    knee: float = 0.0
    """Points of them for lines that lead from columns to names."""
    places: Sequence[float] = ()
    """Where the names stand above the columns, in points from the left."""


@dataclass(frozen=True, slots=True)
class _Plan:
    """How the chart is laid: seconds for lengths in the film, points on the paper."""

    rate: Rate
    way: Way
    rows: Sequence[_Row]
    frames: int
    """Of the longest row: all rows have one scale."""
    top: float
    """Seconds at the top of the columns' axis."""
    high: float
    wide: float = _WIDE - _LEFT - _RIGHT

    def seconds(self, frames: int) -> float:
        return float(seconds_from_frames(frames, self.rate))

    def across(self, frames: float) -> float:
        """Return a length in frames as points across the chart."""
        return frames * self.wide / self.frames

    def middles(self, row: _Row) -> list[float]:
        """Return where the middles of a row's columns lie, in points from the left."""
        first = row.shots[0].start
        return [self.across((shot.start + shot.end) / 2 - first) for shot in row.shots]


def _planned(figure: Figure, timeline: Timeline) -> _Plan:
    font, shots, wide = timeline.lettering.font, timeline.shots, _WIDE - _LEFT - _RIGHT
    names = []
    for shot in shots:
        words = plain(shot.name, font)
        names.append(_Name(words, *measured(figure, words, _LETTERS)))
    tall = max(name.tall for name in names)
    ranges = rows_of([shot.frames for shot in shots], most_in_a_row(tall, wide))
    lasting = max(shots[r[-1]].end - shots[r[0]].start for r in ranges)
    columns = [shot.frames * wide / lasting for shot in shots]
    lengths = [name.wide for name in names]
    way = way_of(lengths, [name.tall for name in names], columns, len(ranges))
    high = float(_HIGH.get(len(ranges), _LEAST_HIGH))
    over = max(lengths) + 5 if way == "upright" else 0.05 * high
    if way == "upright":
        high += over
    longest = seconds_from_frames(max(shot.frames for shot in shots), timeline.rate)
    rows = [_Row([shots[i] for i in r], [names[i] for i in r]) for r in ranges]
    plan = _Plan(timeline.rate, way, rows, lasting, float(longest) * high / (high - over), high)
    return (
        replace(plan, rows=[_with_names_above(plan, r) for r in rows]) if way == "above" else plan
    )


def _with_names_above(plan: _Plan, row: _Row) -> _Row:
    middles = plan.middles(row)
    places = spread(middles, max(name.tall for name in row.names), plan.wide)
    off = max(abs(place - middle) for place, middle in zip(places, middles, strict=True))
    knee = min(max(_KNEES[0], off / 3), _KNEES[1])
    band = max(name.wide for name in row.names) + knee + 5
    return replace(row, band=band, knee=knee, places=places)


def _draw_axes(axes: Axes, plan: _Plan, row: _Row, mean: float) -> None:
    """Draw a row's columns and what they are measured by."""
    from matplotlib.ticker import MaxNLocator

    lengths = [plan.seconds(shot.frames) for shot in row.shots]
    starts = [plan.seconds(shot.start) for shot in row.shots]
    axes.bar(starts, lengths, lengths, align="edge", color="0.82", edgecolor="0.15", linewidth=0.8)
    axes.axhline(mean, color="0.2", linewidth=0.8, linestyle="--")
    axes.annotate(
        f"mean {mean:.1f} s",
        (1, mean),
        xycoords=("axes fraction", "data"),
        xytext=(3, 0),
        textcoords="offset points",
        va="center",
    )
    first = row.shots[0].start
    axes.set_xlim(plan.seconds(first), plan.seconds(first + plan.frames))
    axes.set_ylim(0, plan.top)
    axes.yaxis.set_major_locator(MaxNLocator(max(3, int(plan.high // 25)), integer=plan.top > 4))
    axes.set_ylabel("shot length in seconds" if plan.high > 140 else "seconds")
    axes.spines[["top", "right"]].set_visible(False)


def _draw_names(axes: Axes, plan: _Plan, row: _Row, mean: float) -> None:
    if plan.way == "above":
        _draw_names_above(axes, plan, row)
        return
    a_second = plan.high / plan.top
    for shot, name in zip(row.shots, row.names, strict=True):
        length = plan.seconds(shot.frames)
        tall = name.wide + 5 if plan.way == "upright" else _LEVEL
        # The line of the mean would strike through a name: such a name stands over it.
        is_struck = 0 <= (mean - length) * a_second < tall
        axes.annotate(
            name.words,
            (plan.seconds(shot.start) + length / 2, mean if is_struck else length),
            xytext=(0, 2),
            textcoords="offset points",
            ha="center",
            va="bottom",
            rotation=90 if plan.way == "upright" else 0,
            fontsize=_LETTERS,
        )


def _draw_names_above(axes: Axes, plan: _Plan, row: _Row) -> None:
    """Letter the names in a row above the columns, with lines that lead to them."""
    across: list[float] = []
    up: list[float] = []
    columns = zip(row.shots, row.names, plan.middles(row), row.places, strict=True)
    for shot, name, middle, place in columns:
        # Lines that stand close would look like a column, of the full height.
        is_alone = plan.across(shot.frames) >= _APART
        top = plan.seconds(shot.frames) * plan.high / plan.top if is_alone else plan.high
        across += [middle, middle, place, float("nan")]
        up += [top, plan.high, plan.high + row.knee, float("nan")]
        axes.annotate(
            name.words,
            (place / plan.wide, (plan.high + row.knee + 2) / plan.high),
            xycoords="axes fraction",
            ha="center",
            va="bottom",
            rotation=90,
            fontsize=_LETTERS,
        )
    axes.plot(
        [x / plan.wide for x in across],
        [y / plan.high for y in up],
        transform=axes.transAxes,
        clip_on=False,
        color="0.55",
        linewidth=0.4,
    )


def _draw_speech(axes: Axes, timeline: Timeline, plan: _Plan, row: _Row) -> None:
    """Hatch the foot of a row where somebody speaks."""
    first, end = row.shots[0].start, row.shots[-1].end
    for line in timeline.lines:
        begins, ends = max(line.first_frame, first), min(line.end_frame, end)
        if begins < ends:
            left = plan.seconds(begins)
            width = plan.seconds(ends) - left
            axes.bar(left, plan.top * 0.05, width, align="edge", **_SPEECH)


def _draw_key(figure: Figure, whole: float) -> None:
    """Say what the hatching is."""
    from matplotlib.patches import Patch

    key = [Patch(label="speech", **_SPEECH)]
    corner = ((_WIDE - _RIGHT) / _WIDE, (whole - 2) / whole)
    figure.legend(handles=key, loc="upper right", bbox_to_anchor=corner, frameon=False)


def bar(timeline: Timeline, width: int) -> str:
    """Return a line of blocks: each shot takes its part of the width and of the height."""
    cells = apportion([shot.frames for shot in timeline.shots], width)
    longest = max(shot.frames for shot in timeline.shots)
    return "".join(
        _BLOCKS[shot.frames * (len(_BLOCKS) - 1) // longest] * count
        for shot, count in zip(timeline.shots, cells, strict=True)
    )


def as_text(timeline: Timeline, pace: Pace, width: int) -> str:
    """Return the pace in words, with the bar on top."""
    lines = [bar(timeline, width)]
    lines.append(
        f"shots {len(timeline.shots)}: mean {pace.mean:.2f} s, median {pace.median:.2f} s,"
        f" standard deviation {pace.deviation:.2f} s"
    )
    for word, shot in (("longest", pace.longest), ("shortest", pace.shortest)):
        length = float(seconds_from_frames(shot.frames, timeline.rate))
        lines.append(f"{word}: shot {shot.name}, {length:.2f} s")
    lines.append(f"somebody speaks in {pace.speech * 100:.0f} % of the film")
    for part in pace.sequences:
        span = f"shot {part.first}" if part.shots == 1 else f"shots {part.first} to {part.last}"
        lines.append(f"{part.place}, {span}: {part.shots_a_minute:.1f} shots a minute")
    for run in pace.even:
        lines.append(f"nearly one length in a row: shots {', '.join(run)}")
    for name in pace.together:
        lines.append(f"the cut to shot {name} falls on a beat and on the end of a line")
    return "\n".join(lines) + "\n"


def as_json(timeline: Timeline, pace: Pace) -> str:
    """Return the pace as JSON; lengths in seconds."""
    content: dict[str, Any] = {
        "shots": len(timeline.shots),
        "mean": pace.mean,
        "median": pace.median,
        "deviation": pace.deviation,
        "longest": pace.longest.name,
        "shortest": pace.shortest.name,
        "speech": pace.speech,
        "sequences": [
            {
                "place": part.place,
                "first": part.first,
                "last": part.last,
                "shots": part.shots,
                "seconds": part.seconds,
                "shots_a_minute": part.shots_a_minute,
            }
            for part in pace.sequences
        ],
        "even": [list(run) for run in pace.even],
        "together": list(pace.together),
    }
    return json_of(content)
