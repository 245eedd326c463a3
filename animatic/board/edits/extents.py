"""Where each value of a YAML text stands, from which character to which.

The tree of `yamltree` says where a value begins; to change one in place it takes its end as
well, and the ends of everything around it. Positions count characters of the decoded text.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Literal

import yaml

from animatic.board.text.textlines import BREAK, line_end, line_start
from animatic.board.text.yamltree import KeyPath

__all__ = ["BREAK", "Entry", "Extent", "extents", "line_end", "line_start", "without_comments"]

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

_COMMENT = re.compile("#[^\r\n\x85\u2028\u2029]*")
_LAST_BREAK = re.compile("(?:\r\n|[\r\n\x85\u2028\u2029])\\Z")
_BLANK_LINES = re.compile("(?:(?:\r\n|[\r\n\x85\u2028\u2029])[ ]*)+\\Z")
_FIRST_WORDS = re.compile("[^\r\n\x85\u2028\u2029]*(?:[\r\n\x85\u2028\u2029]+( *))+")
_HEADER = re.compile("[|>][-+0-9]*")


@dataclass(slots=True)
class Extent:
    """A value's text, [start, end): a scalar with its quotes, a collection to its last value.

    Comments and empty lines after a block collection lie outside it. A scalar that nothing
    is written for has no length and lies where it could be written.
    """

    kind: Literal["scalar", "mapping", "sequence"]
    start: int
    end: int
    style: str = ""
    """A scalar's quotation mark, or `|` or `>`; a collection's bracket, or `:` for `[a: b]`."""
    flow: bool = False
    """Whether it stands between brackets or braces."""
    column: int = 0
    """Where it begins in its line, from 0."""
    header_end: int = 0
    """Of a block scalar: the end of its indicator, as `|-`."""
    keeps_its_end: bool = False
    """Of a block scalar: whether the line break at its end belongs to it."""
    keeps_blanks: bool = False
    """Of a block scalar: whether the empty lines behind it belong to it."""
    indent: int = 0
    """Of a block scalar: how far in its first line with words stands, 0 where that is open."""
    content_end: int = 0
    """Of a block scalar: the end of its last line with words."""
    stop: int = 0
    """Of a block scalar: where the reader stopped, after the empty lines that follow."""
    is_unended: bool = False
    """Whether a line break after it would change it: a block scalar that ends the file."""
    entries: list[Entry] = field(default_factory=list)
    """Of a mapping: what stands in it, in order."""

    @property
    def is_block_scalar(self) -> bool:
        """Whether it is a literal (`|`) or folded (`>`) text."""
        return self.style in ("|", ">")


@dataclass(slots=True)
class Entry:
    """A key of a mapping and its value."""

    key: str
    start: int
    end: int
    """Where the key ends."""
    value: Extent
    has_colon: bool = True
    is_explicit: bool = False
    """Whether a question mark stands before the key."""


def without_comments(text: str) -> str:
    """Return a stretch between two values without its comments.

    >>> without_comments(" , # why?")
    ' , '
    """
    return _COMMENT.sub("", text)


def extents(text: str) -> dict[KeyPath, Extent]:
    """Return the extent of every value by its key path; YAMLError where it is no YAML.

    >>> {path: (e.start, e.end) for path, e in extents("{a: 60f, b: [c]}").items()}
    {(): (0, 16), ('a',): (4, 7), ('b',): (12, 15), ('b', 0): (13, 14)}
    """
    finder = _Finder(text)
    finder.document()
    return finder.found


class _Finder:
    """Walks the parser's events. What `yamltree` refuses must have been refused before."""

    def __init__(self, text: str) -> None:
        self.text, self.found = text, dict[KeyPath, Extent]()
        self.events: Iterator[Any] = yaml.parse(text, _Loader)

    def document(self) -> None:
        for event in self.events:
            if isinstance(event, yaml.NodeEvent):
                self._node(event, (), False)

    def _node(self, event: Any, path: KeyPath, flow: bool) -> Extent:
        start, end = event.start_mark.index, event.end_mark.index
        extent = Extent("scalar", start, end, flow=flow, column=event.start_mark.column)
        self.found[path] = extent
        if isinstance(event, yaml.ScalarEvent):
            extent.style = event.style or ""
            if extent.is_block_scalar:
                self._measure(extent)
            return extent
        # A single pair in a list, `[a: b]`, has no braces of its own.
        extent.style = (self.text[start:end] or ":") if event.flow_style else ""
        inside = flow or bool(event.flow_style)
        if isinstance(event, yaml.SequenceStartEvent):
            extent.kind = "sequence"
            last = self._sequence(extent, path, inside)
        else:
            extent.kind = "mapping"
            last = self._mapping(extent, path, inside)
        if not extent.style and last is not None:
            extent.end, extent.is_unended = last.end, last.is_unended
        return extent

    def _sequence(self, extent: Extent, path: KeyPath, flow: bool) -> Extent | None:
        number, last = 0, None
        while not isinstance(event := next(self.events), yaml.SequenceEndEvent):
            last = self._node(event, (*path, number), flow)
            number += 1
        extent.end = _index(event.end_mark)
        return last

    def _mapping(self, extent: Extent, path: KeyPath, flow: bool) -> Extent | None:
        last = None
        before = extent.start
        while not isinstance(event := next(self.events), yaml.MappingEndEvent):
            start, end = event.start_mark.index, event.end_mark.index
            is_explicit = "?" in without_comments(self.text[before:start])
            last = self._node(next(self.events), (*path, event.value), flow)
            entry = Entry(event.value, start, end, last, is_explicit=is_explicit)
            if last.start == last.end and last.kind == "scalar":
                self._place_nothing(entry)
            extent.entries.append(entry)
            before = last.end
        extent.end = _index(event.end_mark)
        return last

    def _place_nothing(self, entry: Entry) -> None:
        """Move a value that nothing is written for to right behind its colon.

        The readers differ: in braces one of them puts it at the next comma.
        """
        between = self.text[entry.end : entry.value.start]
        at = without_comments(between).find(":")
        entry.has_colon = at >= 0
        # No comment can stand before the colon of a plain `key:`.
        entry.value.start = entry.value.end = entry.end + at + 1

    def _measure(self, extent: Extent) -> None:
        """Find the ends of a block scalar, which the parser ends after empty lines."""
        text, extent.stop = self.text, extent.end
        header = _HEADER.match(text, extent.start)
        extent.header_end = header.end() if header else extent.start
        body = line_end(text, extent.start)
        blank = _BLANK_LINES.search(text, body, extent.stop)
        extent.content_end = blank.start() if blank else extent.stop
        last = _LAST_BREAK.search(text, body, extent.stop)
        extent.keeps_its_end = "-" not in text[extent.start : extent.header_end]
        extent.is_unended = last is None and extent.keeps_its_end
        # Empty lines belong to the text where it keeps them, and where they hold spaces.
        header_words = text[extent.start : extent.header_end]
        extent.keeps_blanks = "+" in header_words
        first = _FIRST_WORDS.match(text, body, extent.stop)
        extent.indent = len(first[1]) if first and header_words.strip("|>+-") == "" else 0
        is_whole = extent.keeps_blanks or " " in text[extent.content_end : extent.stop]
        extent.end = (last.start() if last else extent.stop) if is_whole else extent.content_end


def _index(mark: Any) -> int:
    """Return a mark's place in the text; every mark of the parser has one."""
    return int(mark.index)
