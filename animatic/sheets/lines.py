"""The voice script: every line with what an actor far away must know to record it.

`seconds` is the time a line may take. In a panel of written length that is the room up to the
panel's end, or up to the next line with a time of its own. Where the dialogue decides the panel's
length the picture waits: then it is how long the recording is, or, without one, a guess.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from fractions import Fraction

from animatic.board import Board
from animatic.board.keys.schema import LineEntry, PanelEntry
from animatic.errors import UsageError, nearest
from animatic.frames import SAMPLE_RATE, round_half_up, samples_from_frames
from animatic.sheets.markdown import escaped
from animatic.sheets.rows import one_line
from animatic.sheets.table import Cell, Head, as_csv, as_json, as_markdown
from animatic.timeline.linefiles import line_file
from animatic.timeline.model import Panel, Timeline
from animatic.words import counted

__all__ = ["HEADS", "as_comma", "as_list", "as_page", "facts", "guide", "rows"]

HEADS = (
    Head("number", "No", right=True),
    Head("who", "Speaker"),
    Head("line", "Line"),
    Head("note", "Note"),
    Head("seconds", "Seconds", right=True),
    Head("room", "Room"),
    Head("at", "At"),
    Head("shot", "Shot"),
    Head("file", "File"),
    Head("recorded", "Recorded"),
)
Row = dict[str, Cell]
AT_MOST, AS_RECORDED, WAITS = "at most", "as recorded", "picture waits"
_ROOMS = {
    AT_MOST: "the line must fit into that time",
    AS_RECORDED: "that is how long the recording is; a new one may take its own time",
    WAITS: "the time is a guess and your own pace is better",
}
"""What the seconds of a line are, and what that means to the actor."""


def rows(board: Board, timeline: Timeline, who: str | None = None) -> list[Row]:
    """Return a row for each line, or for each line of one speaker.

    UsageError where others speak, and nobody of that name.
    """
    speakers = list(dict.fromkeys(line.who for line in timeline.lines))
    if who is not None and speakers and who not in speakers:
        close = nearest(who, speakers)
        hint = f"; did you mean {close}?" if close else ""
        raise UsageError(
            f"nobody called {who} speaks; the speakers are {', '.join(speakers)}{hint}"
        )
    return [row for row in _rows(board, timeline) if who in (None, row["who"])]


def _rows(board: Board, timeline: Timeline) -> Iterator[Row]:
    count = len(timeline.lines)
    for panel in timeline.panels:
        entry = board.content.panels[panel.index]
        is_free = entry.duration is None and any(w.over == "no" for w in entry.dialogue)
        for index, (line, written) in enumerate(zip(panel.lines, entry.dialogue, strict=True)):
            waits = is_free and written.over == "no"
            samples = line.end - line.start
            if not waits:
                samples += _slack(timeline, panel, entry, index)
            yield {
                "number": line.number,
                "who": line.who,
                "line": line.text,
                "note": written.note or "",
                "seconds": _seconds(max(0, samples)),
                "room": _room(waits, written),
                "at": timeline.label(line.first_frame),
                "shot": panel.shot,
                "file": line_file(line, count),
                "recorded": _recorded(written),
            }


def _room(waits: bool, written: LineEntry) -> str:
    if not waits:
        return AT_MOST
    return AS_RECORDED if written.voice else WAITS


def _recorded(written: LineEntry) -> str:
    return written.voice or ""


def _slack(timeline: Timeline, panel: Panel, entry: PanelEntry, index: int) -> int:
    """Return the samples by which a line may be longer (below 0: is too long) as things lie.

    Lines without a time of their own follow the line before them, so that they move too.
    """
    stop = index + 1
    while stop < len(entry.dialogue) and entry.dialogue[stop].at is None:
        stop += 1
    last = panel.lines[stop - 1]
    if stop < len(panel.lines):
        return panel.lines[stop].start - last.end
    if entry.dialogue[-1].over == "no":
        return samples_from_frames(panel.end, timeline.rate) - last.end
    later = (line.start for line in timeline.lines if line.number > last.number)
    return min(timeline.samples, next(later, timeline.samples)) - last.end


def _seconds(samples: int) -> Decimal:
    return Decimal(round_half_up(Fraction(samples * 100, SAMPLE_RATE))).scaleb(-2)


def facts(timeline: Timeline) -> str:
    """Return what stands under the title."""
    return (
        f"{timeline.rate} frames a second · first frame at {timeline.label(0)} ·"
        f" {counted(len(timeline.lines), 'line')} in the film"
    )


def guide(script: Sequence[Row]) -> list[str]:
    """Return the recording guide, a sentence or two a paragraph. Figures: common practice."""
    example = str(script[0]["file"]) if script else "03_pim.wav"
    return [
        "Format: WAV, 48 kHz, 24 bit, mono. No MP3 and no phone message: they cannot be mended.",
        "Level: the loudest word between -12 and -6 dB on the recorder's meter. Nothing may reach"
        " 0 dB. No noise reduction, no compression, no music under it.",
        "Room: a small room with soft things in it. Fridge, fan and phone off. The mouth about"
        " 20 cm from the microphone and a little beside it; the same place for every line.",
        "Room tone: one second of silence in the room before each line and one after it.",
        f"Files: one file for each line, your best take, named as listed, as {example}. The"
        " number is what counts. Send the files as they are; silence is trimmed here.",
        *([f"Seconds: {'; '.join(_seconds_mean(script))}."] if script else []),
    ]


def _seconds_mean(script: Sequence[Row]) -> Iterator[str]:
    """Yield what the seconds mean, of what the script has."""
    for room, meaning in _ROOMS.items():
        if any(row["room"] == room for row in script):
            yield f'where it says "{room}" {meaning}'


def as_comma(script: Sequence[Row]) -> str:
    """Return the script as CSV."""
    return as_csv(HEADS, script)


def as_list(timeline: Timeline, script: Sequence[Row]) -> str:
    """Return the script as JSON: title, rate, the guide and the lines."""
    content = {
        "title": timeline.title,
        "rate": timeline.rate.name,
        "guide": guide(script),
        "lines": script,
    }
    return as_json(content)


def as_page(timeline: Timeline, script: Sequence[Row]) -> str:
    """Return the script as a Markdown page."""
    title = escaped(one_line(timeline.title)).replace("#", r"\#")
    lines = [f"# {title}: lines to record", "", facts(timeline), "", "## How to record", ""]
    lines += [f"- {escaped(words)}" for words in guide(script)]
    return "\n".join([*lines, "", "## Lines", "", as_markdown(HEADS, script), ""])
