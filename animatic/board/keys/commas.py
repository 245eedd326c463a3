"""Words between braces that no colon follows: what a comma cut off from the text before it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import groupby
from typing import Any

from animatic.board.keys.meant import tighten_meant
from animatic.board.keys.wording import known_keys
from animatic.board.text.yamlspot import quoted
from animatic.board.text.yamltree import KeyPath, Text, Tree, key_words
from animatic.errors import Problem, nearest

__all__ = ["take_out_bare_words"]


def take_out_bare_words(tree: Tree) -> list[Problem]:
    """Return a problem for each run of words that stand without a colon, and take them out.

    >>> from animatic.board.text.yamltree import parse
    >>> tree = parse(b"title: {who: Odd, line: Well, the tide.}", "b.yaml")
    >>> print(*take_out_bare_words(tree))
    b.yaml:1:25: title.line: at the comma this text ends; write line: "Well, the tide."
    >>> tree.root
    {'title': {'who': 'Odd', 'line': 'Well'}}
    """
    found: list[Problem] = []
    for outer, paths in groupby(tree.bare, lambda path: path[:-1]):
        mapping = _at(tree, outer)
        if isinstance(mapping, dict):
            found += _told(tree, outer, mapping, [str(path[-1]) for path in paths])
    return found


def _at(tree: Tree, path: KeyPath) -> Any:
    at = tree.root
    try:
        for key in path:
            at = at[key]
    except (KeyError, IndexError, TypeError):
        return None  # It lies within something that was refused.
    return at


def _told(
    tree: Tree, outer: KeyPath, mapping: dict[str, Any], bare: list[str]
) -> Iterator[Problem]:
    known = known_keys(outer)
    before, cut = "", dict[str, list[str]]()
    for key in list(mapping):
        if key not in bare:
            before = key
        elif key not in known:
            del mapping[key]
            meant, value = _as_key(key, known)
            if meant:
                words = key_words(outer) or "the board"
                found, hint = "no colon and space stand behind the key", f"write {meant}: {value}"
                place = tree.key_place((*outer, key))
                yield Problem(place, words, found, hint=hint)
                if meant not in mapping:
                    mapping[meant] = Text(value)
                    tree.keys[*outer, meant] = tree.values[*outer, meant] = place
            elif before and isinstance(mapping[before], str):
                cut.setdefault(before, []).append(key)
            else:
                found, hint = f"{key} has no colon and no value", "write a key, a colon and a value"
                words = key_words(outer) or "the board"
                yield Problem(tree.key_place((*outer, key)), words, found, hint=hint)
    for key, parts in cut.items():
        path, value = (*outer, key), mapping[key]
        meant = tighten_meant(_joined(value, parts)) if key == "tighten" else ""
        if meant:
            found, hint = "at the comma this text ends", f"write {key}: {meant}"
        elif re.fullmatch(r"[-+]?\d+", value) and re.fullmatch(r"\d+ *[A-Za-z%]*", parts[0]):
            found, hint = "a comma stands in a number", f"write {key}: {value}.{parts[0]}"
        else:
            found, hint = (
                "at the comma this text ends",
                f"write {quoted(key, _joined(value, parts))}",
            )
        yield Problem(tree.place(path), key_words(path), found, hint=hint)


def _joined(value: str, parts: list[str]) -> str:
    return ", ".join((value, *parts))


def _as_key(words: str, known: list[str]) -> tuple[str, str]:
    """Return key and value where the words begin as a key would, as `shot 10` and `size:WS` do."""
    match = re.match(r"(\w+)(?::|\s*=\s*|\s+)(.+)", words)
    if match is None:
        return "", ""
    key = match[1] if match[1] in known else ""
    if ":" in words or "=" in words:
        key = key or nearest(match[1], known)
    return key, match[2].strip()
