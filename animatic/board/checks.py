"""What must hold across a board: names, references, files, and lengths that fit together."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from pydantic import BaseModel

from animatic.board.beatfile import read_beats
from animatic.board.durations import Duration
from animatic.board.fields import Absent, shortened
from animatic.board.media import MediaFacts
from animatic.board.schema import BoardContent, BoxEntry
from animatic.board.yamltree import KeyPath, Tree, key_words
from animatic.errors import MediaError, Problem, nearest
from animatic.frames import Rate
from animatic.timecode import frames_from_label

__all__ = ["NamedFile", "board_problems", "named_files"]


FileKind = Literal["photo", "sound", "font", "beats"]


@dataclass(frozen=True, slots=True)
class NamedFile:
    """A file that the board names, and where it does."""

    kind: FileKind
    named: str
    path: Path
    key: KeyPath

    @property
    def words(self) -> str:
        """Its name as a message quotes it."""
        return shortened(self.named)

    @property
    def is_there(self) -> bool:
        """Whether it is a file at all."""
        return os.path.isfile(self.path)


def named_files(content: BoardContent, folder: Path) -> list[NamedFile]:
    """Return every file that a board in `folder` names, in the board's order."""
    found: list[NamedFile] = []

    def add(kind: FileKind, named: str | None, *key: str | int) -> None:
        if named and not isinstance(named, Absent):
            found.append(NamedFile(kind, named, (folder / named).absolute(), key))

    add("font", content.lettering.font, "lettering", "font")
    for i, music in enumerate(content.music):
        add("sound", music.file, "music", i, "file")
        add("beats", music.beats, "music", i, "beats")
    for i, panel in enumerate(content.panels):
        add("photo", panel.photo, "panels", i, "photo")
        for j, line in enumerate(panel.dialogue):
            add("sound", line.voice, "panels", i, "dialogue", j, "voice")
        for j, sound in enumerate(panel.sounds):
            add("sound", sound.file, "panels", i, "sounds", j, "file")
    return found


def board_problems(
    content: BoardContent, files: list[NamedFile], media: MediaFacts, tree: Tree
) -> list[Problem]:
    """Return every problem that no single value shows."""
    return [
        *_file_problems(content, files, media, tree),
        *_name_problems(content, tree),
        *_setup_problems(content, tree),
        *_length_problems(content, tree),
        *_crop_problems(content, tree),
    ]


def _file_problems(
    content: BoardContent, files: list[NamedFile], media: MediaFacts, tree: Tree
) -> Iterator[Problem]:
    folder = _real(Path(tree.file).parent)
    for file in files:
        place, words = tree.place(file.key), key_words(file.key)
        is_inside = _real(file.path).is_relative_to(folder)
        if content.outside == "refuse" and not is_inside:
            found = f"{file.words} lies outside the board's folder"
            hint = "copy it in, or write outside: allow at the top of the board"
            yield Problem(place, words, found, hint=hint)
        elif not file.is_there:
            yield Problem(place, words, *_missing(file))
        elif file.kind in ("font", "beats"):
            if fault := _FAULTS[file.kind](file.path):
                yield Problem(place, words, f"{file.words}: {fault}")
        elif fault := media.faults.get((file.kind, file.path), ""):
            hint = "copy it again from the card" if file.kind == "photo" else "export it again"
            yield Problem(place, words, f"{file.words}: {fault}", hint=hint)


def _real(path: Path) -> Path:
    """Return a path with its links followed; one that leads in a circle is followed no further."""
    return Path(os.path.realpath(path))


def _font_fault(path: Path) -> str:
    from animatic.fonts import missing_characters

    try:
        missing_characters("", path)
    except MediaError as fault:
        return str(fault).removeprefix(f"{path}: ")
    return ""


def _beats_fault(path: Path) -> str:
    try:
        read_beats(path)
    except MediaError as fault:
        return str(fault)
    return ""


_FAULTS: dict[FileKind, Callable[[Path], str]] = {"font": _font_fault, "beats": _beats_fault}


def _missing(file: NamedFile) -> tuple[str, str, str]:
    """Return what was found, what is allowed and a hint for a file that is not there."""
    if os.path.islink(file.path) and not os.path.exists(file.path):
        target = os.readlink(file.path)
        return f"{file.words} is a link to {target}, which is not there", "", ""
    if os.path.isdir(file.path):
        return f"{file.words} is a folder", f"a {file.kind} file", ""
    if os.path.exists(file.path):
        return f"{file.words} is no regular file", f"a {file.kind} file", ""
    try:
        others = os.listdir(file.path.parent)
    except PermissionError:
        return f"{file.words} cannot be looked for", "", "its folder may not be opened"
    except OSError:
        return f"{file.words} is not there", "", "its folder is not there either"
    close = _closest(file.path.name, others)
    hint = f"there is {Path(file.named).with_name(close).as_posix()}" if close else ""
    return f"{file.words} is not there", "", hint


def _closest(name: str, others: list[str]) -> str:
    """Return the file most likely meant: the same name in other capitals, or a near one."""
    same = (other for other in others if other.casefold() == name.casefold())
    return next(same, "") or nearest(name, others, least=0.85)


def _name_problems(content: BoardContent, tree: Tree) -> Iterator[Problem]:
    """Shots that come back, panels before the first shot, music from shots that are not."""
    first_at: dict[str, int] = {}
    current = None
    for i, panel in enumerate(content.panels):
        if panel.shot is None or panel.shot == current:
            if current is None and _names_no_shot(tree, i):
                hint = "give the first panel a shot, as shot: 10"
                found = "the first panel names no shot"
                yield Problem(tree.place(("panels", i)), key_words(("panels", i)), found, hint=hint)
                current = ""
            continue
        current = panel.shot
        if current in first_at:
            key = ("panels", i, "shot")
            line = tree.place(("panels", first_at[current], "shot")).line
            found = f"shot {current} was there before, on line {line}, and other shots since"
            hint = f"one shot lies from cut to cut: name this one {_free_name(current, content)}"
            yield Problem(tree.place(key), key_words(key), found, hint=hint)
        first_at.setdefault(current, i)
    for i, music in enumerate(content.music):
        for word, name in (("from", music.from_), ("until", music.until)):
            if name is not None and name not in first_at:
                yield _unknown(tree, ("music", i, word), f"shot {name}", list(first_at), "shot")
        starts, ends = first_at.get(music.from_ or ""), first_at.get(music.until or "")
        if starts is not None and ends is not None and ends < starts:
            key = ("music", i, "until")
            found = f"shot {music.until} comes before shot {music.from_}"
            yield Problem(tree.place(key), key_words(key), found, hint="swap the two")


def _names_no_shot(tree: Tree, panel: int) -> bool:
    """Whether a panel was written without a shot: not one whose shot is at fault itself."""
    written = tree.root["panels"][panel]
    return isinstance(written, dict) and "shot" not in written


def _free_name(name: str, content: BoardContent) -> str:
    taken = {panel.shot for panel in content.panels}
    letters = (f"{name}{letter}" for letter in "BCDEFGHJKLMNPQRSTUVWXYZ")
    return next((free for free in letters if free not in taken), f"{name}-again")


def _unknown(tree: Tree, key: KeyPath, found: str, known: list[str], kind: str) -> Problem:
    close = nearest(found.removeprefix("shot "), known)
    hint = f"did you mean {close}?" if close else ""
    shown = ", ".join(known[:12]) + (" ..." if len(known) > 12 else "")
    return Problem(
        tree.place(key), key_words(key), f"there is no {found}", f"a {kind}: {shown}", hint
    )


def _setup_problems(content: BoardContent, tree: Tree) -> Iterator[Problem]:
    setup: str | None = None
    begun = 0
    current = None
    for i, panel in enumerate(content.panels):
        key = ("panels", i, "setup")
        is_new = panel.shot is not None and panel.shot != current
        if is_new:
            current, setup, begun = panel.shot, panel.setup, i
        if panel.setup is None:
            continue
        if panel.setup not in content.setups and tree.values.get(("setups", panel.setup)) is None:
            known = list(content.setups)
            if known:
                yield _unknown(tree, key, f"setup {panel.setup}", known, "setup")
            else:
                found = f"there is no setup {panel.setup}"
                hint = f"write setups: with {panel.setup}: {{place: ...}} under it"
                yield Problem(tree.place(key), key_words(key), found, hint=hint)
        if not is_new and setup is not None and panel.setup != setup:
            line = tree.place(("panels", begun)).line
            found = f"setup {panel.setup} within a shot that began on line {line} on {setup}"
            hint = "another camera set-up is another shot: give this panel a shot of its own"
            yield Problem(tree.place(key), key_words(key), found, hint=hint)
        setup = setup or panel.setup


def _length_problems(content: BoardContent, tree: Tree) -> Iterator[Problem]:
    """Frames beyond the rate in timecode lengths, a start label that is none."""
    rate = Rate.named(content.rate)
    try:
        frames_from_label(content.start, rate)
    except ValueError as fault:
        yield Problem(tree.place(("start",)), "start", str(fault))
    for key, length in _lengths(content, ()):
        if ":" in length.text and length.frames >= rate.nominal:
            found = f"{length} has {length.frames} frames in its last part"
            allowed = f"frames to {rate.nominal - 1} at {rate}"
            yield Problem(tree.place(key), key_words(key), found, allowed)


def _lengths(value: object, key: KeyPath) -> Iterator[tuple[KeyPath, Duration]]:
    if isinstance(value, Duration):
        yield key, value
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from _lengths(inner, (*key, index))
    elif isinstance(value, dict):
        for name, inner in value.items():
            yield from _lengths(inner, (*key, name))
    elif isinstance(value, BaseModel):
        for name, field in type(value).model_fields.items():
            yield from _lengths(getattr(value, name), (*key, field.alias or name))


def _crop_problems(content: BoardContent, tree: Tree) -> Iterator[Problem]:
    for i, panel in enumerate(content.panels):
        boxes: list[tuple[KeyPath, BoxEntry | None]] = [(("panels", i, "crop"), panel.crop)]
        if panel.move is not None:
            boxes.append((("panels", i, "move", "to"), panel.move.to))
        for key, box in boxes:
            if box is None:
                continue
            if box.tighten is not None and len(box.model_fields_set) > 1:
                found = "tighten stands beside the sides of a rectangle"
                hint = "tighten is a framing of its own: leave one of them out"
                yield Problem(tree.place(key), key_words(key), found, hint=hint)
            over = max(box.left + box.width, box.top + box.height)
            if over > 1:
                found = "the rectangle stands out over the photo"
                allowed = "left + width and top + height at most 1"
                yield Problem(tree.place(key), key_words(key), found, allowed)
            elif not box.width or not box.height:
                found = "the rectangle has no area"
                allowed = "width and height above 0"
                yield Problem(tree.place(key), key_words(key), found, allowed)
