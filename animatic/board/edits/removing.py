"""Taking a key out of a board's text, so that adding it and taking it out again is no change."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from animatic.board.edits.extents import (
    BREAK,
    Entry,
    Extent,
    line_end,
    line_start,
    without_comments,
)
from animatic.board.edits.splices import Splice
from animatic.board.text.yamltree import KeyPath

__all__ = ["removal_splices"]

_COMMENT = re.compile(r"[ \t]*(?<=[ \t,])(#.*)")


def removal_splices(
    text: str, mapping: Extent, entry: Entry, found: Mapping[KeyPath, Extent]
) -> Iterator[Splice]:
    """Yield what takes an entry out of its mapping; `found` are all extents of the text.

    A comment behind it stays, on a line of its own; comments within its value go with it.
    """
    number = mapping.entries.index(entry)
    if mapping.style:
        yield from _from_braces(text, mapping, number)
    elif len(mapping.entries) == 1:
        yield Splice(entry.start, _end(entry), "{}")
    elif text[line_start(text, entry.start) : entry.start].strip(" "):
        # It stands behind the dash of a list; the next key takes its place.
        following = mapping.entries[number + 1]
        end = line_end(text, _end(entry))
        found_break = BREAK.match(text, end)
        comment = _comment(text, _end(entry), end)
        if comment:
            end -= len(comment)
        elif found_break and not text[found_break.end() : following.start].strip(" "):
            end = following.start
        yield Splice(entry.start, end, "")
    else:
        yield from _line(text, entry, found)


def _end(entry: Entry) -> int:
    value = entry.value
    return value.content_end if value.is_block_scalar else value.end


def _line(text: str, entry: Entry, found: Mapping[KeyPath, Extent]) -> Iterator[Splice]:
    """Yield the splices that take out the lines of an entry."""
    start, end = line_start(text, entry.start), line_end(text, _end(entry))
    above = next((e for e in found.values() if e.is_block_scalar and e.stop == start), None)
    after = BREAK.match(text, end)
    if comment := "" if entry.value.is_block_scalar else _comment(text, _end(entry), end):
        yield Splice(entry.start, end, comment)
    elif after is not None:
        yield Splice(start, after.end(), "")
        if above is not None:
            yield from _kept_apart(text, after.end(), above, entry.start - start)
    elif above is not None and above.keeps_its_end:
        yield Splice(start, end, "")
    else:
        # The file ends without a line break, and goes on doing so.
        yield Splice(_before_break(text, start), end, "")


def _comment(text: str, start: int, end: int) -> str:
    """Return the comment between a value and the end of its line; empty without one."""
    match = _COMMENT.match(text, start, end)
    return match[1] if match else ""


def _kept_apart(text: str, at: int, above: Extent, column: int) -> Iterator[Splice]:
    """Yield what keeps the lines at `at` out of a block scalar that ends right above them.

    A line of comment loses the spaces that would make it a line of the text; empty lines that
    the text would take as its own go.
    """
    while at < len(text):
        end = line_end(text, at)
        words = text[at:end].lstrip(" ")
        spaces = end - at - len(words)
        after = BREAK.match(text, end)
        following = after.end() if after else len(text)
        if words.strip("\t "):
            if words.startswith("#") and spaces >= max(above.indent, column + 1):
                yield Splice(at, at + spaces - column, "")
            return
        if above.keeps_blanks or end > at:
            yield Splice(at, following, "")
        at = following


def _before_break(text: str, at: int) -> int:
    """Return where the line break before a line's start begins."""
    return at - (2 if text[at - 2 : at] == "\r\n" else min(at, 1))


def _from_braces(text: str, mapping: Extent, number: int) -> Iterator[Splice]:
    entry, entries = mapping.entries[number], mapping.entries
    end = entry.value.end
    before = entries[number - 1].value.end if number else mapping.start + 1
    is_last = number == len(entries) - 1
    after = _comma(text, end, mapping.end - 1 if is_last else entries[number + 1].start)
    if number:
        comma = _comma(text, before, entry.start)
        assert comma is not None
        if text[line_start(text, entry.start) : entry.start].strip(" \t"):
            yield Splice(comma, end, "")
            return
        # It begins a line: what stands at the end of the line before stays as it is.
        if after is None:
            yield Splice(comma, comma + 1, "")
        yield _alone(text, entry.start, end if after is None else after + 1)
    elif is_last:
        yield Splice(entry.start, end if after is None else after + 1, "")
    else:
        assert after is not None
        between = text[after + 1 : entries[1].start]
        if without_comments(between) == between:
            yield Splice(entry.start, entries[1].start, "")
        else:
            yield _alone(text, entry.start, after + 1)


def _alone(text: str, start: int, end: int) -> Splice:
    """Return the splice that takes out [start, end), with its line where it is all there is."""
    first, last = line_start(text, start), line_end(text, end)
    found = BREAK.match(text, last)
    if text[first:start].strip(" \t"):
        return Splice(start, end, "")
    if comment := _comment(text, end, last):
        return Splice(start, last, comment)
    if found and not text[end:last].strip(" \t"):
        return Splice(first, found.end(), "")
    return Splice(start, end, "")


def _comma(text: str, start: int, end: int) -> int | None:
    """Return where the comma in [start, end) stands, outside comments; None without one."""
    at = start
    while at < end:
        if text[at] == ",":
            return at
        at = line_end(text, at) if text[at] == "#" else at + 1
    return None
