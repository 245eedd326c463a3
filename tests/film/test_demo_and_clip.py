"""The whole demo, small: every frame of its film is the frame that its moviepy clip has."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from animatic.board import read_board
from animatic.film import readback, write_film
from animatic.film.coding import yuv_from_rgb
from animatic.frames import seconds_from_frames
from animatic.picture import film_clip
from animatic.timeline import lay_out
from animatic.timeline.excerpt import resized

DEMO = Path(__file__).parent.parent.parent / "demo_board"
SIZE = (320, 180)


def test_the_demo_is_its_clip(tmp_path: Path) -> None:
    timeline = resized(lay_out(read_board(DEMO)), SIZE)
    path = tmp_path / "film.mp4"
    report = write_film(timeline, path, use_cache=False)
    assert report.frames == timeline.frames
    clip = film_clip(timeline)
    count, last, wanted = 0, None, np.zeros(0)
    for number, (_, planes) in enumerate(readback.pictures(path)):
        shown = clip.get_frame(float(seconds_from_frames(number, timeline.rate)))
        if last is None or shown is not last:
            wanted = yuv_from_rgb(shown, SIZE).to_ndarray().astype(float)
        wrong = float(np.square(planes.astype(float) - wanted).mean())
        assert 10 * np.log10(255**2 / max(wrong, 1e-9)) > 34, number
        count, last = count + 1, shown
    assert count == timeline.frames
