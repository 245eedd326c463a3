"""Turns what pydantic found into problems with a place, in words for a tired person."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_args, get_origin

from pydantic import BaseModel, ValidationError

from animatic.board.keys.meant import tighten_meant
from animatic.board.keys.rule import shortened
from animatic.board.keys.schema import BoardContent
from animatic.board.text.yamlspot import quoted
from animatic.board.text.yamltree import KeyPath, Tree, key_words
from animatic.errors import Problem

__all__ = [
    "EXAMPLES",
    "instead",
    "known_keys",
    "null_problems",
    "path_of",
    "problems_from",
]


def problems_from(fault: ValidationError, tree: Tree) -> list[Problem]:
    """Return one problem for each of pydantic's errors.

    A key that was written without a value is no missing key; see `null_problems`. A name that is
    at fault where a shot or a setup gets it is not told again where it is used.
    """
    errors = fault.errors()
    told = {name for error in errors if (name := _given_name(error)) is not None}
    return [
        _problem(error, tree)
        for error in errors
        if (error["type"] != "missing" or error["loc"] not in tree.values)
        and (_used_name(error) not in told)
    ]


def _given_name(error: Any) -> tuple[str, str] | None:
    """Return the name that a faulty key or value gives, and what it is a name of."""
    match error["loc"]:
        case ("setups", _, "[key]"):
            return "setup", str(error["input"]).strip()
        case ("panels", _, "shot"):
            return "shot", str(error["input"]).strip()
    return None


def _used_name(error: Any) -> tuple[str, str] | None:
    """Return the name that a faulty value uses, and what it is a name of."""
    text = str(error["input"]).strip()
    match error["loc"]:
        case ("panels" | "parked", _, "setup") | ("setups", _, "after", _):
            return "setup", text
        case ("music", _, "from" | "until"):
            return "shot", text.removeprefix("shot").strip()
    return None


def _problem(error: Any, tree: Tree) -> Problem:
    path, kind, context = path_of(error), error["type"], error.get("ctx", {})
    words = key_words(path)
    if kind == "board":
        place = tree.place(path) if path == error["loc"] else tree.key_place(path)
        return Problem(place, words, context["found"], context["allowed"], context["hint"])
    if kind == "missing":
        outer = key_words(path[:-1]) or "the board"
        found = f"the key {path[-1]} is missing"
        return Problem(tree.place(path[:-1]), outer, found, hint=_about(path))
    if kind in ("model_type", "dict_type"):
        keys = known_keys(path)
        some = ", ".join(keys[:_SOME_KEYS]) + " ..." * (len(keys) > _SOME_KEYS)
        allowed = "keys of its own" + f" ({some})" * bool(keys)
        hint = instead(path, error["input"])
        return Problem(tree.place(path), words, _shape(error["input"]), allowed, hint)
    if kind == "list_type":
        hint = "begin each entry on a line of its own with a dash"
        hint = ", ".join(filter(None, (hint, instead(path, error["input"]))))
        return Problem(tree.place(path), words, _shape(error["input"]), "a list", hint)
    if kind == "too_short":
        return Problem(tree.place(path), words, "an empty list", "at least one entry")
    return Problem(tree.place(path), words, _shape(error["input"]), hint=str(error["msg"]))


def path_of(error: Any) -> KeyPath:
    """Return the key path of one of pydantic's errors.

    Where a key itself is at fault, pydantic puts "[key]" after it.
    """
    path: KeyPath = error["loc"]
    return path[:-1] if error["type"] == "board" and path[-1] == "[key]" else path


def _shape(value: Any) -> str:
    if isinstance(value, dict):
        return "a mapping of keys stands here"
    if isinstance(value, list):
        return "a list stands here"
    return f"the text {shortened(str(value))!r} stands here"


def instead(path: KeyPath, value: Any) -> str:
    """Return how a mapping or a list is written where a text, or the other, stands.

    >>> instead(("panels", 0, "transition"), "dissolve 12f")
    'as transition: {dissolve: 12f}'
    >>> instead(("panels", 0, "dialogue"), "The tide is late.")
    'as - {who: NAME, line: "The tide is late."}'
    """
    key = next((str(part) for part in reversed(path) if isinstance(part, str)), "")
    text = shortened(value) if isinstance(value, str) else ""
    if key == "dialogue" and text:
        return f"as - {{who: NAME, {quoted('line', text)}}}"
    if key in ("sounds", "music") and text and " " not in text:
        return f"as - {{file: {text}}}"
    if key in _WORD_LISTS and text:
        return f"as {key}: [{text}]"
    first, _, rest = text.partition(" ")
    if rest and first in known_keys(path):
        return f"as {key}: {{{first}: {rest}}}"
    if " at " in text and "tighten" in known_keys(path) and (meant := tighten_meant(text)):
        return f"as {key}: {{tighten: {meant}}}"
    return EXAMPLES.get(key, "") and f"as {EXAMPLES[key]}"


_SOME_KEYS = 6
_WORD_LISTS = ("opened", "lights", "after")
EXAMPLES = {
    "panels": "- {shot: 10, photo: photos/quay.jpg}",
    "dialogue": "- {who: Odd, line: The tide is late.}",
    "sounds": "- {file: sound/bell.wav}",
    "music": "- {file: sound/tide.wav, from: shot 10}",
    "transition": "transition: {dissolve: 12f}",
    "crop": "crop: {tighten: 1.6 at 0.4 0.3}",
    "to": "to: {tighten: 1.6 at 0.4 0.3}",
    "move": "move: {to: {tighten: 1.6 at 0.4 0.3}}",
    "picture": "picture: {size: 1920x1080}",
    "defaults": "defaults: {duration: 2s}",
    "speech": "speech: {words_per_minute: 150}",
    "cast": "Odd: {words_per_minute: 130}",
    "lettering": "lettering: {dialogue: false}",
    "mix": "mix: {music: -6}",
    "pace": "pace: {poses_per_hour: 30}",
    "changes": "changes: {place: 30m}",
    "day": "day: {start: 09:00, hours: 7}",
    "setups": "quay: {place: Quay}",
}
"""One line of each part of a board, for a message."""


def _about(path: KeyPath) -> str:
    model = _model_at(path[:-1])
    field = next((f for n, f in _fields(model).items() if n == path[-1]), None)
    return f"it is for: {field.description.rstrip('.').lower()}" if field is not None else ""


def known_keys(path: KeyPath) -> list[str]:
    """Return the keys that a mapping at `path` may have.

    >>> known_keys(("picture",))
    ['size', 'fit', 'level']
    """
    return list(_fields(_model_at(path)))


def _fields(model: type[BaseModel] | None) -> dict[str, Any]:
    if model is None:
        return {}
    return {field.alias or name: field for name, field in model.model_fields.items()}


def _model_at(path: KeyPath) -> type[BaseModel] | None:
    """Return the model of the mapping at a key path, None where there is none."""
    at: Any = BoardContent
    for key in path:
        if isinstance(at, type) and issubclass(at, BaseModel):
            field = _fields(at).get(str(key))
            if field is None:
                return None
            at = field.annotation
        else:
            at = get_args(at)[-1] if get_args(at) else None
        if get_origin(at) not in (list, dict) and get_args(at):
            models = [a for a in get_args(at) if isinstance(a, type) and a is not type(None)]
            at = models[0] if models else None
    return at if isinstance(at, type) and issubclass(at, BaseModel) else None


def null_problems(tree: Tree) -> Iterator[Problem]:
    """Yield a problem for each key or list entry behind which nothing stands."""
    for path, value in _walk(tree.root, ()):
        if value is None:
            words = key_words(path) or "the board"
            hint = "give it a value, or leave the key out"
            if path and isinstance(path[-1], int):
                hint = "write the entry behind its dash, or take the dash out"
            if path in tree.cut:
                hint = "what follows a # is a remark: put the value in quotes, if it begins with #"
            yield Problem(tree.place(path), words, "nothing stands behind it", hint=hint)


def _walk(value: Any, path: KeyPath) -> Iterator[tuple[KeyPath, Any]]:
    yield path, value
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _walk(inner, (*path, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from _walk(inner, (*path, index))
