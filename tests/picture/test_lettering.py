"""What is written over the picture: inside title-safe, whole, readable, and no more than asked."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import wcag_contrast_ratio
from picture_timelines import P, line, timeline
from PIL import Image, ImageDraw, ImageFont

from animatic.errors import MediaError
from animatic.fonts import font_file
from animatic.picture import PictureMaker
from animatic.picture.contrast import Colour, over
from animatic.picture.lettering import INKS, OPACITY, Stamp, lay_lettering
from animatic.picture.safe import title_safe
from animatic.timeline.model import Lettering, Line, Panel

WHITE = (255, 255, 255)
LONG = (
    "If the sea comes in before the boat goes out, we shall have to carry the whole quay up"
    " the hill, stone by stone, and that is no work for people who have had no breakfast."
)
SIZES = [(1920, 1080), (3840, 2160), (160, 90), (64, 36), (1080, 1920), (998, 666), (2048, 858)]
TEXTS = {
    "short": (line("The tide is late."),),
    "long": (line(LONG),),
    "very long": (line(LONG * 6),),
    "two": (line("Late again?"), line("It was never early.", who="Pim")),
    "marks": (line("ÅÉŇ ẪỖ gjpqy Ωμέγα Жук ñ — 5 € ¿qué?"),),
    "one word": (line("Aaaa" * 60),),
    "other alphabets": (line("鯨鮫 🐋"),),
}


def panel(lines: tuple[Line, ...] = (), shot: str = "10", size: str = "") -> Panel:
    return Panel(0, 1, shot, 0, 24, 2, Path("photo.png"), (64, 36), size=size, lines=lines)


def laid(
    lines: tuple[Line, ...] = (),
    canvas: tuple[int, int] = (1920, 1080),
    *,
    shot: str = "10",
    size: str = "",
    count: int = 1,
    lettering: Lettering | None = None,
) -> tuple[Stamp, ...]:
    return lay_lettering(panel(lines, shot, size), count, canvas, lettering or Lettering())


def same(one: Stamp, other: Stamp) -> bool:
    return (one.x, one.y) == (other.x, other.y) and np.array_equal(one.add, other.add)


@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize("canvas", SIZES)
def test_nothing_changes_outside_title_safe(
    tmp_path: Path, canvas: tuple[int, int], text: str
) -> None:
    path = tmp_path / "photo.png"
    Image.new("RGB", (32, 18), (180, 90, 120)).save(path)
    shot = [P(path, size="MS", lines=TEXTS[text])] * 2
    film = timeline(shot, size=canvas, lettering=Lettering(), names=["Opening, wide"])
    maker = PictureMaker(film)
    changed = (maker.frame(0) != maker.panel(film.panels[0])).any(axis=2)
    left, top, right, bottom = title_safe(canvas)
    assert changed[top:bottom, left:right].any()
    changed[top:bottom, left:right] = False
    assert not changed.any()


@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize("canvas", SIZES)
def test_no_letter_is_cut_by_its_box(canvas: tuple[int, int], text: str) -> None:
    for one in laid(TEXTS[text], canvas, size="MS", count=12):
        ink = one.add.any(axis=2)
        assert ink.any()
        assert not ink[[0, -1]].any()
        assert not ink[:, [0, -1]].any()


@pytest.mark.parametrize("canvas", SIZES)
def test_label_and_dialogue_keep_apart(canvas: tuple[int, int]) -> None:
    label, speech = laid(TEXTS["very long"], canvas, size="MS")
    assert label.y + label.keep.shape[0] <= speech.y
    assert speech.keep.shape[0] <= 0.35 * canvas[1] or speech.keep.shape[0] < 20


@pytest.mark.parametrize("word", ["é", "ñandú", "—", "5€", "Ωμέγα", "Жук", "fling,"])
def test_the_letters_are_those_of_the_font(word: str) -> None:
    """Pillow alone, asked for the same word in the same font, draws the same ink."""
    (stamp,) = laid((line(word, who=""),), lettering=Lettering(shot=False, size=False))
    font = ImageFont.truetype(str(font_file(None)), int(0.042 * 1080))
    expected = Image.new("L", (400, 100))
    ImageDraw.Draw(expected).text((20, 20), word, fill=255, font=font)
    assert np.array_equal(_cut_to_ink(stamp.add[..., 0]), _cut_to_ink(np.asarray(expected)))


def test_words_stand_apart_as_the_font_sets_them() -> None:
    text = "The tide is late, and so am I."
    (stamp,) = laid((line(text, who=""),), lettering=Lettering(shot=False, size=False))
    font = ImageFont.truetype(str(font_file(None)), int(0.042 * 1080))
    expected = Image.new("L", (1200, 100))
    ImageDraw.Draw(expected).text((20, 20), text, fill=255, font=font)
    found, sought = _cut_to_ink(stamp.add[..., 0]), _cut_to_ink(np.asarray(expected))
    # Each word begins on a whole pixel, and a space is a whole number of them.
    assert found.shape[0] == sought.shape[0]
    assert 0 <= found.shape[1] - sought.shape[1] <= 2 * (len(text.split()) - 1)


def _cut_to_ink(cover: np.ndarray) -> np.ndarray:
    """Where there is more ink than not, cut to its bounds."""
    ink = cover > cover.max() / 2
    rows, columns = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
    return ink[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]


def _ends_with(stamp: Stamp, other: Stamp) -> bool:
    """Whether the last letters of a label are those of another label, in whatever ink."""
    # How much of the picture a letter hides does not depend on its ink.
    inked, sought = (1.0 * (one.keep[..., 0] < (255 - OPACITY) / 2) for one in (stamp, other))
    last = _cut_to_ink(sought)
    return np.array_equal(_cut_to_ink(_cut_to_ink(inked)[:, -last.shape[1] :]), last)


@pytest.mark.parametrize("character", "éñ—€ΩЖß")
def test_no_character_comes_out_as_the_box_of_a_missing_one(character: str) -> None:
    font = ImageFont.truetype(str(font_file(None)), 40)
    missing = font.getmask("\U0010fffd")
    shown = font.getmask(character)
    assert (shown.size, bytes(shown)) != (missing.size, bytes(missing))


def test_a_run_of_missing_characters_becomes_one_sign() -> None:
    whole, signed = laid((line("See the 鯨鮫!"),)), laid((line("See the [?]!"),))
    assert same(whole[1], signed[1])


def test_invisible_marks_and_split_accents_change_nothing() -> None:
    plain, marked = (
        laid((line("né à Nîmes"),)),
        laid((line("ne\u0301 \u200ba\u0300\n Nîmes\ufe0f"),)),
    )
    assert same(plain[1], marked[1])


def test_a_long_text_wraps_then_shrinks_then_ends() -> None:
    def letters(repeats: int) -> tuple[int, Stamp]:
        (stamp,) = laid((line(LONG * repeats),), lettering=Lettering(shot=False))
        inked = stamp.add.any(axis=(1, 2))
        rows = int(np.count_nonzero(np.diff(inked.astype(int)) == 1))
        return rows, stamp

    one, three, many, more = letters(1), letters(3), letters(9), letters(12)
    assert one[0] >= 3
    assert three[0] > one[0]
    # Set smaller: less than the same height a row.
    assert three[1].keep.shape[0] / three[0] < one[1].keep.shape[0] / one[0] * 0.95
    assert many[0] >= three[0]
    assert many[1].keep.shape[0] <= 0.3 * 1080 + 10
    # What is beyond the end makes no difference: it is not there.
    assert same(many[1], more[1])
    ended, bare = laid((line(LONG * 9),)), laid((line(LONG * 9 + " Z"),))
    assert same(ended[1], bare[1])


def test_a_text_that_fits_is_whole() -> None:
    """The last word of a text that is not cut short is seen."""
    for repeats in (1, 2, 3):
        one, other = laid((line(LONG * repeats + " no"),)), laid((line(LONG * repeats + " oh"),))
        assert not same(one[1], other[1])


def test_lines_are_about_equally_long() -> None:
    text = "one two three four five six seven eight nine ten eleven twelve thirteen fourteen"
    (stamp,) = laid((line(text, who=""),), lettering=Lettering(shot=False))
    inked = stamp.add.any(axis=2)
    starts = np.flatnonzero(np.diff(inked.any(axis=1).astype(int)) == 1)
    assert len(starts) == 2
    middle = int(starts[1])
    ends = [int(np.flatnonzero(part.any(axis=0))[-1]) for part in (inked[:middle], inked[middle:])]
    assert min(ends) > 0.8 * max(ends)


def test_the_switches() -> None:
    lines, off = TEXTS["short"], Lettering(shot=False, size=False, dialogue=False)
    assert laid(lines, size="MS", lettering=off) == ()
    assert len(laid(lines, size="MS", lettering=replace(off, dialogue=True))) == 1
    only_shot = laid(lines, size="MS", lettering=replace(off, shot=True))
    only_size = laid(lines, size="MS", lettering=replace(off, size=True))
    both = laid(lines, size="MS", lettering=replace(off, shot=True, size=True))
    assert [len(stamps) for stamps in (only_shot, only_size, both)] == [1, 1, 1]
    assert both[0].add.shape[1] > only_shot[0].add.shape[1]
    assert same(only_size[0], laid((), shot="MS")[0])
    assert laid((), lettering=replace(off, size=True)) == ()


def test_the_panel_is_numbered_where_a_shot_has_several() -> None:
    one, several = laid(count=1), laid(count=3)
    assert several[0].add.shape[1] > one[0].add.shape[1]
    assert _ends_with(several[0], laid(shot="1/3")[0])
    assert not _ends_with(one[0], laid(shot="1/3")[0])


def test_a_long_shot_name_gives_way_to_the_size() -> None:
    long = laid(shot="A very long name for such a short shot " * 3, size="ECU", count=2)[0]
    assert title_safe((1920, 1080))[0] == long.x
    assert long.x + long.add.shape[1] <= title_safe((1920, 1080))[2]
    assert _ends_with(long, laid(shot="ECU")[0])


def test_another_font_is_used(tmp_path: Path) -> None:
    serif = font_file(None).with_name("DejaVuSerif.ttf")
    assert not same(laid(shot="Quay")[0], laid(shot="Quay", lettering=Lettering(font=serif))[0])


def test_a_font_that_is_none(tmp_path: Path) -> None:
    path = tmp_path / "font.ttf"
    path.write_text("not a font", encoding="utf-8")
    with pytest.raises(MediaError) as error:
        laid(lettering=Lettering(font=path))
    assert str(error.value) == (
        f"{path}: this is no font that can be read; allowed: TrueType and OpenType"
        " (.ttf, .otf, .ttc); name another font, or none for the built-in one"
    )


@pytest.mark.parametrize("size", [(1920, 1080), (320, 180)])
@pytest.mark.parametrize("photo", ["FFFFFF", "000000", "FFFF00", "00FFFF", "7F7F7F", "FF0000"])
def test_the_finished_picture_holds_the_ratio(
    tmp_path: Path, photo: str, size: tuple[int, int]
) -> None:
    """WCAG 2.2 SC 1.4.3, measured in the picture by wcag-contrast-ratio 0.9."""
    under: Colour = tuple(bytes.fromhex(photo))  # type: ignore[assignment]
    path = tmp_path / "photo.png"
    Image.new("RGB", size, under).save(path)
    shot = [P(path, size="MS", lines=(line("IIII HHHH"),))]
    picture = PictureMaker(timeline(shot, size=size, lettering=Lettering())).frame(0)
    _, top, _, bottom = title_safe(size)
    codes = picture[top:bottom].astype(int) @ (65_536, 256, 1)
    colours = zip(*(part.tolist() for part in np.unique(codes, return_counts=True)), strict=True)
    often = {(code >> 16, code >> 8 & 255, code & 255): count for code, count in colours}
    expected = over((0, 0, 0), OPACITY, under)
    boxes = [c for c in often if max(abs(np.subtract(c, expected))) <= 1 and often[c] > 50]
    assert boxes
    assert often.get(WHITE, 0) > 20
    for box in boxes:
        for ink in INKS:
            ratio = wcag_contrast_ratio.rgb(
                tuple(v / 255 for v in ink), tuple(v / 255 for v in box)
            )
            assert ratio >= 4.5
