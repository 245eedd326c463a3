"""The film writer against its peers, all in one run: `python tests/bench/film_speed.py [--quick]`.

40 photos of 12 MP, 3 s each, 1080p at 24 frames a second. Peers: one ffmpeg command (concat,
veryfast; the binary that imageio-ffmpeg brings), the same with drawtext counting frames, stock
moviepy concatenation, plain and with a label on each clip, and PyAV coding every frame. Ours
includes sound; theirs does not. Each figure is of a whole process. `--quick` leaves moviepy out.
"""

from __future__ import annotations

import os
import platform
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import imageio_ffmpeg
import numpy as np
from PIL import Image

from animatic.fonts import font_file

PHOTOS, SECONDS, RATE, SIZE = 40, 3, 24, (1920, 1080)
OURS = "from animatic.cli import main; main()"

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
    """Write photos of 12 MP with detail at every scale, so that coding them takes its time."""
    random = np.random.default_rng(5)
    for number in range(PHOTOS):
        picture = Image.new("RGB", (4000, 3000), (110, 110, 110))
        for cells in (8, 60, 500):
            grid = random.integers(0, 255, (cells * 3 // 4, cells, 3), dtype=np.uint8)
            layer = Image.fromarray(grid).resize(picture.size, Image.Resampling.BICUBIC)
            picture = Image.blend(picture, layer, 0.4)
        picture.save(folder / f"p{number}.jpg", quality=90)


def write_board(folder: Path, seconds: float) -> None:
    """Write the board, with music so that there is sound to code."""
    import wave

    tone = np.sin(np.arange(48_000 * 30) * 440 * 2 * np.pi / 48_000) * 8000
    with wave.open(str(folder / "tone.wav"), "wb") as file:
        file.setparams((1, 2, 48_000, 0, "NONE", ""))
        file.writeframes(tone.astype("<i2").tobytes())
    rows = "".join(
        f"  - {{shot: {n}, photo: p{n}.jpg, duration: {seconds}s}}\n" for n in range(PHOTOS)
    )
    text = f"board: 1\nmusic: [{{file: tone.wav}}]\npanels:\n{rows}"
    (folder / "board.yaml").write_text(text, encoding="utf-8")


def timed(work: Callable[[], object]) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def process(folder: Path, *arguments: str) -> float:
    """Return the wall time in seconds of one process; its cache lies in the folder."""
    environment = {**os.environ, "XDG_CACHE_HOME": str(folder / "cache")}
    return timed(
        lambda: subprocess.run(
            arguments,
            check=True,
            env=environment,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
    )


def ours(folder: Path, *more: str) -> float:
    return process(folder, sys.executable, "-c", OURS, "assemble", str(folder), *more)


def ffmpeg(folder: Path, drawing: str = "") -> float:
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


def main() -> None:
    """Print what each took, and the ratios."""
    print(f"{platform.platform()}, Python {platform.python_version()}, {os.cpu_count()} cores")
    took: dict[str, float] = {}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        make_photos(folder)
        write_board(folder, SECONDS)
        took["ours, cold"] = ours(folder)
        took["ours, nothing changed"] = ours(folder)
        write_board(folder, 2.5)
        took["ours, retimed, sound coded again"] = ours(folder)
        write_board(folder, SECONDS)
        took["ours, retimed back, sound known"] = ours(folder)
        took["ours, counter on every frame, cold"] = ours(folder, "--counter", "--no-cache")
        took["ffmpeg concat"] = ffmpeg(folder)
        counting = f",drawtext=fontfile={font_file(None)}:text=%{{n}}:fontsize=48:x=40:y=40"
        took["ffmpeg concat with drawtext"] = ffmpeg(folder, counting)
        took["PyAV, every frame"] = process(folder, sys.executable, "-c", PYAV, str(folder))
        if "--quick" not in sys.argv:
            for kind in ("plain", "labelled"):
                took[f"moviepy, {kind}"] = process(
                    folder,
                    sys.executable,
                    "-c",
                    MOVIEPY,
                    str(folder),
                    kind,
                    str(font_file(None)),
                )
    for what, seconds in took.items():
        print(f"{what:<40}{seconds:>8.2f} s")
    print()
    pairs = [
        ("ffmpeg concat", "ours, cold"),
        ("moviepy, plain", "ours, cold"),
        ("moviepy, labelled", "ours, cold"),
        ("PyAV, every frame", "ours, cold"),
        ("ffmpeg concat", "ours, retimed, sound coded again"),
        ("ffmpeg concat", "ours, retimed back, sound known"),
        ("ffmpeg concat with drawtext", "ours, counter on every frame, cold"),
    ]
    for peer, mine in pairs:
        if peer in took:
            print(f"{peer} / {mine}: {took[peer] / took[mine]:.1f}")


if __name__ == "__main__":
    main()
