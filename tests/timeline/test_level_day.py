"""The demo's photos as a camera on automatic exposure would have taken them: evened again.

Among them are views that share nothing that can be known again. What the camera wrote down of its
exposures (Exif 2.3, JEITA CP-3451C: time, aperture and sensitivity) tells of those.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from animatic.board.read import read_board
from animatic.timeline.level import Levelled, levels
from tests.photographs import exposed

DEMO = Path(__file__).parents[2] / "demo_board"
SETUPS = {
    "mud-day": ("boat_mls", "boat_mls_b", "over_pim", "over_pim_b", "pim_cu"),
    "quay-dusk": ("dusk_ls", "bell_cu", "horizon_pov", "pim_dusk_cu", "boat_away"),
}
STOPS = (0.0, -0.9, -0.4, -1.1, -0.7)


def shot(folder: Path, is_automatic: bool) -> dict[str, Levelled]:
    """Return what evening does to the photos, a third as large, exposed as they are or anew."""
    folder.mkdir()
    rows = ""
    for setup, names in SETUPS.items():
        for name, stops in zip(names, STOPS, strict=True):
            image = Image.open(DEMO / "photos" / f"{name}.jpg")
            exif = image.getexif()
            small = image.reduce(3)
            if is_automatic:
                exif.get_ifd(0x8769)[0x829A] = float(exif.get_ifd(0x8769)[0x829A]) * 2**stops
                small = Image.fromarray(exposed(np.asarray(small), stops))
            small.save(folder / f"{name}.jpg", quality=92, exif=exif)
            rows += f"  - {{shot: {name}, photo: {name}.jpg, setup: {setup}, duration: 1s}}\n"
    setups = "".join(f"  {setup}: {{level: even}}\n" for setup in SETUPS)
    text = f"board: 1\nsetups:\n{setups}panels:\n{rows}"
    (folder / "board.yaml").write_text(text)
    return {one.photo: one for one in levels(read_board(folder))}


def test_a_day_on_automatic_exposure_is_as_even_as_one_exposed_by_hand(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    by_hand, automatic = (shot(tmp_path / str(way), way) for way in (False, True))
    assert not any(one.untold for one in automatic.values())
    for names in SETUPS.values():
        photos = [f"{name}.jpg" for name in names]
        shown = [
            automatic[photo].wanted + 100 * stops - by_hand[photo].wanted
            for photo, stops in zip(photos, STOPS, strict=True)
        ]
        assert max(shown) - min(shown) <= 6
        assert max(abs(colour) for photo in photos for colour in automatic[photo].colours) <= 6
