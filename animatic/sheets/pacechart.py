"""The pace of a film as a chart (PNG, SVG), as a bar for the terminal, and in words."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING, Any

from animatic.frames import apportion, seconds_from_frames
from animatic.sheets.chartletters import LINE_INCHES, lettered, plain, title_lines
from animatic.sheets.table import as_json as json_of
from animatic.timeline.model import Timeline
from animatic.timeline.pace import Pace

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["as_json", "as_text", "bar", "chart", "drawn"]

_BLOCKS = "▁▂▃▄▅▆▇█"
_INCHES_WIDE, _INCHES_HIGH = 11, 4
_POINTS_WIDE, _POINTS_HIGH = 670, 200
"""About as wide as all columns, and as high as the longest, without title and axes."""
_LETTER, _TALL = 5.5, 13.0
"""Points that a letter of a name is wide, and that a level name needs over its column."""


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
    """Return the chart as a figure, before it is written."""
    from matplotlib.figure import Figure

    tall, font = _tall(timeline), timeline.lettering.font
    title = title_lines(timeline.title, "shot lengths", _POINTS_WIDE, font)
    high = LINE_INCHES * (len(title) - 1) + _INCHES_HIGH + max(0.0, tall - _TALL) / 72
    with lettered(font):
        figure = Figure(figsize=(_INCHES_WIDE, high), layout="constrained")
        axes = figure.add_subplot()
        _draw_shots(axes, timeline, pace.mean)
        _draw_speech(axes, timeline)
        axes.axhline(pace.mean, color="0.2", linewidth=0.8, linestyle="--")
        axes.annotate(
            f"mean {pace.mean:.1f} s",
            (1, pace.mean),
            xycoords=("axes fraction", "data"),
            xytext=(3, 0),
            textcoords="offset points",
            va="center",
        )
        axes.set_title("\n".join(title), loc="left")
        axes.set_xlabel("seconds into the film")
        axes.set_ylabel("shot length in seconds")
        axes.set_xlim(0, _seconds(timeline, timeline.frames))
        if tall > _TALL:
            longest = max(_seconds(timeline, shot.frames) for shot in timeline.shots)
            axes.set_ylim(0, longest * (1 + tall / _POINTS_HIGH))
        axes.spines[["top", "right"]].set_visible(False)
    return figure


def _is_upright(timeline: Timeline) -> bool:
    """Return whether names stand upright: many shots, or a name wider than its column."""
    a_frame = _POINTS_WIDE / timeline.frames
    return len(timeline.shots) > 24 or any(
        _LETTER * len(shot.name) + 4 > shot.frames * a_frame for shot in timeline.shots
    )


def _tall(timeline: Timeline) -> float:
    """Return the points that the tallest name needs over its column."""
    if not _is_upright(timeline):
        return _TALL
    return max(_LETTER * len(shot.name) for shot in timeline.shots) + 5


def _seconds(timeline: Timeline, frames: int) -> float:
    return float(seconds_from_frames(frames, timeline.rate))


def _draw_shots(axes: Axes, timeline: Timeline, mean: float) -> None:
    longest = max(_seconds(timeline, shot.frames) for shot in timeline.shots)
    is_upright, font = _is_upright(timeline), timeline.lettering.font
    for shot in timeline.shots:
        left, width = _seconds(timeline, shot.start), _seconds(timeline, shot.frames)
        axes.bar(left, width, width, align="edge", color="0.82", edgecolor="0.15", linewidth=0.8)
        tall = _LETTER * len(shot.name) + 5 if is_upright else _TALL
        # The line of the mean would strike through a name: such a name stands over it.
        is_struck = 0 <= (mean - width) * _POINTS_HIGH < tall * longest
        axes.annotate(
            plain(shot.name, font),
            (left + width / 2, mean if is_struck else width),
            xytext=(0, 2),
            textcoords="offset points",
            ha="center",
            va="bottom",
            rotation=90 if is_upright else 0,
            fontsize=8,
        )


def _draw_speech(axes: Axes, timeline: Timeline) -> None:
    """Hatch the foot of the chart where somebody speaks."""
    height = max(_seconds(timeline, shot.frames) for shot in timeline.shots) * 0.05
    for number, line in enumerate(timeline.lines):
        left = _seconds(timeline, line.first_frame)
        width = _seconds(timeline, line.end_frame) - left
        label = "speech" if number == 0 else None
        axes.bar(
            left,
            height,
            width,
            align="edge",
            color="white",
            edgecolor="0.15",
            hatch="////",
            linewidth=0.6,
            label=label,
        )
    if timeline.lines:
        # Above the chart: inside it the legend would lie on a column.
        axes.legend(loc="lower right", bbox_to_anchor=(1, 1), frameon=False)


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
        lines.append(f"{word}: shot {shot.name}, {_seconds(timeline, shot.frames):.2f} s")
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
