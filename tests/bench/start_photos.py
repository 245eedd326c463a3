"""`start` on a day's photos: `python tests/bench/start_photos.py [--quick]`.

100 and then 500 photos of 12 MP (4000 x 3000, quality 90): eight pictures with detail at every
scale, each photo with a time of its own. Wall time and the most memory of the whole process; the
aim is under 60 s for 500 on two cores, and as much memory for 500 as for 100.
"""

from __future__ import annotations

import os
import platform
import subprocess
import sys
import tempfile
import time
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
from PIL import Image

BASES, SIZE = 8, (4000, 3000)
OURS = """
import resource, sys
from animatic.cli import run
code = run(["start", sys.argv[1]])
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, file=sys.stderr)
sys.exit(code)
"""


def base_pictures(folder: Path) -> list[bytes]:
    """Return pictures of 12 MP as JPEG files."""
    random, made = np.random.default_rng(5), []
    for number in range(BASES):
        picture = Image.new("RGB", SIZE, (110, 110, 110))
        for cells in (8, 60, 500):
            grid = random.integers(0, 255, (cells * 3 // 4, cells, 3), dtype=np.uint8)
            layer = Image.fromarray(grid).resize(SIZE, Image.Resampling.BICUBIC)
            picture = Image.blend(picture, layer, 0.4)
        path = folder / f"base{number}.jpg"
        picture.save(path, quality=90)
        made.append(path.read_bytes())
        path.unlink()
    return made


def timed(data: bytes, taken: datetime) -> bytes:
    """Return a JPEG file with a time of capture put in behind its first marker."""
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = taken.strftime("%Y:%m:%d %H:%M:%S")
    block = exif.tobytes()
    return data[:2] + b"\xff\xe1" + (len(block) + 2).to_bytes(2, "big") + block + data[2:]


def main() -> None:
    """Print what each number of photos took."""
    counts = (100,) if "--quick" in sys.argv else (100, 500)
    print(f"{platform.platform()}, Python {platform.python_version()}, {os.cpu_count()} cores")
    with tempfile.TemporaryDirectory() as name:
        folder, first = Path(name), datetime(2026, 2, 21, 9, 0, 0)
        bases = base_pictures(folder)
        print(f"a photo has {len(bases[0]) / 1e6:.1f} MB")
        for number in range(counts[-1]):
            data = timed(bases[number % BASES], first + timedelta(seconds=20 * number))
            (folder / f"p{number:04}.jpg").write_bytes(data)
            if number + 1 not in counts:
                continue
            began = time.perf_counter()
            done = subprocess.run(
                [sys.executable, "-c", OURS, name], check=True, capture_output=True, text=True
            )
            took = time.perf_counter() - began
            most = int(done.stderr.split()[-1]) // 1000
            print(f"{number + 1} photos: {took:.1f} s, {most} MB; {done.stdout.splitlines()[-1]}")
            (folder / "board.yaml").unlink()


if __name__ == "__main__":
    main()
