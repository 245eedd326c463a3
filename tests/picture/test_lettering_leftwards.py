"""Lines read from right to left, over the picture: the speaker at the right, word after word."""

from __future__ import annotations

import numpy as np
import pytest
from picture_timelines import P, line, timeline
from PIL import Image, ImageDraw, ImageFont

from animatic.fonts import font_file
from animatic.leftwards import in_sight_order
from animatic.picture.lettering import INKS, Stamp, lay_lettering
from animatic.timeline.model import Lettering

TEXT = "אני הולך לים בשעה 10:30 (עם Odd)"
LONG = " ".join([TEXT] * 4)


@pytest.fixture
def laid(tmp_path):
    Image.new("RGB", (64, 36)).save(tmp_path / "photo.png")

    def lay(text: str, who: str = "אורי") -> Stamp:
        said = (line(text, who=who),)
        film = timeline([P(tmp_path / "photo.png", lines=said)])
        shown = Lettering(shot=False, size=False)
        return lay_lettering(film.panels[0], 1, (1920, 1080), shown)[-1]

    return lay


def columns_of(stamp: Stamp, ink: tuple[int, int, int]) -> np.ndarray:
    """The columns in which there are letters of an ink, told by its blue."""
    solid = np.abs(stamp.add.astype(int) - ink).max(axis=2) < 3
    return np.flatnonzero(solid.any(axis=0))


def test_the_speaker_stands_where_reading_begins(laid) -> None:
    text, speaker = INKS[0], INKS[2]
    hebrew = laid(TEXT)
    assert columns_of(hebrew, speaker).min() > columns_of(hebrew, text).max()
    # A name in other letters stands there as well; a line in Latin ones begins at the left.
    assert columns_of(laid(TEXT, "Odd"), speaker).min() > columns_of(laid(TEXT, "Odd"), text).max()
    latin = laid("I go to sea", "אורי")
    assert columns_of(latin, speaker).max() < columns_of(latin, text).min()


def test_a_line_is_lettered_as_it_is_seen(laid) -> None:
    """Against one picture of the whole line, set by Pillow without any order of its own."""
    stamp = laid(TEXT, "א")
    font = ImageFont.truetype(
        str(font_file(None)), int(0.042 * 1080), layout_engine=ImageFont.Layout.BASIC
    )
    whole = Image.new("L", (1920, 80))
    seen = in_sight_order(TEXT, True)
    ImageDraw.Draw(whole).text((0, 60), seen, fill=255, font=font, anchor="ls")
    theirs = np.asarray(whole.crop(whole.getbbox()), float).sum(axis=0)
    columns = columns_of(stamp, INKS[0])
    ours = stamp.add[:, columns.min() : columns.max() + 1, 2].astype(float).sum(axis=0)
    assert len(ours) == pytest.approx(len(theirs), abs=20)
    at = np.linspace(0, 1, 300)
    pair = [np.interp(at, np.linspace(0, 1, len(each)), each) for each in (ours, theirs)]
    assert np.corrcoef(pair)[0, 1] > 0.8


def test_rows_of_one_line_end_at_the_right(laid) -> None:
    stamp = laid(LONG)
    inked = stamp.add.max(axis=(1, 2)) > 200
    ends = [np.flatnonzero(row.max(axis=1) > 200).max() for row in stamp.add[inked]]
    assert len(ends) > 60
    # Of every row of words the right edge is one: letters of a row are cut off here and there.
    assert sorted(ends)[len(ends) // 2] > stamp.add.shape[1] - 40
