"""A board of three short shots, as the tests of the command line have it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from tests.boards import HEAD, BoardFolder, panels

__all__ = ["FOUND", "MAIN", "PLAIN", "process", "small_film"]

MAIN = "from animatic.cli import main; main()"
PLAIN = panels(
    """
    - shot: 10
      photo: a.jpg
      size: WS
      duration: 24f
      dialogue: [{who: Žofie, line: "[sigh] Où?", voice: a.wav}]
    - {photo: b.jpg, duration: 12f}
    - {shot: 20, photo: b.jpg, duration: 24f, sounds: [{file: a.wav}]}
    - {shot: 30b, photo: a.jpg, duration: 12f}
    """,
    f"{HEAD}title: Low Water\nlettering: {{dialogue: false}}\nspeech: {{lead: 0s, tail: 0s}}\n",
)
"""Three shots of 36, 24 and 12 frames at 24, and nothing to find but a short caption."""

FOUND = PLAIN.replace("photo: b.jpg, duration: 12f", "photo: b.jpg, duration: 5f")
"""The same with a panel of five frames."""


def small_film(folder: Path) -> BoardFolder:
    """Make a folder with the board, its photos and its sound."""
    folder.mkdir()
    board = BoardFolder(folder)
    board.photo("a.jpg", (200, 40, 40))
    board.photo("b.jpg", (40, 40, 200))
    board.sound(samples=48_000, clicks=[24_000])
    board.write(PLAIN)
    return board


def process(
    *arguments: str, code: str = MAIN, **more: object
) -> subprocess.CompletedProcess[bytes]:
    """Run a command in a process of its own."""
    command = [sys.executable, "-c", code, *arguments]
    return subprocess.run(command, capture_output=True, check=False, **more)  # type: ignore[call-overload,no-any-return]
