"""Changing single values of a board's text; everything else stays byte for byte.

A value that is there is replaced where it stands, with the quotation marks it had. A key that
is not there is added in the style of its neighbours, behind the key that the board reference
lists before it. What comes out is parsed again and must differ from the old board in the
changed values alone.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import yaml

from animatic.board.edits.extents import (
    BREAK,
    Extent,
    extents,
    line_end,
    line_start,
)
from animatic.board.edits.removing import removal_splices
from animatic.board.edits.splices import Splice, spliced
from animatic.board.keys.wording import known_keys
from animatic.board.text.scalars import scalar
from animatic.board.text.yamltree import KeyPath, Tree, key_words, parse
from animatic.errors import BoardError, InternalError, Place, Problem, UsageError

__all__ = ["Change", "Removal", "decoded", "edited"]

_COMMENT_LINE = re.compile("( *)#")
_NO_VALUE = {
    "sequence": "a list stands here",
    "mapping": "a mapping of keys stands here",
    "scalar": "this is not a board",
}
_REST_OF_LINE = re.compile(r"[ \t]*(,?)[ \t]*(?:(?<=[ \t])#.*)?")


@dataclass(frozen=True, slots=True)
class Change:
    """A value to write at a key path, as the text that it reads as, without quotes.

    The last key, and the mapping that it stands in, may be new.
    """

    path: KeyPath
    value: str


@dataclass(frozen=True, slots=True)
class Removal:
    """A key to take out, with its value and the comment on its line."""

    path: KeyPath


def edited(data: bytes, changes: Sequence[Change | Removal], file: str) -> bytes:
    r"""Return a board's bytes with these values changed and nothing else.

    `file` is for messages. BoardError where the board cannot be read, or where a value would
    go where a list or a mapping stands; UsageError where the changes contradict each other or
    leave out what is not there; InternalError where the outcome is not what was asked for.

    >>> board = b"panels:\n  - shot: 10   # the quay\n    duration: 2s  # a bit\n"
    >>> print(edited(board, [Change(("panels", 0, "duration"), "60f")], "b.yaml").decode())
    panels:
      - shot: 10   # the quay
        duration: 60f  # a bit
    <BLANKLINE>
    >>> edited(b"picture: {size: 16x10}", [Change(("picture", "fit"), "cover")], "b.yaml")
    b'picture: {size: 16x10, fit: cover}'
    """
    old = parse(data, file)
    _refuse_contradictions(old, changes)
    mark, codec, text = decoded(data, file)
    try:
        text = _changed(text, changes, old)
    except yaml.YAMLError as fault:
        why = str(fault).splitlines()[0]
        raise InternalError(f"{_UNDONE.format(old.file)}: {why}") from fault
    made = mark + text.encode(codec)
    _compare(made, old, changes)
    return made


def _changed(text: str, changes: Sequence[Change | Removal], old: Tree) -> str:
    writes = [change for change in changes if isinstance(change, Change)]
    removals = [change for change in changes if isinstance(change, Removal)]
    if writes:
        text = spliced(text, _Writer(text, old).splices(writes))
    while removals:
        # One key of a mapping at a time: neighbours share a comma.
        now = {removal.path[:-1]: removal for removal in reversed(removals)}
        removals = [removal for removal in removals if removal not in now.values()]
        text = _without(text, [removal.path for removal in now.values()], old)
    return text


def decoded(data: bytes, file: str) -> tuple[bytes, str, str]:
    """Return the byte order mark, the encoding and the text; BoardError for what is no text."""
    marks = {codecs.BOM_UTF8: "utf-8", codecs.BOM_UTF16_LE: "utf-16-le"}
    marks[codecs.BOM_UTF16_BE] = "utf-16-be"
    mark = next((mark for mark in marks if data.startswith(mark)), b"")
    codec = marks.get(mark, "utf-8")
    text = data[len(mark) :].decode(codec, "replace")
    if mark + text.encode(codec) != data:
        found = "the file is not whole: some of its bytes are no characters"
        hint = "save the board in the editor with encoding UTF-8"
        raise BoardError([Problem(Place(file, 1, 1), "", found, hint=hint)])
    return mark, codec, text


def _refuse_contradictions(old: Tree, changes: Sequence[Change | Removal]) -> None:
    seen: set[KeyPath] = set()
    for change in sorted(changes, key=lambda change: len(change.path)):
        if any(change.path[:length] in seen for length in range(len(change.path) + 1)):
            raise UsageError(
                f"{old.file}: {key_words(change.path)} cannot be changed twice at once"
            )
        seen.add(change.path)
    for change in changes:
        if isinstance(change, Removal) and change.path not in old.keys:
            where = key_words(change.path) or "the board"
            raise UsageError(f"{old.file}: there is no key {where} to take out")


def _without(text: str, paths: Sequence[KeyPath], old: Tree) -> str:
    """Return the text without these keys, of which no two stand in one mapping."""
    found = extents(text)
    splices: list[Splice] = []
    for path in paths:
        mapping = found[path[:-1]]
        entry = next(entry for entry in mapping.entries if entry.key == path[-1])
        if mapping.style == ":" or entry.is_explicit:
            raise _unusual(old, path)
        splices += removal_splices(text, mapping, entry, found)
    return spliced(text, splices)


class _Writer:
    """Works out the splices that write values into one text."""

    def __init__(self, text: str, old: Tree) -> None:
        self.text, self.old, self.extents = text, old, extents(text)

    def splices(self, changes: Sequence[Change]) -> Iterator[Splice]:
        """Yield what to put where."""
        # By mapping: each new key with its value, or with the keys of a new mapping.
        added: dict[KeyPath, dict[str, str | dict[str, str]]] = {}
        for change in changes:
            if change.path in self.extents:
                yield from self._replaced(change)
            elif self._is_mapping(change.path[:-1]):
                added.setdefault(change.path[:-1], {})[str(change.path[-1])] = change.value
            elif self._is_mapping(change.path[:-2]) and change.path[:-1] not in self.extents:
                outer, key, inner = change.path[:-2], str(change.path[-2]), str(change.path[-1])
                group = added.setdefault(outer, {}).setdefault(key, {})
                assert isinstance(group, dict)
                group[inner] = change.value
            else:
                found = "there is no mapping of keys here to write into"
                place, words = self.old.place(change.path), key_words(change.path)
                raise BoardError([Problem(place, words, found)])
        # Where two mappings end in one place, what goes into the inner one comes first.
        for path, values in sorted(added.items(), key=lambda item: -len(item[0])):
            yield from self._added(path, values)

    def _is_mapping(self, path: KeyPath) -> bool:
        return path in self.extents and self.extents[path].kind == "mapping"

    def _replaced(self, change: Change) -> Iterator[Splice]:
        extent = self.extents[change.path]
        if extent.kind != "scalar" or not change.path:
            found = _NO_VALUE[extent.kind]
            place, words = self.old.place(change.path), key_words(change.path)
            raise BoardError([Problem(place, words, found, "a single value", "change it by hand")])
        value = scalar(change.value, extent.style, extent.flow)
        if extent.is_block_scalar:
            # On a line of its own the indicator may stand further out than other values.
            lacking = self.extents[change.path[:-1]].column + 1 - extent.column
            is_first = not self.text[line_start(self.text, extent.start) : extent.start].strip(" ")
            value = " " * max(0, lacking if is_first else 0) + value
            # A comment on the line of the indicator stays.
            yield Splice(extent.start, extent.header_end, value)
            yield Splice(line_end(self.text, extent.start), extent.content_end, "")
        elif extent.start < extent.end:
            yield Splice(extent.start, extent.end, value)
        else:
            yield Splice(extent.start, extent.start, self._opening(change.path) + value)

    def _opening(self, path: KeyPath) -> str:
        """Return what stands before a value where none was written."""
        mapping = self.extents[path[:-1]]
        entry = next((entry for entry in mapping.entries if entry.key == path[-1]), None)
        if entry is None or entry.has_colon:
            return " "
        if entry.is_explicit or BREAK.search(self.text, entry.start, entry.end):
            raise _unusual(self.old, path)
        return ": "

    def _added(self, path: KeyPath, values: dict[str, str | dict[str, str]]) -> Iterator[Splice]:
        """Yield the new keys of one mapping, each behind a fitting neighbour."""
        mapping = self.extents[path]
        if mapping.style == ":" or any(entry.is_explicit for entry in mapping.entries):
            raise _unusual(self.old, path)
        known = known_keys(path)
        order = sorted(values, key=lambda key: known.index(key) if key in known else len(known))
        groups: dict[int, list[str]] = {}
        for key in order:
            words = _entry_text(key, values[key], flow=bool(mapping.style) or mapping.flow)
            groups.setdefault(_neighbour(mapping, key, known), []).append(words)
        for number, entries in groups.items():
            if not mapping.entries:
                yield Splice(mapping.start + 1, mapping.start + 1, ", ".join(entries))
            elif mapping.style:
                yield from self._added_in_braces(mapping, number, entries)
            else:
                yield self._added_in_lines(mapping, number, entries)

    def _added_in_lines(self, mapping: Extent, number: int, entries: list[str]) -> Splice:
        """Return the splice that adds lines to a block mapping."""
        text, column = self.text, mapping.column
        neighbour = mapping.entries[number]
        if neighbour.value.is_unended:
            newline = _break_near(text, neighbour.start) + " " * column
            words = "".join(words + newline for words in entries)
            return Splice(neighbour.start, neighbour.start, words)
        at = line_end(text, neighbour.value.end)
        # Lines of comment further in belong to the neighbour.
        while following := BREAK.match(text, at):
            comment = _COMMENT_LINE.match(text, following.end())
            if comment is None or len(comment[1]) <= column:
                break
            at = line_end(text, comment.end())
        newline = _break_near(text, at) + " " * column
        return Splice(at, at, "".join(newline + words for words in entries))

    def _added_in_braces(
        self, mapping: Extent, number: int, entries: list[str]
    ) -> Iterator[Splice]:
        """Yield the splices that add to a mapping in braces: in its line, or lines of their own."""
        text, neighbour = self.text, mapping.entries[number]
        at = neighbour.value.end
        indent = _indent_of_each_line(text, mapping)
        rest = _REST_OF_LINE.fullmatch(text, at, line_end(text, at))
        is_last = number == len(mapping.entries) - 1
        if indent is None or rest is None or not (rest[1] or is_last):
            yield Splice(at, at, "".join(f", {words}" for words in entries))
            return
        newline = _break_near(text, at) + indent
        if not rest[1]:
            yield Splice(at, at, ",")
        lines = f",{newline}".join(entries)
        end = line_end(text, at)
        yield Splice(end, end, newline + lines + rest[1])


def _break_near(text: str, at: int) -> str:
    """Return the line break that the line of a position ends with, or else any of the text."""
    found = BREAK.search(text, at) or BREAK.search(text)
    return found[0] if found else "\n"


def _entry_text(key: str, value: str | dict[str, str], flow: bool) -> str:
    if isinstance(value, str):
        return f"{scalar(key, flow=True)}: {scalar(value, flow=flow)}"
    inner = (
        f"{scalar(name, flow=True)}: {scalar(words, flow=True)}" for name, words in value.items()
    )
    return f"{scalar(key, flow=True)}: {{{', '.join(inner)}}}"


def _neighbour(mapping: Extent, key: str, known: Sequence[str]) -> int:
    """Return which entry a new key goes behind: the last one listed before it, or the first."""
    if key not in known:
        return len(mapping.entries) - 1
    earlier = set(known[: known.index(key)])
    before = [number for number, entry in enumerate(mapping.entries) if entry.key in earlier]
    return max(before, key=lambda n: known.index(mapping.entries[n].key), default=0)


def _indent_of_each_line(text: str, mapping: Extent) -> str | None:
    """Return the white space before the keys in braces where each begins a line; else None."""
    indents = [text[line_start(text, entry.start) : entry.start] for entry in mapping.entries]
    return indents[-1] if all(not indent.strip(" \t") for indent in indents) else None


def _unusual(old: Tree, path: KeyPath) -> BoardError:
    found = "this is written in a way that cannot be changed in place"
    hint = "write it as key: value, or change it by hand"
    return BoardError([Problem(old.key_place(path), key_words(path), found, hint=hint)])


def _compare(made: bytes, old: Tree, changes: Sequence[Change | Removal]) -> None:
    """Raise InternalError unless the new board is the old one with the changes."""
    try:
        new = parse(made, old.file).root
    except BoardError as fault:
        raise InternalError(f"{_UNDONE.format(old.file)}: {fault}") from fault
    expected = _copied(old.root)
    for change in changes:
        at = expected
        for key in change.path[:-1]:
            at = at.setdefault(key, {}) if isinstance(at, dict) else at[key]
        if isinstance(change, Removal):
            del at[change.path[-1]]
        else:
            at[change.path[-1]] = change.value
    if new != expected:
        words = ", ".join(key_words(change.path) for change in changes)
        raise InternalError(f"{_UNDONE.format(old.file)}: {words} would not read as meant")


_UNDONE = "{}: the change was not made, since it came out wrong (a fault of this program)"


def _copied(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _copied(inner) for key, inner in value.items()}
    return [_copied(inner) for inner in value] if isinstance(value, list) else value
