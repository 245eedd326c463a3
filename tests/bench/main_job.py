"""How long the main job takes, and how much memory: run by hand, `python tests/bench/main_job.py`.

Every figure is of a whole process of its own. Peers run in the same run, so that figures are
ratios on one machine: `python -c pass` for the start, one PyAV encoder for every frame for the
film.
"""

from __future__ import annotations

import os
import platform
import resource
import shutil
import subprocess
import sys
import tempfile
import time
import wave
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image

ROOT = Path(__file__).parent.parent.parent
DEMO = ROOT / "demo_board"


@dataclass(frozen=True)
class Run:
    """Wall time in seconds and peak memory in MB of one process."""

    seconds: float
    megabytes: float


def run(*arguments: str, cache: Path) -> Run:
    """Run one process to its end and measure it alone."""
    environment = {**os.environ, "XDG_CACHE_HOME": str(cache)}
    # Compiled Python files are kept, as wherever a program is run for the second time.
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    began = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, *arguments], stdout=subprocess.DEVNULL, env=environment
    )
    _, status, usage = os.wait4(process.pid, 0)
    seconds = time.perf_counter() - began
    if status:
        raise SystemExit(f"{' '.join(arguments)} ended with status {status}")
    return Run(seconds, usage.ru_maxrss / 1024)


def best(times: int, *arguments: str, cache: Path) -> Run:
    """Return the quickest of several runs."""
    return min((run(*arguments, cache=cache) for _ in range(times)), key=lambda r: r.seconds)


def animatic(*arguments: str) -> tuple[str, ...]:
    return ("-c", "from animatic.cli import main; main()", *arguments)


def make_board(folder: Path, panels: int, size: tuple[int, int], photos: int) -> None:
    """Write a board with noise photos, each panel 1 s or 2 s on twos."""
    folder.mkdir(parents=True)
    random = np.random.default_rng(1)
    for number in range(photos):
        small = random.integers(0, 255, (size[1] // 8, size[0] // 8, 3), dtype=np.uint8)
        Image.fromarray(small).resize(size).save(folder / f"p{number}.jpg", quality=88)
    rows = "".join(
        f"  - {{shot: {n}, photo: p{n % photos}.jpg, size: WS, duration: {1 + n % 2}s}}\n"
        for n in range(panels)
    )
    text = f"board: 1\npanels:\n{rows}"
    (folder / "board.yaml").write_text(text, encoding="utf-8")


def add_music(folder: Path, seconds: int) -> None:
    """Put a silent piece of music with beats under the board in a folder."""
    with wave.open(str(folder / "music.wav"), "wb") as file:
        file.setparams((1, 2, 8000, 0, "NONE", ""))
        file.writeframes(bytes(2 * 8000 * seconds))
    board = folder / "board.yaml"
    text = board.read_text(encoding="utf-8")
    music = "music: [{file: music.wav, bpm: 97, first_beat: 0.4s}]"
    board.write_text(text.replace("board: 1", f"board: 1\n{music}"), encoding="utf-8")


def demo_evened(folder: Path) -> str:
    """Copy the demo, with the photos of its setups to be evened."""
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("out", ".animatic", "set"))
    board = folder / "board.yaml"
    text = board.read_text(encoding="utf-8")
    board.write_text(text.replace("fit: cover}", "fit: cover, level: even}", 1), encoding="utf-8")
    return str(folder)


def main() -> None:
    """Print the table."""
    print(f"{platform.platform()}, Python {platform.python_version()}, {os.cpu_count()} cores")
    rows: list[tuple[str, str, str]] = []
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        cache = place / "cache"
        start = best(5, "-c", "pass", cache=cache)
        helped = best(5, *animatic("--help"), cache=cache)
        rows.append(("python -c pass", f"{start.seconds:.2f} s", ""))
        rows.append(("animatic --help", f"{helped.seconds:.2f} s", "below 0.25 s"))
        make_board(place / "thousand", 1000, (640, 427), 1000)
        for command in ("check", "shots"):
            cold = run(*animatic(command, str(place / "thousand")), cache=cache)
            warm = best(3, *animatic(command, str(place / "thousand")), cache=cache)
            rows.append((f"{command}, 1000 panels, first time", f"{cold.seconds:.2f} s", ""))
            rows.append((f"{command}, 1000 panels", f"{warm.seconds:.2f} s", "below 1.5 s"))
        add_music(place / "thousand", 1500)
        fitted = best(3, *animatic("fit", str(place / "thousand"), "--beats"), cache=cache)
        rows.append(("fit --beats, 1000 panels", f"{fitted.seconds:.2f} s", "below 2 s"))
        out = ("--out", str(place / "out"))
        cold = run(*animatic("assemble", str(DEMO), *out), cache=place / "cold")
        warm = run(*animatic("assemble", str(DEMO), *out), cache=place / "cold")
        rows.append(("assemble the demo, 1080p", f"{cold.seconds:.1f} s", "below 25 s"))
        rows.append(("assemble it again", f"{warm.seconds:.1f} s", ""))
        evened = animatic("check", demo_evened(place / "evened"))
        cold, warm = (run(*evened, cache=place / "e") for _ in range(2))
        figure = f"{cold.megabytes:.0f} MB, {cold.seconds:.1f} s"
        rows.append(("check, 24 photos evened, first time", figure, ""))
        rows.append(("check them again", f"{warm.seconds:.1f} s", ""))
        for panels in (40, 400):
            make_board(place / f"b{panels}", panels, (4000, 3000), 40)
            used = run(*animatic("assemble", str(place / f"b{panels}"), *out), cache=place / "m")
            figure = f"{used.megabytes:.0f} MB, {used.seconds:.1f} s"
            rows.append((f"{panels} panels of 12 MP, peak memory", figure, "below 700 MB"))
    for what, found, wanted in rows:
        print(f"{what:<44}{found:>20}   {wanted}")
    print(f"this script itself: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MB")


if __name__ == "__main__":
    main()
