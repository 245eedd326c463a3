"""What a finding is, and what a finder looks at."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from animatic.board import Board
from animatic.board.text.yamltree import KeyPath
from animatic.errors import Place
from animatic.timeline.model import Panel, Timeline

__all__ = ["Checked", "Finder", "Finding", "panel_key"]


@dataclass(frozen=True, slots=True)
class Finding:
    """Something worth a look: where, about which shot, in words, and what could be done."""

    place: Place
    kind: str
    shot: str
    words: str
    hint: str = ""

    def as_dict(self) -> dict[str, str | int]:
        """Return the finding for JSON."""
        return {
            "kind": self.kind,
            "shot": self.shot,
            "file": self.place.file,
            "line": self.place.line,
            "column": self.place.column,
            "found": self.words,
            "hint": self.hint,
        }

    def __str__(self) -> str:
        return f"{self.place}: shot {self.shot}: {self.words}{self.hint and '; ' + self.hint}"


@dataclass(frozen=True, slots=True)
class Checked:
    """What a finder looks at."""

    board: Board
    timeline: Timeline
    voiced: Mapping[Path, int] = field(default_factory=dict)
    """Samples at 48 kHz from the first voice in a recording to the last, where measured."""

    def finding(self, kind: str, shot: str, key: KeyPath, words: str, hint: str = "") -> Finding:
        """Return a finding at the place of a key path."""
        return Finding(self.board.place(key), kind, shot, words, hint)


Finder = Callable[[Checked], Iterator[Finding]]


def panel_key(panel: Panel, *more: str | int) -> KeyPath:
    """Return the key path of a panel, or of something in it."""
    return ("panels", panel.index, *more)
