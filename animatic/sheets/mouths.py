"""The mouth chart as a list: a row for each word, with its frames and the mouth's shapes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from animatic.sheets.markdown import escaped
from animatic.sheets.rows import one_line
from animatic.sheets.table import Cell, Head, as_csv, as_json, as_markdown, as_text
from animatic.timeline.model import Line, Timeline
from animatic.timeline.mouths import Word

__all__ = ["HEADS", "NOTE", "as_comma", "as_list", "as_page", "as_table", "rows"]

HEADS = (
    Head("line", "Line", right=True),
    Head("who", "Speaker"),
    Head("shot", "Shot"),
    Head("word", "Word"),
    Head("frame", "Frame", right=True),
    Head("shot_frame", "In shot", right=True),
    Head("frames", "Frames", right=True),
    Head("at", "At", right=True),
    Head("from", "From"),
    Head("mouth", "Mouth"),
)
NOTE = (
    "Frames count from 0. Words are laid on the voiced parts of the sound by their length:"
    " expect a frame or two off, in places four. A mouth shape stands with the frame of the shot"
    " on which it begins; shapes are known for English words, with the extra mouths."
)
Row = dict[str, Cell]
Chart = Mapping[int, Sequence[Word]]


def rows(timeline: Timeline, chart: Chart) -> list[Row]:
    """Return a row for each word, in the order of the lines."""
    return [
        {
            "line": line.number,
            "who": line.who,
            "shot": shot.name,
            "word": word.text,
            "frame": word.start,
            "shot_frame": word.start - shot.start,
            "frames": word.end - word.start,
            "at": timeline.label(word.start),
            "from": _source(line),
            "mouth": ", ".join(f"{frame - shot.start} {shape}" for frame, shape in word.shapes),
        }
        for shot in timeline.shots
        for line in shot.lines
        for word in chart[line.number]
    ]


def _source(line: Line) -> str:
    if line.voice is None:
        return "estimate"
    return "scratch voice" if line.scratch else "recording"


def as_table(listed: Sequence[Row]) -> str:
    """Return the chart as plain text."""
    return f"{as_text(HEADS, listed)}\n\n{NOTE}\n"


def as_comma(listed: Sequence[Row]) -> str:
    """Return the chart as CSV."""
    return as_csv(HEADS, listed)


def as_page(timeline: Timeline, listed: Sequence[Row]) -> str:
    """Return the chart as a Markdown page."""
    title = escaped(one_line(timeline.title)).replace("#", r"\#")
    return f"# {title}: mouths\n\n{as_markdown(HEADS, listed)}\n\n{NOTE}\n"


def as_list(timeline: Timeline, chart: Chart) -> str:
    """Return the chart as JSON: lines with their words, words with their shapes."""
    lines = [
        {
            "line": line.number,
            "who": line.who,
            "shot": shot.name,
            "shot_start": shot.start,
            "from": _source(line),
            "words": [
                {
                    "word": word.text,
                    "syllables": word.syllables,
                    "frame": word.start,
                    "end_frame": word.end,
                    "mouth": [{"frame": f, "shape": shape} for f, shape in word.shapes],
                }
                for word in chart[line.number]
            ],
        }
        for shot in timeline.shots
        for line in shot.lines
    ]
    return as_json({"title": timeline.title, "rate": timeline.rate.name, "lines": lines})
