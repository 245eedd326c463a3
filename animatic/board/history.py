"""Replacing a board file so that every state it was in can be brought back.

Before a command changes a board, the old file is kept as a dated copy in the folder
`.animatic/NAME/` beside it, NAME being the board's file name; so is what the command wrote.
A state that comes back is not kept twice: its copy moves to the end of the row. Copies are
never deleted.

`undo` walks back along the row and `redo` forward; neither changes its order. A copy that does
not hold what its name says, since it was damaged or changed, is passed over. What was edited
by hand since the last command is itself a state: it is kept at the end of the row before
`undo` takes the board back to what that command left. Where the board is in the row is seen
from its content; the file `now` only says where it was before an edit by hand.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from animatic.board.read import Board, board_from_bytes
from animatic.errors import MachineError, UsageError
from animatic.files import write_beside

__all__ = [
    "FOLDER",
    "STAMP",
    "Restored",
    "copies",
    "digest",
    "redo",
    "replace_board",
    "stamp",
    "undo",
]

FOLDER = ".animatic"
"""The folder beside a board that holds the kept copies."""
_NOW = "now"
STAMP = "%Y-%m-%dT%H-%M-%S-%fZ"
"""How the name of what is kept begins: with the time (UTC) at which it was kept."""


@dataclass(frozen=True, slots=True)
class Restored:
    """What `undo` or `redo` did: `copy` was brought back, and `kept` has what was there."""

    copy: Path
    kept: Path
    passed: tuple[Path, ...] = ()
    """Copies on the way that do not hold any more what was kept in them."""


def copies(file: Path) -> list[Path]:
    """Return the kept copies of a board that differ from what it is now, newest last.

    Their names begin with the time (UTC) at which each was kept, so that they sort.
    """
    present = _content(file) if file.exists() else None
    return [copy for copy in _whole(file) if present is None or not _holds(copy, present)]


def replace_board(
    file: Path,
    data: bytes,
    *,
    was: bytes | None = None,
    check: Callable[[Board], object] | None = None,
) -> Path:
    """Make `data` the content of a board file and return the copy of what it was.

    `data` is read as a board first, with the files that it names, and given to `check`:
    BoardError for what is wrong with it. With `was`, the content that `data` was made from,
    UsageError where the file holds something else by now. In all these cases, and where
    MachineError says that the machine refused, the board file is as it was.
    """
    board = board_from_bytes(data, file)
    if check is not None:
        check(board)
    old = _content(file) if was is None else was
    _refuse_other(file, old)
    kept = _keep(file, old, anew=True)
    _put(file, data, old)
    # The board is replaced and its old state kept: no reason left to fail.
    with suppress(MachineError):
        _note(file, _keep(file, data, anew=True))
    return kept


def undo(file: Path) -> Restored:
    """Bring back the state of a board before the one it is in, and keep the present one.

    UsageError where no state before it is kept, or the file is saved by another program meanwhile.
    """
    present = _content(file)
    row, at, is_kept = _position(file, present)
    if at == 0:
        raise _no_way_back(file, row)
    kept = row[at] if is_kept else _keep(file, present)
    return _restored(file, row[at - 1], kept, present)


def redo(file: Path) -> Restored:
    """Bring back the state that the last `undo` replaced.

    UsageError where there is none: nothing was undone, or the board was changed since.
    """
    present = _content(file)
    row, at, is_kept = _position(file, present)
    if not is_kept or at == len(row) - 1:
        raise UsageError(f"{file}: nothing was undone just now, so nothing can be brought back")
    return _restored(file, row[at + 1], row[at], present)


def _no_way_back(file: Path, row: list[Path]) -> UsageError:
    broken = [copy for copy in _row(file) if not row or copy < row[0]]
    if broken:
        words = f"{broken[-1]} does not hold any more what was kept in it, and no older copy does"
        return UsageError(f"{file}: {words}, so nothing is undone")
    found = "further back is kept" if row else "is kept"
    return UsageError(f"{file}: no older copy {found}, so there is nothing to undo")


def _restored(file: Path, copy: Path, kept: Path, was: bytes) -> Restored:
    _put(file, _content(copy), was)
    with suppress(MachineError):
        _note(file, copy)
    first, last = sorted([copy, kept])
    passed = [one for one in _row(file) if first < one < last and not _is_whole(one)]
    return Restored(copy, kept, tuple(passed))


def _put(file: Path, data: bytes, was: bytes) -> None:
    """Write a board whose present content, as it was read, is kept."""
    _refuse_other(file, was)
    write_beside(file, data)


def _refuse_other(file: Path, was: bytes) -> None:
    """Raise UsageError where a board is not what it was when it was read."""
    if _content(file) != was:
        raise UsageError(f"{file}: another program changed the board just now; try again")


def _note(file: Path, copy: Path) -> None:
    """Note that the board is now what this copy is."""
    write_beside(_folder(file) / _NOW, copy.name)


def _position(file: Path, present: bytes) -> tuple[list[Path], int, bool]:
    """Return all whole copies, the number of the one that the board is, and whether it is one.

    If it is none, the number is that of the copy behind the last one that it was.
    """
    row = _whole(file)
    for number, copy in enumerate(row):
        if _holds(copy, present):
            return row, number, True
    try:
        noted = (_folder(file) / _NOW).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        noted = ""
    # The copy that was noted may be broken by now: the whole ones before it count.
    before = [copy for copy in row if noted and copy.name <= noted]
    return row, len(before) or len(row), False


def _folder(file: Path) -> Path:
    return file.parent / FOLDER / file.name


def _row(file: Path) -> list[Path]:
    """Return all copies, oldest first."""
    return sorted(path for path in _folder(file).glob("*Z-*") if path.is_file())


def _whole(file: Path) -> list[Path]:
    """Return the copies that hold what was kept in them, oldest first."""
    return [copy for copy in _row(file) if _is_whole(copy)]


def _is_whole(copy: Path) -> bool:
    try:
        return _holds(copy, _content(copy))
    except MachineError:
        return False


def _content(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except OSError as fault:
        raise MachineError(f"{file}: it cannot be read ({fault.strerror})") from None


def digest(data: bytes) -> str:
    """Return what stands for a content in the name of what is kept."""
    return hashlib.sha256(data).hexdigest()[:8]


def _holds(copy: Path, data: bytes) -> bool:
    """Whether a copy has this content; the name tells most of the others apart."""
    return f"Z-{digest(data)}" in copy.name and _content(copy) == data


def _keep(file: Path, data: bytes, anew: bool = False) -> Path:
    """Return the copy that has this content, made if there is none.

    With `anew` the copy goes to the end of the row, wherever it was.
    """
    row = _row(file)
    known = next((copy for copy in row if _holds(copy, data)), None)
    if known is not None and (not anew or known == row[-1]):
        return known
    copy = _folder(file) / f"{stamp(row)}-{digest(data)}{file.suffix}"
    try:
        copy.parent.mkdir(parents=True, exist_ok=True)
        if known is not None:
            os.replace(known, copy)
    except OSError as fault:
        reason = fault.strerror or type(fault).__name__
        words = f"{copy.parent}: the old board cannot be kept there ({reason})"
        raise MachineError(f"{words}, so it is not changed") from None
    if known is None:
        write_beside(copy, data)
    return copy


def stamp(row: list[Path]) -> str:
    """Return the time now as a name, later than that of every one there is, oldest first."""
    now = datetime.now(UTC)
    if row:
        last = row[-1].name.partition("Z-")[0] + "Z"
        with suppress(ValueError, OverflowError):
            latest = datetime.strptime(last, STAMP).replace(tzinfo=UTC)
            # A clock may be set back, and two edits may share a microsecond.
            now = max(now, latest + timedelta(microseconds=1))
    return now.strftime(STAMP)
