"""Writing a file whole or not at all: beside its target, then renamed over it."""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from animatic.errors import MachineError

try:
    import fcntl
except ImportError:  # Windows, where an open file cannot be removed anyway.
    fcntl = None  # type: ignore[assignment]

__all__ = ["CouldNotWrite", "beside"]

_NO_ROOM = {errno.ENOSPC, errno.EFBIG, getattr(errno, "EDQUOT", errno.ENOSPC)}
_NO_RIGHT = {errno.EACCES, errno.EPERM, errno.EROFS}


class CouldNotWrite(OSError):
    """Raised within `beside` where the temporary file cannot be written."""


@contextlib.contextmanager
def beside(target: Path) -> Iterator[Path]:
    """Give a temporary path beside `target`; on a clean end it takes the target's place.

    It is named `.<target's name>.<process>.part`. On any exception it is removed and the
    target is as it was; those that a killed run left behind are removed first. The folder is
    made where it is missing; a link goes on pointing to the file that it named, and a file
    that is replaced keeps its mode. MachineError says what the machine refused.
    """
    target = Path(os.path.realpath(target))
    temporary = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        if target.is_dir():
            raise MachineError(f"{target}: is a folder; name a file to write")
        _remove_left_behind(target)
        lock = temporary.open("wb")
    except MachineError:
        raise
    except OSError as error:
        raise _in_words(error, target) from error
    try:
        with lock:
            _lock(lock)
            yield temporary
            _settle(temporary, target)
    except CouldNotWrite as error:
        raise _in_words(error, target) from error
    finally:
        # Gone already after a clean end.
        with contextlib.suppress(OSError):
            temporary.unlink()


def _settle(temporary: Path, target: Path) -> None:
    try:
        with temporary.open("rb+") as written:
            os.fsync(written.fileno())
        if target.exists():
            shutil.copymode(target, temporary)
        os.replace(temporary, target)
    except OSError as error:
        raise CouldNotWrite(*error.args) from error


def _lock(file: IO[bytes]) -> bool:
    """Mark a temporary file as in use; False where another process has done so."""
    if fcntl is None:
        return True
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _remove_left_behind(target: Path) -> None:
    """Remove what runs that were killed left beside `target`."""
    for left in target.parent.iterdir():
        middle = left.name.removeprefix(f".{target.name}.").removesuffix(".part")
        if left.name != f".{target.name}.{middle}.part" or not middle.isdecimal():
            continue
        with contextlib.suppress(OSError), left.open("rb") as file:
            if _lock(file):
                left.unlink()


def _in_words(error: OSError, target: Path) -> MachineError:
    """Return what a failed write means, in words for the film-maker."""
    folder = target.parent
    if error.errno in _NO_ROOM:
        room = ""
        with contextlib.suppress(OSError):
            room = f" ({shutil.disk_usage(folder).free / 1e6:.0f} MB are free)"
        what = f"no room left to write it{room}; make room, or write to another disk"
    elif error.errno in _NO_RIGHT:
        what = f"no right to write in {folder}; choose another folder"
    else:
        what = f"cannot be written: {error.strerror or error}; look after the disk"
    return MachineError(f"{target}: {what}; what stood there before is unchanged")
