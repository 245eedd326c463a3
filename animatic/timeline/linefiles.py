"""What a recording of a line is called, and which line a file that comes back is of.

A file is of a line by its number (`03_pim.wav`, `Pim 3.wav`), or by a name: that of the line's
present recording, or of a speaker who has one line only. Where a name says two things, or
nothing, the file is left alone and the reason is given: nothing is guessed.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import PurePath

from animatic.timeline.model import Line

__all__ = ["Matches", "line_file", "match_files"]

_COPY = re.compile(r"\(\d+\)\s*$")
"""What browsers and file managers put behind the name of a file that comes a second time."""
_PART = re.compile(r"\d+|[^\W\d_]+")


@dataclass(frozen=True, slots=True)
class Matches:
    """Files by line number, and the reason (in words) for every file that is of no line."""

    lines: dict[int, str]
    left: dict[str, str]


def line_file(line: Line, count: int, suffix: str = ".wav") -> str:
    """Return what the recording of a line is to be called; `count` is the number of lines.

    >>> line_file(Line(3, "Zoë Ålund", "Yes.", 0, 1, 0, 1, None), 20)
    '03_zoe_alund.wav'
    >>> line_file(Line(3, "Жук", "Да.", 0, 1, 0, 1, None), 200)
    '003_жук.wav'
    """
    digits = max(2, len(str(count)))
    return "_".join([f"{line.number:0{digits}}", *_words(line.who)]) + suffix


def match_files(lines: Sequence[Line], names: Iterable[str]) -> Matches:
    """Return which file is of which line; two files for one line are left alone, both.

    >>> pim = Line(3, "Pim", "Then call it.", 0, 1, 0, 1, None)
    >>> match_files([pim], ["Pim 3.wav", "04_pim.wav"])
    Matches(lines={3: 'Pim 3.wav'}, left={'04_pim.wav': 'there is no line 4'})
    """
    found: dict[int, list[str]] = {}
    left: dict[str, str] = {}
    for name in names:
        answer = _line_of(lines, name)
        if isinstance(answer, str):
            left[name] = answer
        else:
            found.setdefault(answer, []).append(name)
    for number, rivals in found.items():
        if len(rivals) > 1:
            for name in rivals:
                others = " and ".join(other for other in rivals if other != name)
                left[name] = f"{others} is for line {number} too; keep one of them"
    return Matches({n: names[0] for n, names in sorted(found.items()) if len(names) == 1}, left)


def _line_of(lines: Sequence[Line], name: str) -> int | str:
    """Return the number of the line that a file is of, or why it is of none."""
    stem = PurePath(name).stem
    by_number = _by_number(lines, stem)
    held = [
        line.number
        for line in lines
        if line.voice and not line.scratch and _same(line.voice.stem, stem)
    ]
    if isinstance(by_number, str) and not held:
        return by_number
    numbers = {*held, *([by_number] if isinstance(by_number, int) else [])}
    if len(numbers) == 1:
        return numbers.pop()
    shown = " and ".join(map(str, sorted(numbers)))
    return f"it could be of line {shown}; begin its name with the number of the line"


def _by_number(lines: Sequence[Line], stem: str) -> int | str:
    parts = _parts(stem)
    speakers = {line.who for line in lines if _run(line.who, parts)}
    # Of "Pim" and "Pim Junior", both of which are named by pim_junior, the longer is meant.
    longest = max((len(_words(who)) for who in speakers), default=0)
    speakers = {who for who in speakers if len(_words(who)) == longest}
    # The number in "Guard 2" is not that of a line.
    taken = set().union(*(_run(who, parts) for who in speakers))
    numbers = [int(p) for at, p in enumerate(parts) if p.isdecimal() and at not in taken]
    if len(numbers) > 1 and _COPY.search(stem):
        numbers.pop()
    if len(numbers) > 1:
        shown = " and ".join(map(str, numbers))
        return f"there are the numbers {shown} in its name; keep that of the line"
    if numbers:
        return _checked(lines, numbers[0], speakers)
    own = [line.number for line in lines if line.who in speakers]
    if len(own) == 1:
        return own[0]
    if own:
        return f"{speakers.pop()} has {len(own)} lines; put the number of the line in its name"
    return (
        "neither the number of a line nor a speaker is in its name; name it as"
        f" {line_file(lines[0], len(lines))} is named for line {lines[0].number}"
    )


def _checked(lines: Sequence[Line], number: int, speakers: set[str]) -> int | str:
    line = next((line for line in lines if line.number == number), None)
    if line is None:
        return f"there is no line {number}"
    if speakers and line.who not in speakers:
        named = " and ".join(sorted(speakers))
        return f"its name says {named}, and line {number} is spoken by {line.who}"
    return number


def _run(who: str, parts: Sequence[str]) -> range:
    """Return where among the parts a speaker's name stands; an empty range where it does not."""
    words = _words(who)
    runs = (range(at, at + len(words)) for at in range(len(parts)))
    return next(
        (run for run in runs if words and list(parts[run.start : run.stop]) == words), range(0)
    )


def _same(one: str, other: str) -> bool:
    return one.casefold() == other.casefold()


def _words(text: str) -> list[str]:
    """Return the words of a name as they stand in a file's name."""
    return _parts(text)


def _parts(text: str) -> list[str]:
    """Return runs of letters and runs of digits, in small letters without accents."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    kept = "".join(c for c in plain if not unicodedata.combining(c))
    return _PART.findall(unicodedata.normalize("NFC", kept))
