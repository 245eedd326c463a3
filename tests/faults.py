"""A broken board, and all that is said about it; the words that many faults share.

In a text the sign § is taken out before the board is written: it marks where each message has
to point, in the order of the messages. What a message says is given whole; ⋯ stands for words
of a library's.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from animatic.board.keys.schema import BoardContent
from tests.boards import HEAD, BoardFolder

LENGTHS = "2.5s, 60f, 2s12f, 1m4s, 3+08 (35 mm feet+frames) or 00:00:02:12"
PHOTOS = "JPEG, PNG, TIFF, WebP, or HEIC with the extra heic"
SOUNDS = "wav, aiff, flac, mp3, m4a, ogg or opus"
SIZES = "EWS, WS, LS, MLS, MS, MCU, CU, ECU, INSERT, OTS, POV, 2S, or two of them as MS OTS"
# The keys grow with what the board can say; docs/board.md is tested to list them.
TOP = ", ".join(field.alias or name for name, field in BoardContent.model_fields.items())
AGAIN = "copy it again from the card"
EXPORT = "export it again"
UNSEEN = "delete it and type the text around it anew"
OUTSIDE = "copy it in, or write outside: allow at the top of the board"


@dataclass(frozen=True)
class Fault:
    """A board that is broken, and all that is said about it."""

    name: str
    text: str
    says: str | tuple[str, ...]
    make: Callable[[BoardFolder], object] = lambda board: None
    encoding: str = "utf-8"
    newline: str = "\n"

    @property
    def written(self) -> bytes:
        """The board's file."""
        text = self.text.replace("§", "").replace("\n", self.newline)
        return text.encode(self.encoding, "surrogatepass")

    def messages(self, file: str = "board.yaml") -> list[str]:
        """Each message in full, with the place that its § marks."""
        before = self.text.split("§")[:-1]
        said = (self.says,) if isinstance(self.says, str) else self.says
        found = []
        for number, words in enumerate(said):
            text = "".join(before[: number + 1])
            line, column = text.count("\n") + 1, len(text) - text.rfind("\n")
            found.append(f"{file}:{line}:{column}: {words}")
        assert len(before) == len(said), "every message needs its own §"
        return found


def top(line: str) -> str:
    """A sound board with one more line at its top level."""
    return f"{HEAD}{line}\npanels:\n  - {{shot: 10, photo: a.jpg, duration: 48f}}\n"


def one(rest: str) -> str:
    """A board of one panel with these keys more."""
    return f"{HEAD}panels:\n  - {{shot: 10, photo: a.jpg, {rest}}}\n"


def two(first: str, second: str, before: str = "") -> str:
    """A board of two panels of 48 frames with these keys more."""
    return (
        f"{HEAD}{before}panels:\n"
        f"  - {{shot: 10, photo: a.jpg, duration: 48f{first}}}\n"
        f"  - {{photo: a.jpg, duration: 48f{second}}}\n"
    )


def photo(name: str) -> str:
    return f"{HEAD}panels:\n  - {{shot: 10, photo: §{name}}}\n"


def sound(name: str) -> str:
    return one(f"sounds: [{{file: §{name}}}]")


def spelled(messages: list[str]) -> re.Pattern[str]:
    """Return the pattern of these lines and no others; ⋯ is anything on a line."""
    escaped = (".+".join(map(re.escape, message.split("⋯"))) for message in messages)
    return re.compile("".join(f"{line}\n" for line in escaped))
