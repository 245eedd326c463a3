"""The film against the moviepy clip that defines its picture, frame by frame."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from film_stand_ins import board, silence
from PIL import Image
from skimage import data

from animatic.film import readback, write_film
from animatic.film.coding import yuv_from_rgb
from animatic.frames import seconds_from_frames
from animatic.picture import film_clip
from animatic.timeline.model import Box, Line, Move, Transition

SIZE = (320, 180)


@pytest.mark.parametrize("rate", ["24", "23.976"])
def test_every_frame_is_the_clips(rate: str, tmp_path: Path) -> None:
    """scikit-image's photographs, held, moved, dissolved, faded and lettered."""
    photos = [tmp_path / f"{name}.png" for name in ("astronaut", "chelsea", "coffee")]
    for photo in photos:
        picture = Image.fromarray(getattr(data, photo.stem)()).resize((512, 400))
        picture.save(photo)
    timeline = board(
        [20, 25, 1, 1, 30, 14],
        rate=rate,
        size=SIZE,
        photos=photos,
        photo_size=(512, 400),
        lines={0: (Line(1, "Odd", "The tide is late.", 0, 0, 0, 12, None),)},
        moves={1: Move(Box(0.2, 0.2, 0.5, 0.5), "both", 4, 15)},
        transitions={
            0: Transition(from_black=6),
            1: Transition(dissolve=6),
            5: Transition(dissolve=4, to_black=8),
        },
    )
    path = tmp_path / "film.mp4"
    write_film(timeline, path, sound=silence, use_cache=False)
    clip = film_clip(timeline)
    found = list(readback.pictures(path))
    assert len(found) == timeline.frames
    others: list[np.ndarray] = []
    for number, (_, planes) in enumerate(found):
        shown = clip.get_frame(float(seconds_from_frames(number, timeline.rate)))
        wanted = yuv_from_rgb(shown, SIZE).to_ndarray()
        wrong = float(np.square(planes.astype(float) - wanted).mean())
        assert 10 * np.log10(255**2 / max(wrong, 1e-9)) > 34, number
        # And it is this frame rather than the one before, wherever the two differ by much.
        if others and np.square(others[-1].astype(float) - wanted).mean() > 30:
            before = float(np.square(planes.astype(float) - others[-1]).mean())
            assert wrong < before, number
        others.append(wanted)
