"""An hour of sound: memory and time, run by hand, `python tests/bench/long_sound.py [minutes]`.

A film of one-minute shots with music that repeats, a line every 8 s and an effect every 5 s.
Each figure is of a whole process of its own. At -14 LUFS the limiter works through the film.
"""

from __future__ import annotations

import multiprocessing
import os
import platform
import sys
import tempfile
from pathlib import Path

import numpy as np
import soundfile
from main_job import Run, animatic, run
from PIL import Image

MIX = (
    "import sys; from pathlib import Path\n"
    "from animatic.board import read_board\n"
    "from animatic.sound import find_programme, mix_blocks\n"
    "from animatic.timeline import lay_out\n"
    "timeline = lay_out(read_board(Path(sys.argv[1])))\n"
    "found = find_programme(timeline)\n"
    "assert sum(len(b) for b in mix_blocks(timeline, programme=found)) == timeline.samples\n"
)


def make_sounds(folder: Path) -> None:
    """Write a photo and three sounds."""
    Image.new("RGB", (320, 180), (90, 90, 110)).save(folder / "p.jpg")
    random = np.random.default_rng(1)
    swell = np.repeat(random.uniform(0.1, 1, 180), 44_100 // 2)[:, np.newaxis]
    tide = 0.1 * swell * random.standard_normal((len(swell), 2))
    soundfile.write(folder / "tide.flac", tide.clip(-1, 1), 44_100)
    soundfile.write(folder / "line.wav", 0.1 * random.standard_normal(96_000).clip(-4, 4), 48_000)
    fall = np.exp(-np.arange(24_000) / 2000)
    soundfile.write(folder / "hit.wav", 0.9 * fall * random.uniform(-1, 1, 24_000), 48_000)


def write_board(folder: Path, minutes: int, loudness: str) -> None:
    """Write the board."""
    lines = ", ".join(
        f"{{who: Odd, line: The tide is late., voice: line.wav, at: {at}s}}"
        for at in range(1, 58, 8)
    )
    hits = ", ".join(f"{{file: hit.wav, at: {at}s, pan: 0.3}}" for at in range(0, 60, 5))
    rows = "".join(
        f"  - {{shot: {n}, photo: p.jpg, duration: 60s, dialogue: [{lines}], sounds: [{hits}]}}\n"
        for n in range(minutes)
    )
    text = (
        f"board: 1\npicture: {{size: 320x180}}\nmix: {{loudness: {loudness}}}\n"
        f"music: [{{file: tide.flac, loop: true}}]\npanels:\n{rows}"
    )
    (folder / "board.yaml").write_text(text, encoding="utf-8")


def main() -> None:
    """Print the table."""
    minutes = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    print(f"{platform.platform()}, Python {platform.python_version()}, {os.cpu_count()} cores")
    rows: list[tuple[str, Run]] = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        # In a process of its own: a child's peak memory begins at its parent's.
        making = multiprocessing.get_context("spawn").Process(target=make_sounds, args=(folder,))
        making.start()
        making.join()
        board = str(folder / "board.yaml")
        for loudness in ("none", "-23", "-14"):
            write_board(folder, minutes, loudness)
            found = run("-c", MIX, board, cache=folder / "cache")
            rows.append((f"{minutes} min of sound, loudness {loudness}", found))
        found = run(*animatic("assemble", board), cache=folder / "cache")
        rows.append((f"assemble {minutes} min, loudness -14", found))
        found = run(*animatic("assemble", board), cache=folder / "cache")
        rows.append(("assemble it again", found))
        for what, figure in rows:
            print(f"{what:<40}{figure.seconds:>8.1f} s{figure.megabytes:>8.0f} MB   below 400 MB")


if __name__ == "__main__":
    main()
