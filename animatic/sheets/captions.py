"""The dialogue as captions: WebVTT (W3C), one cue a line, numbered as the lines are.

Times count from the film's first frame, at the frames where the lines begin and end.
"""

from __future__ import annotations

from animatic.frames import milliseconds_from_frames
from animatic.sheets.rows import one_line
from animatic.timeline.model import Line, Timeline

__all__ = ["stamp", "write"]


def write(timeline: Timeline) -> str:
    """Return the WebVTT text, cues in order of their starts.

    >>> from pathlib import Path
    >>> from animatic.board import read_board
    >>> from animatic.timeline import lay_out
    >>> print("\\n".join(write(lay_out(read_board(Path("demo_board")))).splitlines()[4:7]))
    1
    00:00:06.833 --> 00:00:08.250
    <v Odd>The tide is late.</v>
    """
    blocks = ["WEBVTT"]
    # A note may say anything but the arrow.
    if title := _plain(timeline.title):
        blocks.append(f"NOTE {title}")
    in_order = sorted(timeline.lines, key=lambda line: (line.first_frame, line.number))
    blocks += [_cue(timeline, line) for line in in_order if _payload(line.text)]
    return "\n\n".join(blocks) + "\n"


def _cue(timeline: Timeline, line: Line) -> str:
    start = milliseconds_from_frames(line.first_frame, timeline.rate)
    # A cue of no length is not allowed, and would not be seen.
    end = max(start + 1, milliseconds_from_frames(line.end_frame, timeline.rate))
    words, who = _payload(line.text), _escaped(_plain(line.who))
    if who:
        words = f"<v {who}>{words}</v>"
    return f"{line.number}\n{stamp(start)} --> {stamp(end)}\n{words}"


def stamp(milliseconds: int) -> str:
    """Return a WebVTT timestamp.

    >>> stamp(3_723_004)
    '01:02:03.004'
    """
    seconds, rest = divmod(milliseconds, 1000)
    return f"{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}.{rest:03}"


def _payload(words: str) -> str:
    """Return a cue's words: their own line breaks, but no empty line, which would end the cue."""
    return "\n".join(_escaped(line) for line in map(one_line, words.splitlines()) if line)


def _plain(words: str) -> str:
    return one_line(words).replace("-->", "->")


def _escaped(words: str) -> str:
    return words.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
