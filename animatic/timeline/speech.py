"""How long dialogue takes, and where each line lies."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction

from animatic.board import Board
from animatic.board.keys.schema import LineEntry, PanelEntry
from animatic.frames import (
    Rate,
    frames_from_samples,
    round_half_up,
    samples_from_seconds,
    seconds_from_frames,
)
from animatic.timeline.model import Line

__all__ = [
    "count_words",
    "dialogue_length",
    "estimated_length",
    "line_length",
    "place_lines",
    "spoken_seconds",
]


_UNSPACED = re.compile(
    r"[\u3005\u3007\u3040-\u30ff\u3400-\u9fff\uf900-\ufaff\U00020000-\U0003ffff]"
)
"""Letters of Chinese and Japanese, which stand without spaces between the words."""
_KANA = re.compile(r"[\u3040-\u30ff]")
_PER_WORD = Fraction(255, 158)
_PER_WORD_WITH_KANA = Fraction(357, 193)
"""Letters of a word: letters and words a minute of Chinese and of Japanese read aloud (S.
Trauzettel-Klosinski, K. Dietz, IReST, Invest. Ophthalmol. Vis. Sci. 53:5452, 2012; the figures
are from memory)."""


def count_words(text: str) -> int:
    """Return how many words are spoken: runs between spaces that have a letter or digit.

    Where no spaces stand between words, as in Chinese, so many letters are taken for one.

    >>> count_words("Well — yes, at 7 [sigh]..."), count_words("我带着船去海边。")
    (5, 4)
    """
    per_word = _PER_WORD_WITH_KANA if _KANA.search(text) else _PER_WORD
    rest, letters = _UNSPACED.subn(" ", text)
    spaced = sum(any(c.isalnum() for c in word) for word in rest.split())
    return spaced + round_half_up(letters / per_word)


def line_length(board: Board, entry: LineEntry) -> Fraction:
    """Return a line's length in seconds: its sound's own, or estimated from its words."""
    if (voice := board.voice(entry)) is not None:
        return board.media.sounds[voice].seconds
    return estimated_length(board, entry)


def estimated_length(board: Board, entry: LineEntry) -> Fraction:
    """Return the seconds that a line's words take at its speaker's rate, whatever speaks them."""
    cast = board.content.cast.get(entry.who)
    pace = cast.words_per_minute if cast is not None else None
    pace = pace or board.content.speech.words_per_minute
    return max(1, count_words(entry.line)) * 60 / pace


def _laid(board: Board, entry: PanelEntry, rate: Rate) -> Iterator[tuple[Fraction, Fraction]]:
    """Yield start and end of each line, in seconds from the panel's start."""
    speech = board.content.speech
    at = speech.lead.in_seconds(rate)
    for line in entry.dialogue:
        if line.at is not None:
            at = line.at.in_seconds(rate)
        end = at + line_length(board, line)
        yield at, end
        at = end + speech.gap.in_seconds(rate)


def dialogue_length(board: Board, entry: PanelEntry, rate: Rate) -> Fraction:
    """Return how many seconds a panel needs for its lines with the pauses around them.

    A line that may run over the cut counts only to where it begins.
    """
    last = max(
        begin if line.over == "next" else end
        for line, (begin, end) in zip(entry.dialogue, _laid(board, entry, rate), strict=True)
    )
    if entry.dialogue[-1].over == "next":
        return last
    return last + board.content.speech.tail.in_seconds(rate)


def spoken_seconds(board: Board, entry: PanelEntry, rate: Rate) -> Fraction:
    """Return where the last line that may not run over the cut ends; 0 without one.

    In seconds from the panel's start.
    """
    ends = zip(entry.dialogue, _laid(board, entry, rate), strict=True)
    return max((end for line, (_, end) in ends if line.over == "no"), default=Fraction(0))


def place_lines(
    board: Board, entry: PanelEntry, rate: Rate, start: int, before: int
) -> tuple[Line, ...]:
    """Return a panel's lines; `start` is its first frame, `before` the lines before it."""
    origin = seconds_from_frames(start, rate)
    lines = []
    for number, (line, (first, last)) in enumerate(
        zip(entry.dialogue, _laid(board, entry, rate), strict=True), before + 1
    ):
        begin, end = samples_from_seconds(origin + first), samples_from_seconds(origin + last)
        lines.append(
            Line(
                number=number,
                who=line.who,
                text=line.line,
                start=begin,
                end=end,
                first_frame=frames_from_samples(begin, rate),
                end_frame=frames_from_samples(end, rate),
                voice=(voice := board.voice(line)),
                scratch=voice is not None and line.voice is None,
            )
        )
    return tuple(lines)
