"""Writing a film or a folder of images whole or not at all: beside its target, then renamed."""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
from collections.abc import Iterator
from pathlib import Path

from animatic.errors import MachineError, UsageError
from animatic.files import not_written

try:
    import fcntl
except ImportError:  # Windows, where an open file cannot be removed anyway.
    fcntl = None  # type: ignore[assignment]

__all__ = ["CouldNotWrite", "beside"]


class CouldNotWrite(OSError):
    """Raised within `beside` where the temporary file cannot be written."""


@contextlib.contextmanager
def beside(target: Path, *, folder: bool = False) -> Iterator[Path]:
    """Give a temporary path beside `target`; on a clean end it takes the target's place.

    It is an empty file, or with `folder` an empty folder, named
    `.<target's name>.<process>.part`. On any exception it is removed and the target is as it
    was; those that a killed run left behind are removed first. The folder around it is made
    where it is missing; a link goes on pointing to the file that it named, and a file that is
    replaced keeps its mode. A folder takes the place of nothing but an empty folder.

    MachineError says what the machine refused, UsageError that something stands in the way.
    """
    target = Path(os.path.realpath(target))
    temporary = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        _look_in_the_way(target, folder)
        _remove_left_behind(target)
        if folder:
            temporary.mkdir()
        else:
            temporary.touch()
    except OSError as error:
        raise _unchanged(error, target) from error
    try:
        with _marked(temporary):
            yield temporary
            _settle(temporary, target)
    except CouldNotWrite as error:
        raise _unchanged(error, target) from error
    finally:
        # Gone already after a clean end.
        _remove(temporary)


def _look_in_the_way(target: Path, folder: bool) -> None:
    if not folder and target.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
    if folder and target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise UsageError(f"{target}: is not empty; name a new folder, or empty this one")


def _settle(temporary: Path, target: Path) -> None:
    try:
        if temporary.is_file():
            with temporary.open("rb+") as written:
                os.fsync(written.fileno())
            if target.exists():
                shutil.copymode(target, temporary)
        elif target.exists():
            target.rmdir()  # Windows renames over no folder, not even an empty one.
        os.replace(temporary, target)
    except OSError as error:
        raise CouldNotWrite(*error.args) from error


@contextlib.contextmanager
def _marked(temporary: Path) -> Iterator[bool]:
    """Mark a temporary file or folder as in use; False where another process has done so."""
    if fcntl is None:
        yield True
        return
    handle = os.open(temporary, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        is_ours = True
    except OSError:
        is_ours = False
    try:
        yield is_ours
    finally:
        os.close(handle)


def _remove_left_behind(target: Path) -> None:
    """Remove what runs that were killed left beside `target`."""
    for left in target.parent.iterdir():
        middle = left.name.removeprefix(f".{target.name}.").removesuffix(".part")
        if left.name != f".{target.name}.{middle}.part" or not middle.isdecimal():
            continue
        with contextlib.suppress(OSError), _marked(left) as is_left:
            if is_left:
                _remove(left)


def _remove(temporary: Path) -> None:
    if temporary.is_dir():
        shutil.rmtree(temporary, ignore_errors=True)
    with contextlib.suppress(OSError):
        temporary.unlink()


def _unchanged(error: OSError, target: Path) -> MachineError:
    return MachineError(f"{not_written(target, error)}; what stood there before is unchanged")
