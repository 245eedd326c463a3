"""What sound and video files have in common: how they are opened, and that they are closed."""

from __future__ import annotations

import os
from abc import ABC, abstractmethod
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import av
from av.container import InputContainer

__all__ = ["Opened", "open_container"]

# From PyAV 19 on tags that are no UTF-8 are read without being asked.
_TOLERANT: dict[str, Any] = (
    {"metadata_errors": "replace"} if int(av.__version__.split(".")[0]) < 19 else {}
)


class Opened(ABC):
    """Something that is open until its `with` block ends.

    >>> class Door(Opened):
    ...     def close(self) -> None:
    ...         print("closed")
    >>> with Door():
    ...     print("open")
    open
    closed
    """

    @abstractmethod
    def close(self) -> None:
        """Close it; closing twice does no harm."""

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


def open_container(path: Path, formats: str) -> InputContainer:
    """Return a file opened by FFmpeg, which may be of the named formats (comma-separated) only.

    OSError and av.error.FFmpegError as they come.
    """
    # An absolute name is never taken for a protocol ("concat:...").
    opened: InputContainer = av.open(
        os.path.abspath(path), options={"format_whitelist": formats}, **_TOLERANT
    )
    return opened
