"""Reading a board: from a file or folder to a checked `Board`, or to every problem at once."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from animatic.board.checks import board_problems, named_files
from animatic.board.keys.commas import take_out_bare_words
from animatic.board.keys.rule import Absent
from animatic.board.keys.schema import BoardContent, LineEntry
from animatic.board.keys.unknown import unknown_key
from animatic.board.keys.wording import (
    null_problems,
    path_of,
    problems_from,
)
from animatic.board.light import evened_photos, look_at_lights
from animatic.board.media import MediaFacts, look_at
from animatic.board.shotnames import repeated_shots
from animatic.board.text.yamltree import KeyPath, Tree, parse
from animatic.board.voices import Spoken, speak_lines, voice_problems
from animatic.board.waiting import waiting_problems
from animatic.errors import BoardError, MachineError, Place, Problem, UsageError

__all__ = ["NAMES", "Board", "board_from_bytes", "find_board", "read_board"]

NAMES = ("board.yaml", "board.yml")
_MOST_BYTES = 20_000_000


@dataclass(frozen=True, slots=True)
class Board:
    """What the film-maker wrote, with the facts of the files that it names.

    `content` has the values, `media` the facts by absolute path, `tree` the places.
    """

    file: Path
    content: BoardContent
    media: MediaFacts = field(repr=False)
    tree: Tree = field(repr=False)
    spoken: Spoken = field(default_factory=Spoken, repr=False)

    @property
    def folder(self) -> Path:
        """The folder that relative paths start from."""
        return self.file.parent

    @property
    def title(self) -> str:
        """The title, or the folder's name."""
        return self.content.title or self.folder.resolve().name or "untitled"

    def path(self, named: str) -> Path:
        """Return the absolute path of a file named in the board."""
        return resolve(self.folder, named)

    def voice(self, line: LineEntry) -> Path | None:
        """Return the sound of a line: its recording, else its scratch voice, else None."""
        if line.voice is not None:
            return self.path(line.voice)
        return self.spoken.files.get((line.who, line.line))

    def place(self, path: KeyPath) -> Place:
        """Return where a value stands in the file."""
        return self.tree.place(path)


def resolve(folder: Path, named: str) -> Path:
    """Return the absolute path of a file that a board in `folder` names."""
    return (folder / named).absolute()


def find_board(named: Path) -> Path:
    """Return the board file that a path means: the file, or board.yaml in the folder.

    UsageError says what is there instead.
    """
    if os.path.isdir(named):
        for name in NAMES:
            if (named / name).is_file():
                return named / name
        others = sorted(path.name for path in named.glob("*.y*ml"))
        hint = f"; there is {', '.join(others)}: name that file" if others else ""
        raise UsageError(f"{named}: there is no {NAMES[0]} in this folder{hint}")
    if not os.path.exists(named):
        raise UsageError(f"{named}: there is no such file or folder")
    if not os.path.isfile(named):
        raise UsageError(f"{named}: this is neither a file nor a folder")
    return named


def read_board(named: Path) -> Board:
    """Return the checked board at a file or folder.

    BoardError carries every problem of the board and of the files that it names;
    UsageError where there is no board, MachineError where it may not be read.

    >>> board = read_board(Path("demo_board"))
    >>> board.content.title, len(board.content.panels)
    ('Low Water', 24)
    """
    file = find_board(named)
    try:
        size = file.stat().st_size
        data = file.read_bytes() if size <= _MOST_BYTES else b""
    except OSError as fault:
        raise MachineError(f"{file}: the board cannot be read ({fault.strerror})") from None
    if size > _MOST_BYTES:
        found = f"the file has {size} bytes, too many for a board"
        raise BoardError([Problem(Place(str(file), 1, 1), "", found)])
    return board_from_bytes(data, file)


def board_from_bytes(data: bytes, file: Path) -> Board:
    """Return the checked board that `data` would be as the content of `file`.

    Messages name `file`, and paths start from its folder, whether or not it is written yet.
    """
    tree = parse(data, str(file), is_checked=True)
    if not isinstance(tree.root, dict):
        found = "the file is empty" if tree.root is None else "this is not a board"
        hint = "a board begins with the line: board: 1"
        if isinstance(tree.root, list):
            hint += ", and has its panels under the line: panels:"
        raise BoardError([Problem(Place(str(file), 1, 1), "", found, hint=hint)])
    if lost := _lost_panels(tree.root):
        hint = "write panels: on a line of its own above this panel"
        found = "the line panels: is missing"
        raise BoardError([Problem(tree.place(lost), "the board", found, hint=hint)])
    problems = [*tree.problems, *take_out_bare_words(tree), *null_problems(tree)]
    content, faults = content_of(tree)
    problems += [p for p in faults if not any(p.place == q.place for q in problems)]
    media, spoken = MediaFacts({}, {}, {}), Spoken()
    if content is not None:
        files = named_files(content, file.parent)
        spoken = speak_lines(content)
        media = look_at(
            {f.path for f in files if f.kind == "photo" and f.is_there},
            {f.path for f in files if f.kind == "sound" and f.is_there}
            | set(spoken.files.values()),
        )
        evened = {name for photos in evened_photos(content).values() for name in photos}
        media.lights.update(
            look_at_lights(f.path for f in files if f.kind == "photo" and f.named in evened)
        )
        problems += voice_problems(spoken, content, tree)
        repeated = repeated_shots(content, data, tree.file)
        problems += board_problems(content, files, media, tree, repeated)
        problems += waiting_problems(content, tree)
    if problems or content is None:
        raise BoardError(tree.with_shots(problems))
    return Board(file, content, media, tree, spoken)


def _lost_panels(root: dict[str, Any]) -> KeyPath:
    """Return where panels begin in the list of music, for want of a line `panels:` above them."""
    entries = root.get("music")
    if "panels" not in root and isinstance(entries, list):
        for index, entry in enumerate(entries):
            if isinstance(entry, dict) and "photo" in entry and "file" not in entry:
                return ("music", index)
    return ()


def content_of(tree: Tree) -> tuple[BoardContent | None, list[Problem]]:
    """Return the content and the problems; what is at fault is left out of the content.

    Leaving the faulty values out lets the checks of the whole board run all the same. What
    stands under a misspelt key is taken for the nearest key's, and checked as such.
    """
    root: Any = _without_nulls(tree.root)
    panels = root.get("panels") if isinstance(root, dict) else None
    for index, entry in enumerate(tree.root["panels"] if isinstance(panels, list) else ()):
        if isinstance(entry, dict) and "shot" in entry and entry["shot"] is None:
            root["panels"][index]["shot"] = Absent()
    try:
        return BoardContent.model_validate(root), []
    except ValidationError as fault:
        problems = _respelt(root, fault, tree)
    for attempt in range(8):
        try:
            return BoardContent.model_validate(root), problems
        except ValidationError as fault:
            if attempt == 0:
                problems += problems_from(fault, tree)
            for error in sorted(fault.errors(), key=lambda e: len(e["loc"]), reverse=True):
                _prune(root, error["type"], path_of(error))
    return None, problems


def _respelt(root: Any, fault: ValidationError, tree: Tree) -> list[Problem]:
    """Return a problem for each unknown key, and give those that are nearly one its name."""
    problems: list[Problem] = []
    for _ in range(8):
        unknown = [path_of(e) for e in fault.errors() if e["type"] == "extra_forbidden"]
        if not unknown:
            break
        for path in sorted(unknown, key=len, reverse=True):
            mapping = _inner(root, path[:-1])
            problem, meant = unknown_key(path, mapping.pop(path[-1]), tree)
            problems.append(problem)
            for key, value in meant.items():
                if key not in mapping:
                    mapping[key] = value
                    if len(meant) == 1:
                        tree.respell(path, key)
        try:
            BoardContent.model_validate(root)
            break
        except ValidationError as again:
            fault = again
    return problems


def _inner(root: Any, path: KeyPath) -> Any:
    for key in path:
        root = root[key]
    return root


def _prune(root: Any, kind: str, path: KeyPath) -> None:
    """Take the value at `path` out of the tree, or put a stand-in where one is needed."""
    if not path:
        return
    try:
        root = _inner(root, path[:-1])
        if kind == "missing":
            root[path[-1]] = _STAND_INS.get(str(path[-1]), Absent())
        elif isinstance(root, list):
            at = int(path[-1])
            root[at] = Absent(root[at]) if kind == "board" and isinstance(root[at], str) else {}
        elif kind == "board" and path[0] == "panels" and path[2:] == ("shot",):
            # A shot begins here all the same, whatever it is called.
            root["shot"] = _written(root["shot"])
        else:
            del root[path[-1]]
    except (KeyError, IndexError, TypeError):
        # An error around it took this one's place out already.
        return


def _written(shot: Any) -> Absent:
    """Return a stand-in for the name of a shot that is at fault; one in brackets is meant so."""
    is_one = isinstance(shot, list) and len(shot) == 1
    text = shot[0] if is_one else shot
    return Absent(text if isinstance(text, str) else "")


_STAND_INS: dict[str, Any] = {"board": "1", "panels": [{"photo": Absent(), "shot": "1"}], "to": {}}


def _without_nulls(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _without_nulls(inner) for key, inner in value.items() if inner is not None}
    if isinstance(value, list):
        return [{} if inner is None else _without_nulls(inner) for inner in value]
    return value
