"""Writing a film or a folder of images whole or not at all: beside its target, then renamed."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import secrets
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


_TRIES = 100
_LEFT = re.compile(r"[0-9]+(-[0-9a-f]+)?")


class CouldNotWrite(OSError):
    """Raised within `beside` where the temporary file cannot be written."""


@contextlib.contextmanager
def beside(target: Path, *, folder: bool = False) -> Iterator[Path]:
    """Give a temporary path beside `target`; on a clean end it takes the target's place.

    It is an empty file, or with `folder` an empty folder, of a name of its own:
    `.<target's name>.<process>-<hexadecimal digits>.part`. On any exception it is removed and
    the target is as it was; those that a killed run left behind are removed first. The folder
    around it is made where it is missing; a link goes on pointing to the file that it named,
    and a file that is replaced keeps its mode. A folder takes the place of nothing but an empty
    folder.

    MachineError says what the machine refused, UsageError that something stands in the way.
    """
    target = Path(os.path.realpath(target))
    with contextlib.ExitStack() as marked:
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            _look_in_the_way(target, folder)
            _remove_left_behind(target)
            temporary = _made(target, folder, marked)
        except OSError as error:
            raise _unchanged(error, target) from error
        try:
            yield temporary
            _settle(temporary, target)
        except CouldNotWrite as error:
            raise _unchanged(error, target) from error
        finally:
            # Gone already after a clean end.
            _remove(temporary)


def _made(target: Path, folder: bool, marked: contextlib.ExitStack) -> Path:
    """Make a temporary file or folder beside `target`, marked as in use until `marked` ends."""
    for _ in range(_TRIES):
        name = f".{target.name}.{os.getpid()}-{secrets.token_hex(4)}.part"
        temporary = target.with_name(name)
        if folder:
            temporary.mkdir()
        else:
            os.close(os.open(temporary, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666))
        # Until it is marked another run may take it for left behind.
        with contextlib.suppress(FileNotFoundError):
            is_ours = marked.enter_context(_marked(temporary, unlockable=True))
            if is_ours and temporary.exists():
                return temporary
    raise OSError(errno.EBUSY, os.strerror(errno.EBUSY))


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
def _marked(temporary: Path, *, unlockable: bool = False) -> Iterator[bool]:
    """Mark a temporary file or folder as in use; False where another run has done so.

    `unlockable` is the answer where the disk knows no such marks.
    """
    if fcntl is None:
        yield True
        return
    handle = os.open(temporary, os.O_RDONLY)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            is_ours = True
        except BlockingIOError:
            is_ours = False
        except OSError:
            is_ours = unlockable
        yield is_ours
    finally:
        os.close(handle)


def _remove_left_behind(target: Path) -> None:
    """Remove what runs that were killed left beside `target`."""
    for left in target.parent.iterdir():
        middle = left.name.removeprefix(f".{target.name}.").removesuffix(".part")
        if left.name != f".{target.name}.{middle}.part" or not _LEFT.fullmatch(middle):
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
