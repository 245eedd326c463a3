"""Small boards in a folder of their own: flat-colour photos, clicks for sounds, YAML as text."""

from __future__ import annotations

import wave
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from textwrap import dedent
from typing import Any

import numpy as np
from PIL import Image

from animatic.board import Board, read_board
from animatic.timeline import Timeline, lay_out
from animatic.timeline.findings import Finding, findings

__all__ = ["HEAD", "BoardFolder", "panels"]

HEAD = "board: 1\npicture: {size: 160x90}\n"
"""The first two lines of most boards here: a picture of 160x90."""


def panels(text: str, head: str = HEAD) -> str:
    """Return a board of these panels; they begin on the line after the head's and `panels:`."""
    return f"{head}panels:\n{dedent(text).strip(chr(10))}\n"


@dataclass(frozen=True)
class BoardFolder:
    """A board's folder, empty at first."""

    folder: Path

    @property
    def file(self) -> Path:
        return self.folder / "board.yaml"

    def path(self, name: str) -> Path:
        """Return a path in the folder, and make the folders above it."""
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        return path

    def photo(
        self,
        name: str = "a.jpg",
        colour: tuple[int, int, int] = (200, 40, 40),
        size: tuple[int, int] = (160, 90),
        **save: Any,
    ) -> Path:
        """Write a photo of one colour."""
        path = self.path(name)
        Image.new("RGB", size, colour).save(path, **save)
        return path

    def sound(
        self,
        name: str = "a.wav",
        samples: int = 48_000,
        clicks: Iterable[int] = (),
        rate: int = 48_000,
        height: float = 0.25,
    ) -> Path:
        """Write a 16-bit mono WAV: silence, with single samples of `height`."""
        sound = np.zeros(samples, "<i2")
        sound[list(clicks)] = round(height * 32_767)
        return self.wave(name, sound, rate)

    def tone(
        self, name: str, samples: int, rate: int = 48_000, hertz: float = 440.0, height: float = 0.2
    ) -> Path:
        """Write a 16-bit mono WAV: a steady sine."""
        sine = np.sin(2 * np.pi * hertz * np.arange(samples) / rate)
        return self.wave(name, np.rint(height * 32_767 * sine).astype("<i2"), rate)

    def wave(self, name: str, sound: np.ndarray[Any, Any], rate: int) -> Path:
        """Write these 16-bit samples as a mono WAV."""
        path = self.path(name)
        with wave.open(str(path), "wb") as file:
            file.setparams((1, 2, rate, 0, "NONE", ""))
            file.writeframes(sound.tobytes())
        return path

    def write(self, text: str | bytes) -> Path:
        """Write the board's file."""
        data = text.encode() if isinstance(text, str) else text
        self.file.write_bytes(data)
        return self.file

    def read(self, text: str | bytes) -> Board:
        """Write the board's file and read it."""
        return read_board(self.write(text))

    def lay_out(self, text: str) -> Timeline:
        """Write the board's file, read it, and lay it out."""
        return lay_out(self.read(text))

    def findings(self, text: str) -> list[Finding]:
        """Write the board's file and return what there is to find in it."""
        board = self.read(text)
        return findings(board, lay_out(board))

    def found(self, kind: str, text: str, head: str = HEAD) -> list[str]:
        """What is found in these panels of one kind, or of all for "": 'line:column: words'."""
        cut = len(f"{self.file}:")
        found = self.findings(panels(text, head))
        return [str(one)[cut:] for one in found if kind in ("", one.kind)]
