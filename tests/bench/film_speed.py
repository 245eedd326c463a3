"""The film writer against its peers, all in one run: `python tests/bench/film_speed.py [--quick]`.

40 photos of 12 MP, 3 s each, 1080p at 24 frames a second. Peers: one ffmpeg command (concat,
veryfast; the binary that imageio-ffmpeg brings), the same with drawtext counting frames, stock
moviepy concatenation, plain and with a label on each clip, and PyAV coding every frame. Ours
includes sound; theirs does not. Each figure is of a whole process, the quickest of three where
it is short. Then films of 40 to 1000 panels. `--quick` leaves moviepy out.
"""

from __future__ import annotations

import multiprocessing
import os
import platform
import subprocess
import sys
import tempfile
import time
import wave
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import imageio_ffmpeg
import numpy as np
from PIL import Image, ImageOps

from animatic.fonts import font_file

PHOTOS, SECONDS, RATE, SIZE = 40, 3, 24, (1920, 1080)
ROOT = Path(__file__).parent.parent.parent
OURS = "from animatic.cli import main; main()"

COUNTING = f",drawtext=fontfile={font_file(None)}:text=%{{n}}:fontsize=48:x=40:y=40"
WANTED = [
    ("ffmpeg", "ours, cold", "4"),
    ("moviepy, labelled", "ours, cold", "25"),
    ("moviepy, plain", "ours, cold", ""),
    ("PyAV, every frame", "ours, cold", ""),
    ("ffmpeg", "ours, retimed, sound anew", ""),
    ("ffmpeg", "ours, retimed, sound known", "15"),
    ("ffmpeg with drawtext", "ours, counter, cold", "4"),
]

MOVIEPY = f"""
import sys
from pathlib import Path
from moviepy import ColorClip, CompositeVideoClip, ImageClip, TextClip, concatenate_videoclips
folder, labelled, font = Path(sys.argv[1]), sys.argv[2] == "labelled", sys.argv[3]
clips = []
for number in range({PHOTOS}):
    clip = ImageClip(str(folder / f"p{{number}}.jpg")).resized({SIZE}).with_duration({SECONDS})
    if labelled:
        text = TextClip(font=font, text=str(number), font_size=48, color="white", bg_color="black")
        clip = CompositeVideoClip([clip, text.with_duration({SECONDS})])
    clips.append(clip)
film = concatenate_videoclips(clips)
film.write_videofile(
    str(folder / "moviepy.mp4"), fps={RATE}, codec="libx264", preset="veryfast", logger=None
)
"""

PYAV = f"""
import sys
from pathlib import Path
import av
from PIL import Image, ImageOps
folder = Path(sys.argv[1])
with av.open(str(folder / "pyav.mp4"), "w") as film:
    stream = film.add_stream("libx264", rate={RATE}, options={{"preset": "veryfast", "crf": "20"}})
    stream.width, stream.height = {SIZE}
    stream.pix_fmt = "yuv420p"
    for number in range({PHOTOS}):
        with Image.open(folder / f"p{{number}}.jpg") as photo:
            picture = ImageOps.fit(photo.convert("RGB"), {SIZE})
        for _ in range({SECONDS * RATE}):
            film.mux(stream.encode(av.VideoFrame.from_image(picture)))
    film.mux(stream.encode())
"""


def make_photos(folder: Path) -> None:
    """Write photos of 12 MP: the demo's, enlarged, with the grain of a sensor of that size."""
    random = np.random.default_rng(5)
    sources = sorted((ROOT / "demo_board/photos").glob("*.jpg"))
    for number in range(PHOTOS):
        with Image.open(sources[number % len(sources)]) as small:
            picture = ImageOps.fit(ImageOps.exif_transpose(small), (4000, 3000))
        if number >= len(sources):
            picture = ImageOps.mirror(picture)
        grain = 4 * random.standard_normal((3000, 4000, 3), dtype=np.float32)
        pixels = (np.asarray(picture) + grain).clip(0, 255).astype(np.uint8)
        Image.fromarray(pixels).save(folder / f"p{number}.jpg", quality=90)


def make_hard_photos(folder: Path) -> None:
    """Write photos of 12 MP with noise at every scale: hard to code, as no real photo is."""
    random = np.random.default_rng(5)
    for number in range(PHOTOS):
        picture = Image.new("RGB", (4000, 3000), (110, 110, 110))
        for cells in (8, 60, 500):
            grid = random.integers(0, 255, (cells * 3 // 4, cells, 3), dtype=np.uint8)
            layer = Image.fromarray(grid).resize(picture.size, Image.Resampling.BICUBIC)
            picture = Image.blend(picture, layer, 0.4)
        picture.save(folder / f"p{number}.jpg", quality=90)


def write_board(folder: Path, seconds: float, panels: int = PHOTOS, photos: str = "") -> None:
    """Write a board, with music so that there is sound to code."""
    if not (folder / "tone.wav").exists():
        tone = np.sin(np.arange(48_000 * 30) * 440 * 2 * np.pi / 48_000) * 8000
        with wave.open(str(folder / "tone.wav"), "wb") as file:
            file.setparams((1, 2, 48_000, 0, "NONE", ""))
            file.writeframes(tone.astype("<i2").tobytes())
    rows = "".join(
        f"  - {{shot: {n}, photo: {photos}p{n % PHOTOS}.jpg, duration: {seconds}s}}\n"
        for n in range(panels)
    )
    text = f"board: 1\noutside: allow\nmusic: [{{file: tone.wav}}]\npanels:\n{rows}"
    (folder / "board.yaml").write_text(text, encoding="utf-8")


@dataclass(frozen=True)
class Run:
    """Wall time in seconds and peak memory in MB of one process."""

    seconds: float
    megabytes: float


def process(folder: Path, *arguments: str) -> Run:
    """Run one process to its end; its cache lies in the folder.

    Compiled Python files are kept, as wherever a program is run for the second time.
    """
    environment = {**os.environ, "XDG_CACHE_HOME": str(folder / "cache")}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    began = time.perf_counter()
    quiet = subprocess.DEVNULL
    running = subprocess.Popen(arguments, env=environment, stdout=quiet, stderr=quiet)
    _, status, usage = os.wait4(running.pid, 0)
    if status:
        raise SystemExit(f"{' '.join(arguments)[:200]} ended with status {status}")
    return Run(time.perf_counter() - began, usage.ru_maxrss / 1024)


def quietest(work: Callable[[], Run], times: int = 3) -> Run:
    """Return the quickest of several runs."""
    return min((work() for _ in range(times)), key=lambda run: run.seconds)


def ours(folder: Path, *more: str) -> Run:
    return process(folder, sys.executable, "-c", OURS, "assemble", str(folder), *more)


def ffmpeg(folder: Path, drawing: str = "") -> Run:
    listed = "".join(f"file 'p{n}.jpg'\nduration {SECONDS}\n" for n in range(PHOTOS))
    (folder / "list.txt").write_text(listed, encoding="utf-8")
    width, height = SIZE
    shape = f"scale={width}:{height}:force_original_aspect_ratio=increase,crop={width}:{height}"
    filters = f"{shape},fps={RATE}{drawing},format=yuv420p"
    return process(
        folder,
        imageio_ffmpeg.get_ffmpeg_exe(),
        "-y",
        "-f",
        "concat",
        "-safe",
        "0",
        "-i",
        str(folder / "list.txt"),
        "-vf",
        filters,
        "-c:v",
        "libx264",
        "-preset",
        "veryfast",
        "-crf",
        "20",
        str(folder / "ffmpeg.mp4"),
    )


def retimed(folder: Path, lengths: list[float]) -> Run:
    """Return the quickest of runs, each with panels of another length than the one before."""

    def once() -> Run:
        write_board(folder, lengths.pop())
        return ours(folder)

    return quietest(once, len(lengths))


def against_peers(folder: Path, *, with_moviepy: bool) -> None:
    """Print what we and the peers take for one film, and the ratios."""
    write_board(folder, SECONDS)
    ours(folder)
    took: dict[str, Run] = {}
    took["ours, cold"] = quietest(lambda: ours(folder, "--no-cache"))
    took["ours, nothing changed"] = quietest(lambda: ours(folder))
    took["ours, retimed, sound anew"] = retimed(folder, [2.5, 2.25, 2.75])
    write_board(folder, SECONDS)
    took["ours, retimed, sound known"] = retimed(folder, [2.5, 2.25, 2.75])
    write_board(folder, SECONDS)
    took["ours, counter, cold"] = quietest(lambda: ours(folder, "--counter", "--no-cache"))
    took["ffmpeg"] = quietest(lambda: ffmpeg(folder))
    took["ffmpeg with drawtext"] = quietest(lambda: ffmpeg(folder, COUNTING))
    took["PyAV, every frame"] = process(folder, sys.executable, "-c", PYAV, str(folder))
    for kind in ("plain", "labelled") if with_moviepy else ():
        more = (str(folder), kind, str(font_file(None)))
        took[f"moviepy, {kind}"] = process(folder, sys.executable, "-c", MOVIEPY, *more)
    for what, run in took.items():
        print(f"{what:<40}{run.seconds:>8.2f} s{run.megabytes:>8.0f} MB")
    print()
    for peer, mine, wanted in WANTED:
        if peer in took:
            ratio = took[peer].seconds / took[mine].seconds
            print(f"{f'{peer} / {mine}':<56}{ratio:>6.1f}   wanted {wanted}")


def by_length(place: Path) -> None:
    """Print time and memory of films of 40 to 1000 panels, with nothing taken from the cache."""
    for panels in (40, 200, 400, 1000):
        folder = place / f"of{panels}"
        folder.mkdir()
        write_board(folder, SECONDS, panels, "../")
        run = ours(folder, "--no-cache")
        each = 1000 * run.seconds / panels
        print(
            f"{panels:>5} panels{run.seconds:>8.1f} s{each:>7.0f} ms each{run.megabytes:>7.0f} MB"
        )


def main() -> None:
    """Print what each took, and the ratios."""
    print(f"{platform.platform()}, Python {platform.python_version()}, {os.cpu_count()} cores")
    for kind, make in (("like the demo's", make_photos), ("hard to code", make_hard_photos)):
        with tempfile.TemporaryDirectory() as name:
            place = Path(name)
            # In a process of its own: a child's peak memory is never less than its parent's.
            maker = multiprocessing.get_context("spawn").Process(target=make, args=(place,))
            maker.start()
            maker.join()
            print(f"\n{PHOTOS} photos of 12 MP, {kind}, {SECONDS} s each\n")
            against_peers(place, with_moviepy="--quick" not in sys.argv and make is make_photos)
            if make is make_photos:
                print()
                by_length(place)


if __name__ == "__main__":
    main()
