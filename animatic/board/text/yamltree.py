"""YAML text as a tree that keeps every place and guesses at no type.

Each scalar stays the text that was written; the field that takes it decides what it means, so
that `1:30`, `012`, `2.10`, `on` and `no` are never turned into something else. Duplicate keys,
anchors, aliases, tags and a second document are refused.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any

import yaml

from animatic.board.text.unreadable import explained
from animatic.errors import BoardError, Place, Problem

__all__ = ["KeyPath", "Text", "Tree", "key_words", "parse"]

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_DEEPEST = 16
_LONGEST_NAME = 40
_INVISIBLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ufeff\ufffe\uffff]")
"""Characters that YAML 1.1 does not print, and byte-order marks."""
_PANEL = re.compile(r"(panels|parked)\[(\d+)\](?!\.shot$)")
_CUT = re.compile(r"[ ]+#[^\s#]")
"""A remark that no space sets off from its sign, as in `Take #3`."""
_NO_COLON = re.compile(r"\s*[,}]")
_NULLS = {"", "~", "null", "Null", "NULL"}

KeyPath = tuple[str | int, ...]
"""Keys and list positions (from 0) from the root: ("panels", 3, "photo")."""


class Text(str):
    """A scalar as written; `plain` says that it stood without quotes."""

    __slots__ = ("plain",)
    plain: bool

    def __new__(cls, text: str, plain: bool = True) -> Text:
        """Return the text, marked."""
        made = super().__new__(cls, text)
        made.plain = plain
        return made


@dataclass(slots=True)
class Tree:
    """The parsed file: nested dicts, lists, `Text` and None, with the place of each value.

    `keys` has the place of each mapping key, `values` that of each value; `flow` are the mappings
    between braces, `bare` the keys in them without a colon; `cut` are the texts without quotes
    that a # in their line cut off.
    """

    file: str
    root: Any = None
    keys: dict[KeyPath, Place] = field(default_factory=dict)
    values: dict[KeyPath, Place] = field(default_factory=dict)
    flow: set[KeyPath] = field(default_factory=set)
    bare: list[KeyPath] = field(default_factory=list)
    cut: list[KeyPath] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    is_whole: bool = True
    """Whether what is refused leaves the rest as it was meant, so that it can be checked too."""

    def place(self, path: KeyPath) -> Place:
        """Return the place of a value, or of the nearest thing around it that is there."""
        while path and path not in self.values:
            path = path[:-1]
        return self.values.get(path, Place(self.file, 1, 1))

    def key_place(self, path: KeyPath) -> Place:
        """Return the place of a key, or the place of the value where it has none."""
        return self.keys.get(path) or self.place(path)

    def respell(self, path: KeyPath, key: str) -> None:
        """Give a key another name; the places are found under the old one as well."""
        for places in (self.keys, self.values):
            for known, place in list(places.items()):
                if known[: len(path)] == path:
                    places[(*path[:-1], key, *known[len(path) :])] = place
        mapping = self.root
        for part in path[:-1]:
            mapping = mapping[part]
        mapping[key] = mapping.pop(path[-1])

    def with_shots(self, problems: Iterable[Problem]) -> list[Problem]:
        """Return problems with the shot that each lies in: people know their shots by name."""
        found = []
        for problem in problems:
            match = _PANEL.match(problem.key)
            shot = self.shot(match[1], int(match[2]) - 1) if match else ""
            found.append(replace(problem, shot=shot) if shot else problem)
        return found

    def shot(self, home: str, index: int) -> str:
        """Return the shot of an entry of `panels` or `parked`, empty where none is named.

        >>> tree = parse(b"panels: [{shot: 40, photo: a.jpg}, {photo: b.jpg}]", "b.yaml")
        >>> tree.shot("panels", 1)
        '40'
        """
        entries = self.root.get(home) if isinstance(self.root, dict) else None
        if not isinstance(entries, list):
            return ""
        # A parked panel stands for itself alone.
        for entry in entries[index::-1] if home == "panels" else entries[index : index + 1]:
            named = entry.get("shot") if isinstance(entry, dict) else None
            if isinstance(named, str):
                return named if named.isprintable() and len(named) <= _LONGEST_NAME else ""
        return ""


def key_words(path: KeyPath) -> str:
    """Return a key path as people read it; list positions count from 1.

    >>> key_words(("panels", 3, "dialogue", 0, "line"))
    'panels[4].dialogue[1].line'
    """
    words = ""
    for key in path:
        words += f"[{key + 1}]" if isinstance(key, int) else f".{key}" if words else key
    return words


def parse(data: bytes, file: str, *, is_checked: bool = False) -> Tree:
    """Return the tree of a YAML file's bytes; BoardError where it is no readable YAML.

    With `is_checked` what is refused stays in the tree's `problems` where the rest can be
    checked all the same: a key that comes again, an anchor, a tag.

    >>> parse(b"rate: 24", "b.yaml").root
    {'rate': '24'}
    """
    tree = Tree(file)
    text = _decoded(data, file)
    try:
        events = yaml.parse(text, _Loader)
        _Builder(tree, text, events).document()
    except yaml.MarkedYAMLError as fault:
        raise BoardError([explained(fault, text, file)]) from None
    except yaml.reader.ReaderError as fault:
        raise BoardError([_odd_character(text, fault.position, file)]) from None
    if tree.problems and not (is_checked and tree.is_whole):
        raise BoardError(tree.with_shots(tree.problems))
    return tree


def _decoded(data: bytes, file: str) -> str:
    for mark, encoding in ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16")):
        if data.startswith(mark):
            return data.decode(encoding, "replace")
    if data[:400].count(0) * 4 > len(data[:400]):
        found, hint = "the file is saved as UTF-16", "save it in the editor with encoding UTF-8"
        raise BoardError([Problem(Place(file, 1, 1), "", found, hint=hint)])
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = data.count(b"\n", 0, fault.start) + 1
        column = fault.start - data.rfind(b"\n", 0, fault.start)
        found = f"byte 0x{data[fault.start]:02x} is not UTF-8 text"
        hint = "save the board in the editor with encoding UTF-8"
        raise BoardError([Problem(Place(file, line, column), "", found, hint=hint)]) from None
    if odd := _INVISIBLE.search(text):
        raise BoardError([_odd_character(text, odd.start(), file)])
    return text


def _odd_character(text: str, at: int, file: str) -> Problem:
    place = Place(file, text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at))
    found = f"the invisible character U+{ord(text[at]):04X} cannot stand in a board"
    return Problem(place, "", found, hint="delete it and type the text around it anew")


class _Builder:
    """Turns parser events into the tree; collects what is refused."""

    def __init__(self, tree: Tree, text: str, events: Iterator[Any]) -> None:
        self.tree, self.text, self.events = tree, text, events

    def document(self) -> None:
        started = False
        for event in self.events:
            if isinstance(event, yaml.DocumentStartEvent):
                if started:
                    self._refuse(event, (), "a second document begins here", "one file, one board")
                    return
                started = True
            elif isinstance(event, yaml.NodeEvent):
                self.tree.root = self._node(event, ())

    def _refuse(
        self, event: Any, path: KeyPath, found: str, hint: str, *, is_whole: bool = False
    ) -> None:
        place = self._place(event)
        self.tree.is_whole = self.tree.is_whole and is_whole
        self.tree.problems.append(Problem(place, key_words(path), found, hint=hint))

    def _place(self, event: Any) -> Place:
        return Place(self.tree.file, event.start_mark.line + 1, event.start_mark.column + 1)

    def _node(self, event: Any, path: KeyPath) -> Any:
        self.tree.values[path] = self._place(event)
        self._refuse_extras(event, path)
        if isinstance(event, yaml.AliasEvent):
            return None
        if isinstance(event, yaml.ScalarEvent):
            plain = bool(event.implicit[0])
            if plain and _CUT.match(self.text, getattr(event.end_mark, "index", 0)):
                self.tree.cut.append(path)
            return None if plain and event.value in _NULLS else Text(event.value, plain)
        if len(path) >= _DEEPEST:
            self._refuse(event, path, "nested too deep", "boards are a few levels deep")
            self._skip()
            return None
        if isinstance(event, yaml.SequenceStartEvent):
            return self._sequence(path)
        return self._mapping(path, bool(event.flow_style))

    def _refuse_extras(self, event: Any, path: KeyPath) -> None:
        if isinstance(event, yaml.AliasEvent):
            self._refuse(
                event,
                path,
                f"the alias *{event.anchor}",
                "write the value out again, or put the text in quotes",
            )
            return
        if event.anchor:
            hint = "boards know no anchors; leave it out, or put the text in quotes"
            self._refuse(event, path, f"the anchor &{event.anchor}", hint, is_whole=True)
        if event.tag:
            tag = event.tag.replace("tag:yaml.org,2002:", "!!")
            hint = "leave it out, or put the text in quotes"
            self._refuse(event, path, f"the tag {tag}", hint, is_whole=True)

    def _skip(self) -> None:
        depth = 1
        while depth:
            event = next(self.events)
            if isinstance(event, yaml.CollectionStartEvent):
                depth += 1
            elif isinstance(event, yaml.CollectionEndEvent):
                depth -= 1

    def _sequence(self, path: KeyPath) -> list[Any]:
        found: list[Any] = []
        while not isinstance(event := next(self.events), yaml.SequenceEndEvent):
            found.append(self._node(event, (*path, len(found))))
        return found

    def _mapping(self, path: KeyPath, flow: bool = False) -> dict[str, Any]:
        found: dict[str, Any] = {}
        again: list[Any] = []
        event: Any
        if flow:
            self.tree.flow.add(path)
        while not isinstance(event := next(self.events), yaml.MappingEndEvent):
            self._refuse_extras(event, path)
            if isinstance(event, yaml.CollectionStartEvent):
                hint = "a key is a word; put text with brackets or braces into quotes"
                self._refuse(event, path, "a list or mapping stands as a key", hint)
                self._skip()
            if not isinstance(event, yaml.ScalarEvent):
                self._node(next(self.events), (*path, "(no key)"))
                continue
            key = event.value
            inner = (*path, key)
            if key in found:
                again.append(event)
                self._node(next(self.events), (*path, f"{key} (again)"))
                continue
            self.tree.keys[inner] = self._place(event)
            found[key] = self._node(next(self.events), inner)
            end = getattr(event.end_mark, "index", 0)
            if flow and found[key] is None and _NO_COLON.match(self.text, end):
                self.tree.bare.append(inner)
        if again and not self._stands_too_far_in(found, path):
            self._refuse_again(again, path, flow)
        return found

    def _refuse_again(self, again: list[Any], path: KeyPath, flow: bool) -> None:
        """Refuse keys that come again; where most of an entry does, its first line is missing."""
        if path and not flow and len({event.value for event in again}) > 1:
            keys = ", ".join(event.value for event in again)
            hint = "a line that begins another entry seems to be missing above"
            if isinstance(path[-1], int):
                hint = "where another entry begins, put a dash before its first key"
            self._refuse(again[0], path, f"the keys {keys} stand here a second time", hint)
            return
        for event in again:
            first = self.tree.keys[*path, event.value]
            hint = f"the first is on line {first.line}"
            if path and isinstance(path[-1], int) and not flow:
                hint += "; where another entry begins, put a dash before its first key"
            found = f"the key {event.value} stands here a second time"
            self._refuse(event, path, found, hint, is_whole=len(again) == 1)

    def _stands_too_far_in(self, found: dict[str, Any], path: KeyPath) -> bool:
        """Refuse an entry whose name stands in the column of its own keys.

        It is then an empty key of the entry before, whose keys all seem to come again.
        """
        outer = self.tree.keys.get(path)
        empty = next((key for key, value in reversed(found.items()) if value is None), None)
        if outer is None or empty is None:
            return False
        place = self.tree.keys[*path, empty]
        what = f"{empty} stands as far in as the keys of {path[-1]}, which come again below it"
        hint = f"indent it by {outer.column - 1} to let an entry of its own begin"
        self.tree.problems.append(Problem(place, key_words(path), what, hint=hint))
        self.tree.is_whole = False
        return True
