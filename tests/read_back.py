"""Hold an assembled board's film against its own shot list, with another decoder.

Usage: python tests/read_back.py BOARD_FOLDER (after `animatic assemble BOARD_FOLDER`).
"""

from __future__ import annotations

import csv
import sys
from fractions import Fraction
from pathlib import Path

import av
import cv2


def read_back(out: Path) -> str:
    """Return what was found; AssertionError where film and shot list disagree."""
    with (out / "shots.csv").open(encoding="utf-8", newline="") as file:
        shots = [row for row in csv.DictReader(file) if row["end_frame"]]
    frames = int(shots[-1]["end_frame"])
    assert sum(int(shot["frames"]) for shot in shots) == frames, "frames in the shot list"
    film = out / "film.mp4"
    with av.open(str(film)) as container:
        stamps = [frame.pts * frame.time_base for frame in container.decode(video=0)]
        rate = container.streams.video[0].average_rate
        chapters = [chapter["metadata"]["title"] for chapter in container.chapters()]
    assert rate is not None
    assert stamps == [Fraction(n) / rate for n in range(frames)], "timestamps"
    assert len(chapters) == len(shots), "chapters"
    with av.open(str(film)) as container:
        samples = sum(frame.samples for frame in container.decode(audio=0))
    assert abs(samples - frames * 48_000 / rate) <= 1024, "sound"
    capture = cv2.VideoCapture(str(film))
    counted = 0
    while capture.read()[0]:
        counted += 1
    assert counted == frames, f"OpenCV counts {counted} frames, the shot list {frames}"
    return f"{film}: {frames} frames at {rate}, {len(chapters)} chapters, as in the shot list"


if __name__ == "__main__":
    print(read_back(Path(sys.argv[1]) / "out"))
