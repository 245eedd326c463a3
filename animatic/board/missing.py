"""What is said of a file that a board names and that is not there: where it may be instead."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from pathlib import Path

from animatic.board.keys.rule import shortened
from animatic.errors import nearest

__all__ = ["not_there"]

_QUOTES = "\u201c\u201d\u201e\u201f\u2018\u2019\u201a\u00ab\u00bb`\"'"
_MOST_LOOKED_AT = 20_000


def not_there(named: str, path: Path, kind: str, folder: Path) -> tuple[str, str, str]:
    """Return what was found, what is allowed and a hint for a file that is no file.

    `named` is how the board names it, `path` where that leads, `folder` the board's folder.
    """
    words = shortened(named)
    if os.path.islink(path) and not os.path.exists(path):
        return f"{words} is a link to {os.readlink(path)}, which is not there", "", ""
    if os.path.isdir(path):
        return f"{words} is a folder", f"a {kind} file", _within(named, path)
    if os.path.exists(path):
        return f"{words} is no regular file", f"a {kind} file", ""
    if named[0] in _QUOTES or named[-1] in _QUOTES:
        hint = f"leave these quotes out: {shortened(named.strip(_QUOTES))}"
        return f"{words} is not there", "", hint
    if named.startswith("~") or re.match(r"\w+:/", named):
        name = re.split(r"[/\\]", named)[-1]
        hint = f"paths start from the board's folder: copy it in, and write {shortened(name)}"
        return f"{words} is not there", "", hint
    try:
        others = os.listdir(path.parent)
    except PermissionError:
        return f"{words} cannot be looked for", "", "its folder may not be opened"
    except OSError:
        others = None
    if close := _closest(path.name, others or []):
        return f"{words} is not there", "", f"there is {Path(named).with_name(close).as_posix()}"
    if elsewhere := _elsewhere(path.name, folder):
        return f"{words} is not there", "", f"there is {elsewhere}"
    hint = "its folder is not there either" if others is None else ""
    return f"{words} is not there", "", hint


def _within(named: str, path: Path) -> str:
    """Return a hint with a file of a folder, in the place of the folder itself."""
    names = sorted(name for name in os.listdir(path) if not name.startswith("."))
    files = [name for name in names if os.path.isfile(path / name)]
    return f"name a file in it, as {Path(named, files[0]).as_posix()}" if files else ""


def _closest(name: str, others: list[str]) -> str:
    """Return the file most likely meant: in other capitals, of another ending, or a near name.

    Another number is another photo or line, however near its name is.
    """
    same = (other for other in others if other.casefold() == name.casefold())
    stem = (other for other in sorted(others) if _stem(other) == _stem(name))
    alike = [other for other in others if _numbers(other) == _numbers(name)]
    return next(same, "") or next(stem, "") or nearest(name, alike, least=0.85)


def _numbers(name: str) -> list[str]:
    return [number.lstrip("0") for number in re.findall(r"\d+", Path(name).stem)]


def _stem(name: str) -> str:
    return Path(name).stem.casefold()


def _elsewhere(name: str, folder: Path) -> str:
    """Return where in the board's folder a file of that name lies, from the folder."""
    for path in _files(folder):
        if path.name.casefold() == name.casefold():
            return path.relative_to(folder).as_posix()
    return ""


def _files(folder: Path) -> Iterator[Path]:
    left = _MOST_LOOKED_AT
    for inner, folders, names in os.walk(folder):
        folders[:] = sorted(one for one in folders if not one.startswith("."))
        for name in sorted(names)[:left]:
            yield Path(inner, name)
        left -= len(names)
        if left <= 0:
            return
