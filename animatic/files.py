"""Files written whole: beside the target under a temporary name, then renamed."""

from __future__ import annotations

import errno
import os
import re
import secrets
import shutil
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from animatic.errors import MachineError

__all__ = ["file_word", "not_written", "opened_beside", "write_beside"]

_ADVICE = {
    errno.ENOSPC: "free some space on that disk, or choose another folder",
    errno.EDQUOT: "free some of your share of that disk, or choose another folder",
    errno.EFBIG: "choose a folder on a disk that takes files of this size, or make a smaller one",
    errno.ENOENT: "make the folder first, or choose another one",
    errno.ENOTDIR: "a file stands where a folder is needed: choose another folder",
    errno.EISDIR: "a folder of that name is in the way: move it, or choose another name",
    errno.ENAMETOOLONG: "choose a shorter name",
    errno.EROFS: "that disk can only be read: choose another folder",
    errno.EACCES: "allow writing there, close the file in other programs, or choose another folder",
    errno.EPERM: "allow writing there, close the file in other programs, or choose another folder",
}

_UNFIT = re.compile(r'[/\\:*?"<>|]')
"""What one file system or another has no room for in a name."""

_NEW = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)


def file_word(name: str) -> str:
    """Return a name as a part of a file's name: what not every file system takes becomes _.

    >>> file_word("20/2"), file_word("Ёж")
    ('20_2', 'Ёж')
    """
    return _UNFIT.sub("_", name)


def write_beside(path: Path | str, data: bytes | str) -> None:
    """Write a small file so that at any moment either the old or the new one is there, whole.

    Text is written as UTF-8, its line ends as they are. A file that is replaced keeps its
    mode, a new one gets the usual mode; a link goes on pointing to the file that it named.
    MachineError says what could not be written, where, why and what to do; the old file, if
    there was one, is then as it was.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_beside(Path(folder, "shots.csv"), "shot,frames\\r\\n")
    ...     Path(folder, "shots.csv").read_bytes()
    b'shot,frames\\r\\n'
    """
    content = data.encode("utf-8") if isinstance(data, str) else data
    with opened_beside(path) as file:
        file.write(content)


@contextmanager
def opened_beside(path: Path | str) -> Iterator[BinaryIO]:
    """Give a file to write in pieces; on a clean end it takes the place of `path`.

    What holds for `write_beside` holds for it too. On any exception it is removed; an OSError
    is told as a MachineError.
    """
    target = Path(os.path.realpath(path))
    temporary = target.with_name(f".animatic-{secrets.token_hex(6)}.part")
    try:
        mode = _mode(target)
        # 0o666 is narrowed by the user's umask, as for any new file.
        opened = os.open(temporary, _NEW, 0o666)
        # From here on the temporary file is ours to take away.
        try:
            with open(opened, "wb") as file:
                yield file
                file.flush()
                os.fsync(file.fileno())
            if mode is not None:
                os.chmod(temporary, mode)
            os.replace(temporary, target)
        except BaseException:
            with suppress(OSError):
                temporary.unlink()
            raise
    except MachineError:
        raise
    except OSError as err:
        raise not_written(path, err) from err


def not_written(path: Path | str, fault: OSError) -> MachineError:
    """Return what a write that the machine refused means, and what to do, in words.

    >>> print(not_written("film.mp4", OSError(errno.ENAMETOOLONG, "File name too long")))
    film.mp4: could not be written: File name too long; choose a shorter name
    """
    reason = fault.strerror or str(fault) or type(fault).__name__
    if fault.errno == errno.ENOSPC:
        with suppress(OSError):
            free = shutil.disk_usage(Path(path).parent).free
            reason += f" ({free / 1e6:.0f} MB are free)"
    advice = _ADVICE.get(fault.errno or 0, "mend that, or choose another folder")
    return MachineError(f"{path}: could not be written: {reason}; {advice}")


def _mode(target: Path) -> int | None:
    """Return the mode of the file that will be replaced; None where there is none yet."""
    try:
        found = target.stat()
    except FileNotFoundError:
        return None
    return stat.S_IMODE(found.st_mode)
