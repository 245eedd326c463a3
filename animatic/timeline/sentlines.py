"""Where the lines of scripts that were sent are now.

A line is known again by its speaker and its words, whatever its number has become. Where they are
said more than once, the shot tells, or else the order. A line whose words have changed is not the
one that was sent: a recording of it goes nowhere unasked.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from animatic.board import Board
from animatic.board.sent import Said, Script
from animatic.timeline.model import Line, Timeline
from animatic.words import counted, quoted

__all__ = [
    "Meant",
    "Sent",
    "letters",
    "moved_lines",
    "plain",
    "said_lines",
    "sent_lines",
    "sent_numbers",
]

Key = tuple[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Meant:
    """A line of a script that was sent, by which a file is named."""

    said: Said
    script: Script

    @property
    def count(self) -> int:
        """The lines of its script: names of files have room for the numbers of all."""
        return max(line.number for line in self.script.lines)

    @property
    def key(self) -> Key:
        """What it is known again by."""
        return _key(self.said)


@dataclass(frozen=True, slots=True)
class Sent:
    """What was sent, and what tells where it is now."""

    scripts: Sequence[Script] = ()
    """Newest first."""
    shots: Mapping[int, str] = field(default_factory=dict)
    """The shot of each line, by its number now."""
    parked: Sequence[Said] = ()
    """Lines of parked panels; `shot` is the card, as p1."""
    newest_counts: bool = False
    """Whether the newest script decides where scripts disagree."""

    def line_now(self, meant: Meant, lines: Sequence[Line]) -> int | str:
        """Return the number that a line has now, or why nothing can be put in its place."""
        said = meant.said
        same = [line for line in lines if _key(line) == meant.key]
        here = [line for line in same if self.shots.get(line.number) == said.shot]
        equals = [one.number for one in meant.script.lines if _key(one) == meant.key]
        if len(same) == 1 or len(here) == 1:
            return (same if len(same) == 1 else here)[0].number
        if same and len(same) == len(equals):
            return same[equals.index(said.number)].number
        was = f"number {said.number} of {meant.script} is {said.who}: {quoted(said.text)}"
        if same:
            numbers = " and ".join(str(line.number) for line in same)
            return f"{was}, and lines {numbers} say this now; {_BY_HAND}"
        for one in self.parked:
            if _key(one) == meant.key:
                return f"{was}, which is parked (card {one.shot}); bring it back with arrange"
        known = {_key(one) for one in meant.script.lines}
        for line in lines:
            is_new = line.who == said.who and _key(line) not in known
            if is_new and self.shots.get(line.number) == said.shot:
                now = f"line {line.number} there says {quoted(line.text)} now"
                return f"{was}, in shot {said.shot}; {now}: have it recorded anew, or {_BY_HAND}"
        return f"{was}, and no line of {said.who} has these words now; {_BY_HAND}"


_BY_HAND = "write the file as voice into the line that it is for"


def sent_lines(
    board: Board, timeline: Timeline, scripts: Sequence[Script], *, newest_counts: bool = False
) -> Sent:
    """Return what is known of the scripts of a board."""
    parked = [
        Said(0, line.who, line.line, f"p{number}")
        for number, panel in enumerate(board.content.parked, 1)
        for line in panel.dialogue
    ]
    return Sent(scripts, _shots(timeline), parked, newest_counts)


def said_lines(timeline: Timeline) -> list[Said]:
    """Return all lines of a film as they stand in a script."""
    return [
        Said(line.number, line.who, line.text, panel.shot)
        for panel in timeline.panels
        for line in panel.lines
    ]


def moved_lines(script: Script, timeline: Timeline) -> str:
    """Return in words how many lines of a script have another number now; empty if none has.

    A line that is not in the film any more counts too.
    """
    lines, sent = timeline.lines, Sent(shots=_shots(timeline))
    moved = gone = 0
    for said in script.lines:
        now = sent.line_now(Meant(said, script), lines)
        moved += isinstance(now, int) and now != said.number
        gone += isinstance(now, str)
    told = []
    if moved:
        told.append(f"{counted(moved, 'line')} {'have' if moved > 1 else 'has'} another number")
    if gone:
        told.append(f"{counted(gone, 'line')} {'are' if gone > 1 else 'is'} not in the film")
    return " and ".join(told)


def sent_numbers(script: Script, timeline: Timeline) -> dict[int, int]:
    """Return the number in a script of each line that is in it, by its number now."""
    lines, sent = timeline.lines, Sent(shots=_shots(timeline))
    found = ((sent.line_now(Meant(said, script), lines), said.number) for said in script.lines)
    return {now: number for now, number in found if isinstance(now, int)}


def _shots(timeline: Timeline) -> dict[int, str]:
    return {line.number: line.shot for line in said_lines(timeline)}


def letters(text: str) -> list[str]:
    """Return the words of a line as a file's name may have them: no digits and no signs.

    >>> letters("Zoë, it's 3 o'clock!")
    ['zoe', 'it', 's', 'o', 'clock']
    """
    return _LETTERS.findall(plain(text))


_FIRST_CYRILLIC = "\u0400"
_POINTS = range(10, 37)
"""Canonical combining classes of Unicode (UAX 44, 5.7.4)."""
_LETTERS = re.compile(r"[^\W\d_]+")
_WORDS = re.compile(r"\w+")


def _key(line: Line | Said) -> Key:
    """Return speaker and words; signs and capitals are another way to write the same words."""
    words = _WORDS.findall(plain(line.text))
    return line.who, tuple(words or line.text.split())


def plain(text: str) -> str:
    """Return a text in small letters, Latin and Greek ones without accents.

    >>> plain("Zoë Ålund"), plain("ピム"), plain("Андрей")
    ('zoe alund', 'ピム', 'андрей')
    """
    base, kept = "", ""
    for c in unicodedata.normalize("NFKD", text.casefold()):
        base = base if unicodedata.combining(c) else c
        # Elsewhere such a mark makes another letter; points of Hebrew and Arabic may be left out.
        if c is base or not (base < _FIRST_CYRILLIC or unicodedata.combining(c) in _POINTS):
            kept += c
    return unicodedata.normalize("NFC", kept)
