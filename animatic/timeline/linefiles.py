"""What a recording of a line is called, and which line a file that comes back is of.

A file is of a line by its number (`03_pim.wav`, `Pim 3.wav`), or by a name: that of the line's
present recording, or of a speaker who has one line only. A number is that of the script that was
sent (see `sentlines`), and of the board where none was. Where a name says two things, or nothing,
the file is left alone and the reason is given: nothing is guessed. Where scripts were sent a number
is theirs, whatever the present recordings are called.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import PurePath
from typing import TypeVar

from animatic.board.sent import Said
from animatic.timeline.model import Line
from animatic.timeline.sentlines import Meant, Sent, letters, plain
from animatic.words import quoted

__all__ = ["Matches", "line_file", "match_files"]

_COPY = re.compile(r"\(\d+\)\s*$")
"""What browsers and file managers put behind the name of a file that comes a second time."""
_L = TypeVar("_L", Line, Said)
_PART = re.compile(r"\d+|[^\W\d_]+")


@dataclass(frozen=True, slots=True)
class Matches:
    """Files by line number, and the reason (in words) for every file that is of no line."""

    lines: dict[int, str]
    left: dict[str, str]
    meant: dict[int, Meant] = field(default_factory=dict, repr=False)
    """By line number, the line of the script by which a file was found to be of it."""


def line_file(line: Line | Said, count: int, suffix: str = ".wav") -> str:
    """Return what the recording of a line is to be called; `count` is the number of lines.

    >>> line_file(Line(3, "Zoë Ålund", "Yes.", 0, 1, 0, 1, None), 20)
    '03_zoe_alund.wav'
    >>> line_file(Line(3, "Жук", "Да.", 0, 1, 0, 1, None), 200)
    '003_жук.wav'
    """
    digits = max(2, len(str(count)))
    return "_".join([f"{line.number:0{digits}}", *_parts(line.who)]) + suffix


def match_files(lines: Sequence[Line], names: Iterable[str], sent: Sent | None = None) -> Matches:
    """Return which file is of which line; two files for one line are left alone, both.

    >>> pim = Line(3, "Pim", "Then call it.", 0, 1, 0, 1, None)
    >>> match_files([pim], ["Pim 3.wav", "04_pim.wav"])
    Matches(lines={3: 'Pim 3.wav'}, left={'04_pim.wav': 'there is no line 4'})
    """
    found: dict[int, list[str]] = {}
    left: dict[str, str] = {}
    meant: dict[int, Meant] = {}
    reader = _Reader(lines, sent or Sent())
    for name in names:
        answer = reader.line_of(PurePath(name))
        if isinstance(answer, str):
            left[name] = answer
            continue
        number, by = answer
        found.setdefault(number, []).append(name)
        if by is not None:
            meant[number] = by
    for number, rivals in found.items():
        if len(rivals) > 1:
            for name in rivals:
                others = " and ".join(other for other in rivals if other != name)
                left[name] = f"{others} is for line {number} too; keep one of them"
    kept = {n: names[0] for n, names in sorted(found.items()) if len(names) == 1}
    return Matches(kept, left, meant)


@dataclass(frozen=True, slots=True)
class _Name:
    """What a file's name says: the numbers, the speakers, and all other words."""

    suffix: str
    numbers: tuple[int, ...]
    speakers: frozenset[str]
    words: tuple[str, ...]


@dataclass(frozen=True)
class _Reader:
    """Reads names of files by the lines that there are and the scripts that were sent."""

    lines: Sequence[Line]
    sent: Sent

    @cached_property
    def _everybody(self) -> set[str]:
        sent = (said.who for script in self.sent.scripts for said in script.lines)
        return {*(line.who for line in self.lines), *sent}

    def line_of(self, file: PurePath) -> tuple[int, Meant | None] | str:
        """Return the number of the line that a file is of, or why it is of none."""
        name = self._read(file)
        by_name = self._by_name(name)
        held = {
            line.number
            for line in self.lines
            if line.voice and not line.scratch and _same(line.voice.stem, file.stem)
        }
        if not held or (name.numbers and self.sent.scripts):
            return by_name
        if not isinstance(by_name, str):
            held.add(by_name[0])
        if len(held) == 1:
            return held.pop(), None if isinstance(by_name, str) else by_name[1]
        shown = " and ".join(map(str, sorted(held)))
        return f"it could be of line {shown}; begin its name with the number of the line"

    def _by_name(self, name: _Name) -> tuple[int, Meant | None] | str:
        if len(name.numbers) > 1:
            shown = " and ".join(map(str, name.numbers))
            return f"there are the numbers {shown} in its name; keep that of the line"
        if meant := list(self._meant(name)):
            return self._of_script(name, meant)
        if self.sent.scripts and not name.numbers:
            # Files are named by the script, whose numbers may be others than those of the board.
            said = _by_number(self.sent.scripts[0].lines, name, "line {}")
            if isinstance(said, str):
                return said
        found = _by_number(self.lines, name, "line {}")
        return found if isinstance(found, str) else (found.number, None)

    def _read(self, file: PurePath) -> _Name:
        parts = _parts(file.stem)
        speakers = {who for who in self._everybody if _run(who, parts)}
        # Of "Pim" and "Pim Junior", both of which are named by pim_junior, the longer is meant.
        longest = max((len(_parts(who)) for who in speakers), default=0)
        speakers = {who for who in speakers if len(_parts(who)) == longest}
        # The number in "Guard 2" is not that of a line.
        taken = set().union(*(_run(who, parts) for who in speakers))
        rest = [part for at, part in enumerate(parts) if at not in taken]
        numbers = [int(part) for part in rest if part.isdecimal()]
        if len(numbers) > 1 and _COPY.search(file.stem):
            numbers.pop()
        words = (part for part in rest if not part.isdecimal())
        return _Name(file.suffix, tuple(numbers), frozenset(speakers), tuple(words))

    def _meant(self, name: _Name) -> Iterator[Meant | str]:
        """Yield which line each script that was sent means, newest first, or why it means none.

        Nothing of a script in which the number is not, or, without one, the speaker.
        """
        for script in self.sent.scripts:
            has_number = any(said.number in name.numbers for said in script.lines)
            has_speaker = any(said.who in name.speakers for said in script.lines)
            if has_number if name.numbers else has_speaker:
                found = _by_number(script.lines, name, f"number {{}} of {script}")
                yield found if isinstance(found, str) else Meant(found, script)

    def _of_script(self, name: _Name, answers: list[Meant | str]) -> tuple[int, Meant | None] | str:
        found = [one for one in answers if isinstance(one, Meant)]
        if not found:
            return next(one for one in answers if isinstance(one, str))
        apart = list({one.key: one for one in reversed(found)}.values())[::-1]
        if len(apart) > 1 and not self.sent.newest_counts:
            told = _told(name, apart)
            if told is None:
                return self._say_apart(name, apart)
            apart = [told]
        # The newest script that has the line knows best in which shot it is.
        meant = next(one for one in found if one.key == apart[0].key)
        number = self.sent.line_now(meant, self.lines)
        return number if isinstance(number, str) else (number, meant)

    def _say_apart(self, name: _Name, apart: list[Meant]) -> str:
        shown = " or ".join(f"{one.said.who}: {quoted(one.said.text)}" for one in apart)
        which = f"number {apart[0].said.number}" if name.numbers else apart[0].said.who
        files = [_telling_file(one, apart, name.suffix) for one in apart]
        way = "write the right one as voice into its line"
        if all(files):
            way = f"name it {' or '.join(map(str, files))}"
        return (
            f"scripts that were sent disagree about {which}: {shown}; {way}, or say --newest"
            f" if these are recordings of {apart[0].script}"
        )


def _by_number(lines: Sequence[_L], name: _Name, called: str) -> _L | str:
    """Return the line that a name says by its number, or by a speaker who has one line only.

    `called` is what a number of these lines is called, as "line {}".
    """
    if name.numbers:
        return _checked(lines, name.numbers[0], name.speakers, called)
    own = [line for line in lines if line.who in name.speakers]
    if len(own) == 1:
        return own[0]
    if own:
        return f"{own[0].who} has {len(own)} lines; put the number of the line in its name"
    return (
        "neither the number of a line nor a speaker is in its name; name it as"
        f" {line_file(lines[0], len(lines))} is named for line {lines[0].number}"
    )


def _checked(lines: Sequence[_L], number: int, speakers: frozenset[str], called: str) -> _L | str:
    line = next((line for line in lines if line.number == number), None)
    if line is None:
        return f"there is no line {number}"
    if speakers and line.who not in speakers:
        named = " and ".join(sorted(speakers))
        return f"its name says {named}, and {called.format(number)} is spoken by {line.who}"
    return line


def _told(name: _Name, apart: list[Meant]) -> Meant | None:
    """Return which of several lines a file's name means by their words; None if it does not say."""
    told: dict[int, Meant] = {}
    for one in apart:
        words = _telling_words(one, apart)
        if words and _has_run(name.words, words):
            told[len(words)] = one
    return told[max(told)] if told else None


def _telling_file(one: Meant, apart: list[Meant], suffix: str) -> str | None:
    words = _telling_words(one, apart)
    if not words:
        return None
    file = PurePath(line_file(one.said, one.count))
    return "_".join([file.stem, *words]) + suffix


_FEWEST = 2
"""One word alone may stand in a name for something else, as in 03_pim_best.wav."""


def _telling_words(one: Meant, apart: list[Meant]) -> list[str]:
    """Return the first words by which a line is told from the others; none where nothing tells."""
    own = letters(one.said.text)
    others = [letters(other.said.text) for other in apart if other is not one]
    for count in range(min(_FEWEST, len(own)), len(own) + 1):
        if all(other[:count] != own[:count] for other in others):
            return own[:count]
    # It is how the others begin: a name with more words than these means one of them.
    return [] if own in others else own


def _has_run(words: Sequence[str], run: Sequence[str]) -> bool:
    return any(list(words[at : at + len(run)]) == list(run) for at in range(len(words)))


def _run(who: str, parts: Sequence[str]) -> range:
    """Return where among the parts a speaker's name stands; an empty range where it does not."""
    words = _parts(who)
    runs = (range(at, at + len(words)) for at in range(len(parts)))
    return next(
        (run for run in runs if words and list(parts[run.start : run.stop]) == words), range(0)
    )


def _same(one: str, other: str) -> bool:
    return one.casefold() == other.casefold()


def _parts(text: str) -> list[str]:
    """Return the words of a name as they stand in a file's name."""
    return _PART.findall(plain(text))
