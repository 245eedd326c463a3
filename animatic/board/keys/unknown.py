"""What is said of a key that no board has: what was meant, where it belongs, or what to write."""

from __future__ import annotations

import re
from typing import Any

from animatic.board.keys.rule import shortened
from animatic.board.keys.wording import known_keys
from animatic.board.text.yamlspot import quoted
from animatic.board.text.yamltree import KeyPath, Text, Tree, key_words
from animatic.errors import Problem, nearest

__all__ = ["unknown_key"]

_TEXTS = ("line", "note", "title", "who", "place", "camera", "lens")
"""Keys of texts, in which a comma may stand."""
_NEARLY = 0.85
"""How alike a key must be to one of its own part to be that, and not one of another part."""
_SYNONYMS = {
    **dict.fromkeys(("picture", "image", "img", "pic", "foto"), ("photo",)),
    **dict.fromkeys(("length", "time", "seconds", "frames", "dur"), ("duration",)),
    **dict.fromkeys(("number", "name", "scene", "id", "nr", "no"), ("shot",)),
    **dict.fromkeys(("speaker", "character", "role"), ("who",)),
    **dict.fromkeys(("text", "words", "says"), ("line",)),
    **dict.fromkeys(("dialog", "dialogs", "lines", "speech"), ("dialogue",)),
    **dict.fromkeys(("sfx", "effects", "audio", "recording"), ("voice", "sounds")),
    **dict.fromkeys(("path", "sound", "music"), ("file",)),
    **dict.fromkeys(("volume", "gain", "db"), ("level",)),
    **dict.fromkeys(("flip", "flop", "mirrored"), ("mirror",)),
    **dict.fromkeys(("zoom",), ("tighten",)),
    **dict.fromkeys(("comment", "comments", "remark", "notes", "description"), ("note",)),
    **dict.fromkeys(("fps", "framerate", "frame_rate"), ("rate",)),
    **dict.fromkeys(("resolution",), ("size",)),
    **dict.fromkeys(("crossfade", "mix", "xfade"), ("dissolve",)),
    **dict.fromkeys(("fade", "fade_in"), ("from_black",)),
    **dict.fromkeys(("fade_out",), ("to_black",)),
}
"""Other words for keys, taken where the key may stand."""
_NOTES = {
    ("panels", "panel"): "panels are counted by themselves: leave it out",
    ("crop", "right"): "give width in its place: the right edge less the left",
    ("crop", "bottom"): "give height in its place: the lower edge less the upper",
    ("to", "right"): "give width in its place: the right edge less the left",
    ("to", "bottom"): "give height in its place: the lower edge less the upper",
    ("move", "from"): "a move begins at the crop of its panel: write crop: beside move:",
}
"""By the part of the board that a key stands in, and the key."""


def unknown_key(path: KeyPath, value: Any, tree: Tree) -> tuple[Problem, dict[str, Any]]:
    """Return the problem of a key that is not known, and what is meant by it and its value.

    What is meant are keys with their values, none where that is not clear.
    """
    known = known_keys(path[:-1])
    words, place = key_words(path[:-1]) or "the board", tree.key_place(path)
    section = next((str(part) for part in reversed(path[:-1]) if isinstance(part, str)), "")
    if note := _NOTES.get((section, str(path[-1]))):
        found = f"the key {path[-1]} is not known"
        return Problem(place, words, found, ", ".join(known), note), {}
    if close := next((one for one in _SYNONYMS.get(str(path[-1]).lower(), ()) if one in known), ""):
        found = f"the key {path[-1]} is not known"
        return Problem(place, words, found, ", ".join(known), f"did you mean {close}?"), {
            close: value
        }
    near = nearest(str(path[-1]), known, _NEARLY)
    if not near and (home := _home(path)):
        return Problem(place, words, f"the key {path[-1]} has no meaning here", hint=home), {}
    if _is_spoken(path, value, tree):
        found = f"{path[-1]} stands before the words, as in a script"
        hint = f"write {{who: {path[-1]}, {quoted('line', value)}}}"
        meant = {"who": path[-1], "line": value}
        return Problem(place, words, found, ", ".join(known), hint), meant
    run_on = re.match(r"(\w+)(?::|\s*=)?\s*(\W.*)", str(path[-1]))
    if run_on and run_on[1] in known:
        found = "no colon and space stand behind the key"
        return Problem(place, words, found, hint=f"write {run_on[1]}: and what follows"), {}
    close = nearest(str(path[-1]), known)
    hint = f"did you mean {close}?" if close else _of_a_text(path, tree)
    found = f"the key {shortened(str(path[-1]))} is not known"
    return Problem(place, words, found, ", ".join(known), hint), {close: value} if close else {}


def _is_spoken(path: KeyPath, value: Any, tree: Tree) -> bool:
    """Whether a line of dialogue is written as in a script: `Odd: The tide is late.`"""
    if len(path) < 3 or path[-3] != "dialogue" or not isinstance(value, str):
        return False
    entry: Any = tree.root
    for key in path[:-1]:
        entry = entry[key]
    return not {"who", "line"} & set(entry)


def _of_a_text(path: KeyPath, tree: Tree) -> str:
    """Return a hint where a comma and a colon in a text between braces made a key of its words."""
    mapping: Any = tree.root
    for key in path[:-1]:
        mapping = mapping[key]
    keys = list(mapping)
    at = keys.index(path[-1]) if path[:-1] in tree.flow and path[-1] in keys else 0
    before, value = mapping.get(keys[at - 1]), mapping.get(keys[at])
    if keys[at - 1] not in _TEXTS:
        return ""
    if not at or not isinstance(before, Text) or not before.plain or not isinstance(value, str):
        return ""
    return (
        f"if it belongs to a text, write {quoted(keys[at - 1], f'{before}, {keys[at]}: {value}')}"
    )


def _home(path: KeyPath) -> str:
    """Return where a key belongs that is known elsewhere: further in, further out, or apart."""
    key, outer = str(path[-1]), path[:-1]
    if inner := _sections(outer, key):
        return f"{key} belongs under {' or '.join(inner)}"
    for length in range(len(outer) - 1, 0, -1):
        if key in known_keys(outer[:length]):
            section = next(str(part) for part in outer[length:] if isinstance(part, str))
            return f"{key} belongs further out, beside {section}: and not under it"
    if outer and key in known_keys(()):
        return f"{key} belongs at the top of the board, beside panels:"
    sections = _sections((), key)
    return f"{key} belongs under {' or '.join(sections)} at the top of the board" * bool(sections)


def _sections(outer: KeyPath, key: str) -> list[str]:
    """Return the keys of a mapping, with their colons, under which a key may stand."""
    return [
        f"{name}:"
        for name in known_keys(outer)
        if name != "parked" and key in (*known_keys((*outer, name)), *known_keys((*outer, name, 0)))
    ]
