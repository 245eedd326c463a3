"""A board of another time: a copy, or a git revision, whose files may be gone since or elsewhere.

It is read to be compared with, not to be assembled, so a photo or sound that is no longer
there is no problem: a line then takes the time its words need.
"""

from __future__ import annotations

import subprocess
from pathlib import Path
from typing import Any

from animatic.board.checks import NamedFile, board_problems, named_files
from animatic.board.keys.schema import BoardContent
from animatic.board.media import MediaFacts, PhotoFacts, look_at
from animatic.board.read import Board, content_of, resolve
from animatic.board.shotnames import repeated_shots
from animatic.board.text.yamltree import Tree, key_words, parse
from animatic.board.voices import speak_lines
from animatic.board.waiting import waiting_problems
from animatic.errors import BoardError, Problem, UsageError, listed
from animatic.words import counted

__all__ = ["board_at_revision", "copy_of_board", "former_board"]


def former_board(data: bytes, file: Path, label: str) -> Board:
    """Return the board that `data` was, with paths from the folder of `file`.

    Messages name it as `label`. BoardError for what is wrong in the text itself. Whether its
    setups wait for each other is not looked at: only a plan needs that.
    """
    tree, content = _text(data, label)
    # Kept copies may be older than the rule that a shot is named once.
    _refuse(tree, board_problems(content, [], MediaFacts({}, {}, {}), tree, repeated={}))
    return _without_lost(file, content, tree)[0]


def copy_of_board(file: Path, others: Path) -> tuple[Board, list[str]] | None:
    """Return a board some of whose files are not beside it, and which of them are nowhere.

    They are looked for in the folder `others` too, by the same names. None where all are beside
    it, or the file is no board at all. BoardError for what is wrong in the text, and where a
    length hangs on a lost recording.
    """
    data = file.read_bytes()
    if not isinstance(parse(data, str(file)).root, dict):
        return None
    tree, content = _text(data, str(file))
    if all(one.is_there for one in _media_files(content, file.parent)):
        return None
    problems = board_problems(
        content, [], MediaFacts({}, {}, {}), tree, repeated_shots(content, data, tree.file)
    )
    _refuse(tree, [*problems, *waiting_problems(content, tree)])
    board, lost = _without_lost(file, content, tree, others)
    _refuse(tree, _lengths_lost(content, tree, {one.named for one in lost}, others))
    return board, list(dict.fromkeys(one.named for one in lost))


def _text(data: bytes, label: str) -> tuple[Tree, BoardContent]:
    """Return what a text says as a board; BoardError where it is none."""
    tree = parse(data, label)
    content, problems = content_of(tree)
    if content is None or problems:
        raise BoardError(tree.with_shots(problems))
    return tree, content


def _refuse(tree: Tree, problems: list[Problem]) -> None:
    if problems:
        raise BoardError(tree.with_shots(problems))


def _media_files(content: BoardContent, folder: Path) -> list[NamedFile]:
    return [f for f in named_files(content, folder) if f.kind in ("photo", "sound")]


def _without_lost(
    file: Path, content: BoardContent, tree: Tree, others: Path | None = None
) -> tuple[Board, list[NamedFile]]:
    """Return the board without the files that are lost, and these.

    What is not beside it and is in the folder `others` counts as if it were beside it.
    """
    files = _media_files(content, file.parent)
    at = {f.path: f.path if f.is_there or not others else resolve(others, f.named) for f in files}
    spoken = speak_lines(content)
    seen = look_at(
        {at[f.path] for f in files if f.kind == "photo" and at[f.path].is_file()},
        {at[f.path] for f in files if f.kind == "sound" and at[f.path].is_file()}
        | set(spoken.files.values()),
    )
    media = MediaFacts(dict(seen.photos), dict(seen.sounds), seen.faults)
    for path, real in at.items():
        if real in seen.photos:
            media.photos[path] = seen.photos[real]
        if real in seen.sounds:
            media.sounds[path] = seen.sounds[real]
    lost = [f for f in files if f.path not in media.photos and f.path not in media.sounds]
    for photo in lost:
        if photo.kind == "photo":
            media.photos[photo.path] = PhotoFacts(1, 1)
    return Board(file, _without(content, lost), media, tree, spoken), lost


def _lengths_lost(content: BoardContent, tree: Tree, lost: set[str], others: Path) -> list[Problem]:
    """Return the problem of panels that are as long as recordings that are lost, if there are."""
    found = [
        (index, line.voice)
        for index, panel in enumerate(content.panels)
        if panel.duration is None and any(line.over == "no" for line in panel.dialogue)
        for line in panel.dialogue
        if line.voice in lost
    ]
    if not found:
        return []
    names = listed(list(dict.fromkeys(str(voice) for _, voice in found)))
    is_one = len({voice for _, voice in found}) == 1
    count = len({index for index, _ in found})
    what = f"{counted(count, 'panel')} {'is' if count == 1 else 'are'} as long as {names},"
    what += f" which {'is' if is_one else 'are'} neither beside this board nor in {others}"
    hint = "put this copy into the folder where its sounds are, and compare again"
    key = ("panels", found[0][0], "dialogue")
    return [Problem(tree.place(key), key_words(key), what, hint=hint)]


def _without(content: BoardContent, lost: list[NamedFile]) -> BoardContent:
    """Return the content without the sounds that are lost."""
    gone = {file.named for file in lost if file.kind == "sound"}
    if not gone:
        return content
    panels = []
    for panel in content.panels:
        lines = [
            line.model_copy(update={"voice": None}) if line.voice in gone else line
            for line in panel.dialogue
        ]
        sounds = [sound for sound in panel.sounds if sound.file not in gone]
        panels.append(panel.model_copy(update={"dialogue": lines, "sounds": sounds}))
    music = [piece for piece in content.music if piece.parked or piece.file not in gone]
    update: dict[str, Any] = {"panels": panels, "music": music}
    return content.model_copy(update=update)


def board_at_revision(file: Path, revision: str) -> Board:
    """Return a board as it was at a git revision; UsageError where git cannot give it."""
    if not revision or revision.startswith("-"):
        raise UsageError(f"{revision!r} is no git revision; name one as HEAD~3, a tag or a commit")
    folder = file.absolute().parent
    command = ["git", "-C", str(folder), "show", f"{revision}:./{file.name}"]
    try:
        shown = subprocess.run(command, capture_output=True, check=False)
    except OSError:
        raise UsageError("git is not on this machine; compare two board files instead") from None
    if shown.returncode:
        said = shown.stderr.decode(errors="replace").strip().splitlines()
        why = said[-1].removeprefix("fatal: ") if said else "it gave no reason"
        raise UsageError(f"git has no {file.name} at {revision}: {why}")
    return former_board(shown.stdout, file, f"{file.name} at {revision}")
