"""The sheets: every paper made from the timeline. None of them reads the film.

A format is a function from the timeline to the file's content. Its module is imported when it
is used, so that no command waits for a library that it does not need.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module

from animatic.timeline.model import Timeline

__all__ = ["FORMATS", "Writer", "write_captions"]

Writer = Callable[[Timeline], str | bytes]
"""Returns a file's content: text, which is UTF-8 in the file, or bytes."""


def _from(module: str) -> Writer:
    def write(timeline: Timeline) -> str | bytes:
        content: str | bytes = import_module(f"animatic.sheets.{module}").write(timeline)
        return content

    return write


FORMATS: dict[str, Writer] = {
    "table": _from("terminal"),
    "csv": _from("comma"),
    "md": _from("markdown"),
    "json": _from("jsonlist"),
    "edl": _from("edl"),
    "otio": _from("otio"),
}
"""The formats of the shot list by name; but for `table` the name is the file's suffix too."""

write_captions: Writer = _from("captions")
"""Return the dialogue as WebVTT."""
