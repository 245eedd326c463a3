"""A board of another time: a kept copy, or a git revision, whose files may be gone since.

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
from animatic.board.read import Board, content_of
from animatic.board.text.yamltree import parse
from animatic.board.voices import speak_lines
from animatic.errors import BoardError, UsageError

__all__ = ["board_at_revision", "former_board"]


def former_board(data: bytes, file: Path, label: str) -> Board:
    """Return the board that `data` was, with paths from the folder of `file`.

    Messages name it as `label`. BoardError for what is wrong in the text itself. Whether its
    setups wait for each other is not looked at: only a plan needs that.
    """
    tree = parse(data, label)
    content, problems = content_of(tree)
    if content is None or problems:
        raise BoardError(tree.with_shots(problems))
    files = [f for f in named_files(content, file.parent) if f.kind in ("photo", "sound")]
    spoken = speak_lines(content)
    media = look_at(
        {f.path for f in files if f.kind == "photo" and f.is_there},
        {f.path for f in files if f.kind == "sound" and f.is_there} | set(spoken.files.values()),
    )
    lost = [f for f in files if f.path not in media.photos and f.path not in media.sounds]
    content = _without(content, lost)
    for photo in lost:
        if photo.kind == "photo":
            media.photos[photo.path] = PhotoFacts(1, 1)
    # Kept copies may be older than the rule that a shot is named once.
    found = board_problems(content, [], MediaFacts({}, {}, {}), tree, repeated={})
    if found:
        raise BoardError(tree.with_shots(found))
    return Board(file, content, media, tree, spoken)


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
