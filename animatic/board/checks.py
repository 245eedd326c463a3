"""What must hold across a board: names, references, files, and lengths that fit together."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from pydantic import BaseModel

from animatic.board.beatfile import read_beats
from animatic.board.keys.durations import Duration
from animatic.board.keys.rule import Absent, shortened
from animatic.board.keys.schema import BoardContent, BoxEntry
from animatic.board.media import MediaFacts
from animatic.board.missing import not_there
from animatic.board.shotnames import name_problems, setup_problems
from animatic.board.text.yamltree import KeyPath, Tree, key_words
from animatic.errors import MediaError, Problem
from animatic.frames import Rate
from animatic.photofile import RAW
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


def named_files(
    content: BoardContent, folder: Path, *, with_parked: bool = False
) -> list[NamedFile]:
    """Return every file that a board in `folder` names, in the board's order.

    What is parked is not in the film, and its files only count `with_parked`.
    """
    found: list[NamedFile] = []

    def add(kind: FileKind, named: str | None, *key: str | int) -> None:
        if named and not isinstance(named, Absent):
            found.append(NamedFile(kind, named, (folder / named).absolute(), key))

    add("font", content.lettering.font, "lettering", "font")
    for i, music in enumerate(content.music) if with_parked else content.played:
        add("sound", music.file, "music", i, "file")
        add("beats", music.beats, "music", i, "beats")
    for home, panels in (("panels", content.panels), ("parked", content.parked)):
        for i, panel in enumerate(panels if home == "panels" or with_parked else []):
            add("photo", panel.photo, home, i, "photo")
            for j, line in enumerate(panel.dialogue):
                add("sound", line.voice, home, i, "dialogue", j, "voice")
            for j, sound in enumerate(panel.sounds):
                add("sound", sound.file, home, i, "sounds", j, "file")
    return found


def board_problems(
    content: BoardContent,
    files: list[NamedFile],
    media: MediaFacts,
    tree: Tree,
    repeated: Mapping[int, int],
) -> list[Problem]:
    """Return every problem that no single value shows; `repeated` as of `repeated_shots`."""
    return [
        *_file_problems(content, files, media, tree),
        *name_problems(content, tree, repeated),
        *setup_problems(content, tree, repeated),
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
            yield Problem(place, words, *not_there(file.named, file.path, file.kind, folder))
        elif file.kind in ("font", "beats"):
            if fault := _FAULTS[file.kind](file.path):
                yield Problem(place, words, f"{file.words}: {fault}")
        elif fault := media.faults.get((file.kind, file.path), ""):
            yield Problem(place, words, f"{file.words}: {fault}", hint=_way_out(file))


def _way_out(file: NamedFile) -> str:
    """Return what to do about a file that cannot be read."""
    if file.kind != "photo":
        return "export it again"
    if file.path.suffix.lower() in RAW:
        return "export it as JPEG or TIFF, and name that"
    return "copy it again from the card"


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


def _length_problems(content: BoardContent, tree: Tree) -> Iterator[Problem]:
    """Frames beyond the rate in timecode lengths, a start label that is none."""
    rate = Rate.named(content.rate)
    try:
        frames_from_label(content.start, rate)
    except ValueError as fault:
        plain, hint = content.start.replace(";", ":"), ""
        if content.start != plain and not rate.has_drop_frame:
            hint = f"write {plain}: drop-frame skips labels at 29.97 and 59.94 to keep to the clock"
            if rate.fps.denominator == 1:
                hint += f"; at {rate} a second has whole frames, and there is nothing to skip"
        yield Problem(tree.place(("start",)), "start", str(fault), hint=hint)
    for key, length in _lengths(content, ()):
        if ":" in length.text and length.frames >= rate.nominal:
            found = f"{length} has {length.frames} frames in its last part"
            allowed = f"frames 00 to {rate.nominal - 1} at {rate}"
            hint = "the last two digits count frames"
            yield Problem(tree.place(key), key_words(key), found, allowed, hint)


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
                continue
            over = max(box.left + box.width, box.top + box.height)
            if over > 1:
                found = "the rectangle stands out over the photo"
                allowed = "left + width and top + height at most 1"
                yield Problem(tree.place(key), key_words(key), found, allowed)
            elif not box.width or not box.height:
                found = "the rectangle has no area"
                allowed = "width and height above 0"
                yield Problem(tree.place(key), key_words(key), found, allowed)
