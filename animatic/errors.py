"""The error tree: every error says where, what was found, what is allowed and what to do.

Exit codes belong to the errors, so that every command answers alike: 1 the board is at fault,
or a file that it or the command names; 2 the command was called wrongly, or asks for what is not
there, as a shot of another name or a copy that was never kept; 3 the machine is at fault.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

__all__ = [
    "AnimaticError",
    "BoardError",
    "InternalError",
    "MachineError",
    "MediaError",
    "Place",
    "Problem",
    "UsageError",
    "listed",
    "nearest",
]


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A place in a file: 1-based line and column, as editors count them.

    >>> str(Place("board.yaml", 12, 5))
    'board.yaml:12:5'
    """

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True)
class Problem:
    """One fault: where it stands, what was found, what is allowed and a hint.

    `shot` is the shot that the key path lies in, where one is known.

    >>> print(Problem(Place("b.yaml", 3, 9), "rate", "23", "12, 24 or 25", "try 24"))
    b.yaml:3:9: rate: found 23; allowed: 12, 24 or 25; try 24
    >>> print(Problem(Place("b.yaml", 9, 5), "panels[2].fit", "fill", "cover", shot="40"))
    b.yaml:9:5: panels[2].fit (shot 40): found fill; allowed: cover
    """

    place: Place
    key: str
    found: str
    allowed: str = ""
    hint: str = ""
    shot: str = ""

    def as_dict(self) -> dict[str, str | int]:
        """Return the fault for JSON."""
        return {
            "file": self.place.file,
            "line": self.place.line,
            "column": self.place.column,
            "path": self.key,
            "shot": self.shot,
            "found": self.found,
            "allowed": self.allowed,
            "hint": self.hint,
        }

    def __str__(self) -> str:
        found = self.found if " " in self.found else f"found {self.found}"
        parts = [found]
        if self.allowed:
            parts.append(f"allowed: {self.allowed}")
        if self.hint:
            parts.append(self.hint)
        shot = f" (shot {self.shot})" if self.shot else ""
        key = f"{self.key}{shot}: " if self.key else ""
        return f"{self.place}: {key}{'; '.join(parts)}"


class AnimaticError(Exception):
    """The root: anything that ends a command with words rather than a traceback."""

    exit_code = 1


class BoardError(AnimaticError, ValueError):
    """The board, or a file that it names, is at fault. Carries every problem at once."""

    exit_code = 1

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(problems, key=lambda problem: problem.place))
        super().__init__("\n".join(str(problem) for problem in self.problems))

    def __reduce__(self) -> tuple[type[BoardError], tuple[tuple[Problem, ...]]]:
        """Let the error be copied, and sent between processes, with its problems."""
        return type(self), (self.problems,)


class MediaError(AnimaticError, ValueError):
    """A photo, sound or font cannot be used: missing, damaged, or not of a kind that is read."""

    exit_code = 1


class UsageError(AnimaticError, ValueError):
    """The command was called in a way that cannot be carried out."""

    exit_code = 2


class MachineError(AnimaticError, OSError):
    """The machine is at fault: no space, no memory, no right to write, a missing part."""

    exit_code = 3


class InternalError(AnimaticError, AssertionError):
    """Something that must hold does not: a fault of ours, worth a report."""

    exit_code = 3


def listed(names: Sequence[str], most: int = 12) -> str:
    """Return names as a message lists them: the first ones, and how many more there are.

    >>> listed(["10", "20"]), listed(["10", "20", "30", "40"], 2)
    ('10, 20', '10, 20 and 2 more')
    """
    more = len(names) - most
    return ", ".join(names[:most]) + (f" and {more} more" if more > 0 else "")


def nearest(word: str, known: Iterable[str], least: float = 0.6) -> str:
    """Return the known word that `word` most likely meant, or an empty string.

    `least` is how alike they must be, from 0 to 1; capitals and small letters count alike.

    >>> nearest("dialoge", ["dialogue", "duration"])
    'dialogue'
    >>> nearest("zzz", ["dialogue"])
    ''
    """
    spelt = list(known)
    found = get_close_matches(word, spelt, n=1, cutoff=least)
    if not found or found[0] != word:
        folded = {one.casefold(): one for one in reversed(spelt)}
        same = get_close_matches(word.casefold(), list(folded), n=1, cutoff=least)
        found = [folded[same[0]]] if same else found
    return found[0] if found else ""
