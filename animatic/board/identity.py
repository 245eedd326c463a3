"""Who a board is: a name that stays the same over its cuts and titles, and is no other board's.

It is made by chance when it is first asked for, and kept with the place of the board in the file
`identity` in `.animatic/NAME/` beside it, NAME being the board's file name. So it goes along when
the folder is moved or renamed. A copied folder has the file too, but the board that it was copied
from still lies in the place that it says: the copy is then a board of its own and gets a new name.
"""

from __future__ import annotations

import hashlib
import json
import secrets
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from animatic.board.history import FOLDER
from animatic.errors import MachineError
from animatic.files import write_beside

__all__ = ["identity"]


@dataclass(frozen=True, slots=True)
class _Kept:
    """A name, and the absolute path of the board file when it was written down."""

    name: str
    place: str


def identity(file: Path) -> str:
    """Return the name of the board in this file: hexadecimal digits, made now if it has none.

    Where the folder cannot be written, the name follows from the board's place: it is then the
    same over new cuts as well, but not when the folder is moved.
    """
    place = str(file.parent.resolve() / file.name)
    kept = _kept(file)
    if kept is not None and kept.place == place:
        return kept.name
    is_copy = kept is not None and _is_other(kept, file)
    name = kept.name if kept is not None and not is_copy else secrets.token_hex(8)
    if _is_written(file, _Kept(name, place)) or (kept is not None and not is_copy):
        return name
    return hashlib.sha256(place.encode("utf-8", "surrogateescape")).hexdigest()[:16]


def _path(file: Path) -> Path:
    return file.parent / FOLDER / file.name / "identity"


def _kept(file: Path) -> _Kept | None:
    """Return what is kept beside a board; None where nothing is, or it is damaged."""
    try:
        read = json.loads(_path(file).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return None
    match read:
        case {"name": str(name), "place": str(place)} if name.isalnum():
            return _Kept(name, place)
    return None


def _is_other(kept: _Kept, file: Path) -> bool:
    """Whether another file lies where the board lay, and goes by its name."""
    there = Path(kept.place)
    with suppress(OSError, ValueError):
        # One folder may be reached by two paths; OSError says that nothing lies there.
        if there.samefile(file):
            return False
        found = _kept(there)
        return found is not None and found.name == kept.name
    return False


def _is_written(file: Path, kept: _Kept) -> bool:
    text = json.dumps({"name": kept.name, "place": kept.place})
    try:
        _path(file).parent.mkdir(parents=True, exist_ok=True)
        write_beside(_path(file), text + "\n")
    except (OSError, MachineError):
        return False
    return True
