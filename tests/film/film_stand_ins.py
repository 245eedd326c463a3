"""Boards, pictures and sound of a known kind for the film's tests, and other readers of films."""

from __future__ import annotations

import subprocess
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import imageio_ffmpeg
import numpy as np

from animatic.frames import Rate
from animatic.timeline.model import Line, Move, Panel, Shot, Timeline, Transition
from animatic.timeline.spans import layers_at

SMALL = (160, 96)


def board(
    lengths: Sequence[int],
    *,
    rate: str = "24",
    size: tuple[int, int] = SMALL,
    lines: dict[int, tuple[Line, ...]] | None = None,
    transitions: dict[int, Transition] | None = None,
    moves: dict[int, Move] | None = None,
    photos: Sequence[Path] = (Path("photo.png"),),
    photo_size: tuple[int, int] = SMALL,
    start: int = 0,
    drop: bool = False,
    title: str = "Low Water",
) -> Timeline:
    """Return a timeline of one shot a panel, named 10, 20, 30 ..."""
    shots, at = [], 0
    for index, frames in enumerate(lengths):
        name = str(10 * (index + 1))
        panel = Panel(
            index,
            1,
            name,
            at,
            at + frames,
            2,
            photos[index % len(photos)],
            photo_size,
            move=(moves or {}).get(index),
            size="WS" if index % 2 else "",
            lines=(lines or {}).get(index, ()),
        )
        transition = (transitions or {}).get(index, Transition())
        shots.append(Shot(index, name, "quay" if index % 2 else "", (panel,), 8, transition))
        at += frames
    return Timeline(title, Rate.named(rate), size, tuple(shots), start=start, drop=drop)


def colour_of(index: int) -> tuple[int, int, int]:
    """Return a colour that tells a panel from its neighbours."""
    return 30 + index * 67 % 200, 30 + index * 113 % 200, 30 + index * 29 % 200


@dataclass
class Flat:
    """Every panel in its own colour; mixes as weighted sums."""

    timeline: Timeline

    def frame(self, number: int) -> np.ndarray:
        width, height = self.timeline.size
        layers = layers_at(self.timeline, number)
        mixed = sum(np.array(colour_of(one.panel.index)) * float(one.weight) for one in layers)
        return np.full((height, width, 3), mixed, np.uint8)


@dataclass
class Noise:
    """Every panel a picture of its own that no encoder finds easy: coarse noise."""

    timeline: Timeline

    def frame(self, number: int) -> np.ndarray:
        width, height = self.timeline.size
        layers = layers_at(self.timeline, number)
        return np.sum(
            [self._panel(one.panel.index, width, height) * float(one.weight) for one in layers],
            axis=0,
        ).astype(np.uint8)

    @staticmethod
    def _panel(index: int, width: int, height: int) -> np.ndarray:
        rough = np.random.default_rng(index).integers(0, 256, (height // 4 + 1, width // 4 + 1, 3))
        return np.kron(rough, np.ones((4, 4, 1)))[:height, :width]


@dataclass
class Drawn:
    """Pictures by a function of the frame."""

    draw: Callable[[int], np.ndarray]

    def frame(self, number: int) -> np.ndarray:
        return self.draw(number)


def flat(colour: int | tuple[int, int, int], size: tuple[int, int] = SMALL) -> np.ndarray:
    return np.full((size[1], size[0], 3), colour, np.uint8)


def silence(timeline: Timeline) -> Iterator[np.ndarray]:
    yield from blocks(np.zeros((timeline.samples, 2), np.float32))


def clicks(*places: int) -> Callable[[Timeline], Iterable[np.ndarray]]:
    """Return a source of silence with single full samples at `places`."""

    def sound(timeline: Timeline) -> Iterator[np.ndarray]:
        whole = np.zeros((timeline.samples, 2), np.float32)
        whole[list(places)] = 0.9
        yield from blocks(whole)

    return sound


def blocks(whole: np.ndarray, block: int = 48_000) -> Iterator[np.ndarray]:
    for first in range(0, len(whole), block):
        yield whole[first : first + block]


def ffmpeg(*arguments: str | Path) -> subprocess.CompletedProcess[bytes]:
    """Run the ffmpeg of imageio-ffmpeg, which is another build than PyAV's."""
    command = [imageio_ffmpeg.get_ffmpeg_exe(), "-hide_banner", "-nostdin", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, check=False)


def strict_hashes(film: Path) -> list[str]:
    """Return ffmpeg's hash of every frame; any fault in the stream fails the test."""
    run = ffmpeg(
        *("-v", "warning", "-xerror", "-err_detect", "explode", "-threads", "1", "-i", film),
        *("-map", "0:v:0", "-fps_mode", "passthrough", "-f", "framemd5", "-"),
    )
    assert (run.returncode, run.stderr.decode()) == (0, "")
    rows = [row.split(",") for row in run.stdout.decode().splitlines() if row[:1] != "#"]
    assert [int(row[2]) for row in rows] == list(range(len(rows))), "the timestamps have gaps"
    return [row[5].strip() for row in rows]


def held(hashes: Sequence[str], timeline: Timeline) -> None:
    """Assert that frames are alike through each panel and differ across each cut."""
    assert len(hashes) == timeline.frames
    for panel in timeline.panels:
        seen = set(hashes[panel.start : panel.end])
        assert len(seen) == 1, f"panel {panel.index} shows {len(seen)} pictures"
        assert panel.start == 0 or hashes[panel.start - 1] != hashes[panel.start]
