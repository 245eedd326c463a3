"""The mouth chart as a list: a row for each word, with its frames and the mouth's shapes."""

from __future__ import annotations

from collections.abc import Sequence

from animatic.sheets.markdown import escaped
from animatic.sheets.rows import one_line
from animatic.sheets.table import Cell, Head, as_csv, as_json, as_markdown, as_text
from animatic.timeline.model import Line, Shot, Timeline
from animatic.timeline.mouths import Chart

__all__ = ["HEADS", "NOTE", "as_comma", "as_list", "as_page", "as_table", "rows"]

HEADS = (
    Head("line", "Line", right=True),
    Head("who", "Speaker"),
    Head("shot", "Shot"),
    Head("word", "Word"),
    Head("frame", "Frame to shoot", right=True),
    Head("frames", "Frames", right=True),
    Head("film_frame", "Film frame", right=True),
    Head("at", "At", right=True),
    Head("from", "From"),
    Head("mouth", "Mouth"),
)
NOTE = (
    "Frames to shoot count from 1 over the shot with its handles, as on the exposure sheet and in"
    " takes; film frames count from 0. Words are laid on the voiced parts of the sound by their"
    " length: expect a frame or two off, in places four. A mouth shape stands with the frame to"
    " shoot on which it begins; shapes are known for English words, with the extra mouths."
)
Row = dict[str, Cell]


def rows(timeline: Timeline, chart: Chart) -> list[Row]:
    """Return a row for each word, in the order of the lines.

    `shot` and `frame` are those of the exposure sheet on which the word begins: of a line that
    runs over the cut, the later words stand with the next shot.
    """
    return [
        {
            "line": line.number,
            "who": line.who,
            "shot": (shot := _shot(timeline, word.start)).name,
            "word": word.text,
            "frame": shot.frame_to_shoot(word.start),
            "frames": word.end - word.start,
            "film_frame": word.start,
            "at": timeline.label(word.start),
            "from": _source(line),
            "mouth": ", ".join(_shape(timeline, shot, *each) for each in word.shapes),
        }
        for line in timeline.lines
        for word in chart[line.number]
    ]


def _shot(timeline: Timeline, film: int) -> Shot:
    """Return the shot in which a film frame lies; the last one for what is beyond the film."""
    return next((shot for shot in timeline.shots if film < shot.end), timeline.shots[-1])


def _shape(timeline: Timeline, shot: Shot, film: int, shape: str) -> str:
    there = _shot(timeline, film)
    words = f"{there.frame_to_shoot(film)} {shape}"
    return words if there is shot else f"shot {there.name} {words}"


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
            "from": _source(line),
            "words": [
                {
                    "word": word.text,
                    "syllables": word.syllables,
                    **_placed(timeline, word.start),
                    "frames": word.end - word.start,
                    "mouth": [{**_placed(timeline, f), "shape": shape} for f, shape in word.shapes],
                }
                for word in chart[line.number]
            ],
        }
        for shot in timeline.shots
        for line in shot.lines
    ]
    return as_json({"title": timeline.title, "rate": timeline.rate.name, "lines": lines})


def _placed(timeline: Timeline, film: int) -> dict[str, int | str]:
    shot = _shot(timeline, film)
    return {"shot": shot.name, "frame": shot.frame_to_shoot(film), "film_frame": film}
