"""The voice scripts that were sent out: which number each of them gave to which line.

Recordings come back by the numbers of their script, and the board may have another order by then.
So what a script says of its numbers is kept in `.animatic/NAME/scripts/` beside the board, NAME
being the board's file name: one file for each numbering, which is never written again. A
numbering that is sent a second time is kept once, as the newest. A file that does not hold what
its name says, since it was damaged or changed, counts for nothing, and is named.
"""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from animatic.board.history import FOLDER, STAMP, digest, stamp
from animatic.errors import MachineError
from animatic.files import write_beside

__all__ = ["SCRIPTS", "Said", "Script", "keep_script", "kept_scripts"]

SCRIPTS = "scripts"
"""The folder among the kept copies of a board that holds the numberings."""


@dataclass(frozen=True, slots=True)
class Said:
    """A line as a script has it, or the board: its number, who says what, and in which shot."""

    number: int
    who: str
    text: str
    shot: str


@dataclass(frozen=True, slots=True)
class Script:
    """What was sent: when (UTC) it was last written, and its lines."""

    when: datetime
    lines: tuple[Said, ...]

    def __str__(self) -> str:
        """Return what it is called: its time where one is, to the minute."""
        return f"the script of {self.when.astimezone():%Y-%m-%d %H:%M}"


def keep_script(file: Path, lines: Sequence[Said]) -> None:
    """Keep the numbering of a script that is sent, as the newest of the board in this file.

    MachineError where the machine refuses; what was kept before is then as it was.
    """
    text = json.dumps([asdict(line) for line in lines], ensure_ascii=True) + "\n"
    row = _row(file)
    known = next((path for path in row if _is_of(path, text) and _lines(path)), None)
    if known is not None and known == row[-1]:
        return
    target = _folder(file) / f"{stamp(row)}-{digest(text.encode())}.json"
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        if known is not None:
            os.replace(known, target)
    except OSError as fault:
        reason = fault.strerror or type(fault).__name__
        raise MachineError(f"{target.parent}: it cannot be written ({reason})") from None
    if known is None:
        write_beside(target, text)


def kept_scripts(file: Path) -> tuple[list[Script], list[Path]]:
    """Return the scripts that were sent, newest first, and the files that are damaged."""
    scripts, damaged = [], []
    for path in reversed(_row(file)):
        lines, when = _lines(path), _when(path)
        if lines and when is not None:
            scripts.append(Script(when, lines))
        else:
            damaged.append(path)
    return scripts, damaged


def _folder(file: Path) -> Path:
    return file.parent / FOLDER / file.name / SCRIPTS


def _row(file: Path) -> list[Path]:
    """Return all files with a numbering, oldest first."""
    return sorted(path for path in _folder(file).glob("*Z-*.json") if path.is_file())


def _is_of(path: Path, text: str) -> bool:
    return path.stem.endswith(f"Z-{digest(text.encode())}")


def _lines(path: Path) -> tuple[Said, ...]:
    """Return the lines of a numbering; none where the file is damaged."""
    with suppress(OSError, ValueError, RecursionError, TypeError):
        text = path.read_text(encoding="utf-8")
        if _is_of(path, text):
            return tuple(Said(**line) for line in json.loads(text))
    return ()


def _when(path: Path) -> datetime | None:
    with suppress(ValueError):
        return datetime.strptime(path.name.partition("Z-")[0] + "Z", STAMP).replace(tzinfo=UTC)
    return None
