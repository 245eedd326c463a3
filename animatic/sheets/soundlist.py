"""The cue list: every sound of the film, where it lies, how loud it is, and whether it is paid.

What the list cannot see itself, how loud the film and the parts that are used are, is handed in.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from animatic.board import Board
from animatic.frames import SAMPLE_RATE, frames_from_samples, round_half_up
from animatic.sheets.loudness import Programme
from animatic.sheets.loudness import as_page as loudness_page
from animatic.sheets.loudness import as_table as loudness_table
from animatic.sheets.loudness import values as loudness_values
from animatic.sheets.markdown import escaped
from animatic.sheets.rows import one_line
from animatic.sheets.table import Cell, Head, as_csv, as_json, as_markdown, as_text
from animatic.timeline.model import Cue, Timeline

__all__ = ["HEADS", "as_comma", "as_list", "as_page", "as_table", "open_licences", "rows"]

HEADS = (
    Head("number", "No", right=True),
    Head("bus", "Bus"),
    Head("file", "File"),
    Head("shot", "Shot"),
    Head("in", "In", right=True),
    Head("out", "Out", right=True),
    Head("frames", "Frames", right=True),
    Head("seconds", "Seconds", right=True),
    Head("length", "File length", right=True),
    Head("lufs", "LUFS", right=True),
    Head("level", "Level dB", right=True),
    Head("licence", "Licence"),
)
Row = dict[str, Cell]
SCRATCH = "scratch voice"
_NOT_SAID = "not said"


def rows(board: Board, timeline: Timeline, loudness: Mapping[Cue, float | None]) -> list[Row]:
    """Return a row for each cue in order of their starts; `loudness` is in LUFS by cue.

    `frames` and `seconds` are what the film uses of the sound, `length` is the file's.
    """
    scratch = {line.voice for line in timeline.lines if line.scratch}
    cues = sorted(timeline.cues, key=lambda cue: (cue.start, cue.end, cue.bus, str(cue.file)))
    listed = []
    for number, cue in enumerate(cues, 1):
        first, end = (frames_from_samples(at, timeline.rate) for at in (cue.start, cue.end))
        listed.append(
            {
                "number": number,
                "bus": cue.bus,
                "file": SCRATCH if cue.file in scratch else _named(board, cue.file),
                "shot": cue.shot,
                "in": timeline.label(first),
                "out": timeline.label(end),
                "frames": end - first,
                "seconds": _hundredths(Fraction(cue.end - cue.start, SAMPLE_RATE)),
                "length": _hundredths(board.media.sounds[cue.file].seconds),
                "lufs": _tenths(loudness.get(cue)),
                "level": _tenths(cue.level),
                # What the machine speaks is not meant to stay in the film.
                "licence": cue.licence or ("" if cue.file in scratch else _NOT_SAID),
            }
        )
    return listed


def _named(board: Board, file: Path) -> str:
    folder = board.folder.absolute()
    return file.relative_to(folder).as_posix() if file.is_relative_to(folder) else str(file)


def _hundredths(seconds: Fraction) -> Decimal:
    return Decimal(round_half_up(seconds * 100)).scaleb(-2)


def _tenths(level: float | None) -> Decimal | None:
    return None if level is None else Decimal(round_half_up(Fraction(level) * 10)).scaleb(-1)


def open_licences(listed: Sequence[Row]) -> list[str]:
    """Return what stands on top: what is to be bought, and of what nothing is said.

    A file is to be bought if it is anywhere in the board, whatever is said elsewhere.
    """
    to_buy = dict.fromkeys(str(r["file"]) for r in listed if r["licence"] == "to buy")
    unsaid = dict.fromkeys(
        str(r["file"]) for r in listed if r["licence"] == _NOT_SAID and str(r["file"]) not in to_buy
    )
    found = []
    if to_buy:
        found.append(f"still to buy: {', '.join(to_buy)}")
    if unsaid:
        found.append(f"no licence is said for: {', '.join(unsaid)}")
    return found or ["nothing is left to buy"]


def as_table(listed: Sequence[Row], programme: Programme) -> str:
    """Return the list as plain text, what is to be bought first and how loud it is last."""
    parts = [*open_licences(listed), "", as_text(HEADS, listed), "", loudness_table(programme)]
    return "\n".join(parts)


def as_comma(listed: Sequence[Row]) -> str:
    """Return the list as CSV."""
    return as_csv(HEADS, listed)


def as_page(timeline: Timeline, listed: Sequence[Row], programme: Programme) -> str:
    """Return the list as a Markdown page, and how loud the film is."""
    title = escaped(one_line(timeline.title)).replace("#", r"\#")
    top = [f"- {escaped(words)}" for words in open_licences(listed)]
    listing = as_markdown(HEADS, listed)
    return "\n".join([f"# {title}: sounds", "", *top, "", listing, "", loudness_page(programme)])


def as_list(timeline: Timeline, listed: Sequence[Row], programme: Programme) -> str:
    """Return the list as JSON: title, rate, what is to be bought, how loud it is, the sounds."""
    content = {
        "title": timeline.title,
        "rate": timeline.rate.name,
        "to_buy": list(dict.fromkeys(r["file"] for r in listed if r["licence"] == "to buy")),
        "loudness": loudness_values(programme),
        "sounds": listed,
    }
    return as_json(content)
