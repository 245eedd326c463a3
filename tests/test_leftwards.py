"""Hebrew, Arabic and Persian: in the order and the shapes in which they are read.

Held against FriBidi and HarfBuzz, as Pillow's wheels have them, which set a line by themselves;
and against worked examples of the Unicode Standard Annex 9.
"""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from bidi import algorithm
from boards import BoardFolder, panels
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageDraw, ImageFont, features
from pypdf import PdfReader

from animatic.cli import run
from animatic.fonts import font_file, plain_text
from animatic.leftwards import in_sight_order, is_leftwards, joined, marked
from animatic.sheets.wrapping import wrapped
from tests.strategies import untimed

HEBREW = "אני הולך לים (עם הסירה) בשעה 10:30, בסדר?"
ARABIC = "أنا ذاهبة إلى البحر مع 12 قاربا"
PERSIAN = "من با قایق به دریا می\u200cروم"
MIXED = "He said: אני הולך לים 3 times."


def drawn(text: str, layout: ImageFont.Layout, **how: str) -> np.ndarray:
    """The text in black letters, cut to what is inked, as parts of full ink."""
    font = ImageFont.truetype(str(font_file(None)), 48, layout_engine=layout)
    image = Image.new("L", (2400, 120))
    ImageDraw.Draw(image).text((20, 90), text, fill=255, font=font, anchor="ls", **how)
    return np.asarray(image.crop(image.getbbox()), float) / 255


@pytest.mark.skipif(not features.check("raqm"), reason="Pillow has no FriBidi here")
@pytest.mark.parametrize("text", [HEBREW, ARABIC, PERSIAN, MIXED, "שלום, Odd (12)!", "אב 1-2 גד"])
def test_a_line_looks_as_it_does_where_it_is_set_by_fribidi_and_harfbuzz(text: str) -> None:
    leftwards = is_leftwards(text)
    ours = drawn(in_sight_order(joined(plain_text(text), None), leftwards), ImageFont.Layout.BASIC)
    way = "rtl" if leftwards else "ltr"
    theirs = drawn(text, ImageFont.Layout.RAQM, direction=way)
    assert ours.shape == pytest.approx(theirs.shape, abs=24)
    # Column by column, since widths are rounded otherwise by a pixel a letter.
    columns = [np.interp(np.linspace(0, 1, 400), np.linspace(0, 1, a.shape[1]), a.sum(axis=0))
               for a in (ours, theirs)]  # fmt: skip
    assert np.corrcoef(columns)[0, 1] > 0.8


@pytest.mark.parametrize(
    ("text", "leftwards", "seen"),
    [
        # UAX 9, 3.4 L2: capitals stand for letters that are written from right to left.
        ("car means CAR.", False, "car means RAC."),
        ("<car MEANS CAR.=", True, "<.RAC SNAEM car="),
        ("he said “car MEANS CAR.”", False, "he said “car RAC SNAEM.”"),
    ],
)
def test_the_order_is_that_of_the_standard(text: str, leftwards: bool, seen: str) -> None:
    """As the tables of UAX 9 give it; the marks of embedding are left out, brackets as signs."""
    hebrew = {chr(65 + n): chr(0x5D0 + n) for n in range(26)}
    table = str.maketrans(hebrew)
    if leftwards:  # The brackets of the example stand for the marks alone.
        text, seen = text.strip("<="), seen.strip("<=")
    assert in_sight_order(text.translate(table), leftwards) == seen.translate(table)


@untimed
@given(st.text("אבגabע 12,.!+-/:%«<ب", max_size=12), st.booleans())
def test_the_order_is_that_of_another_implementation(text: str, leftwards: bool) -> None:
    """The package's former one, in Python: it knows no pairs of brackets (UAX 9, N0)."""
    theirs = algorithm.get_display(text, base_dir="R" if leftwards else "L")
    assert in_sight_order(text, leftwards) == theirs


def test_letters_join_with_their_marks_and_the_non_joiner_keeps_them_apart() -> None:
    # Presentation forms of Unicode: beh initial, hah medial, reh final; a fatha stays.
    assert joined("بَحر", None) == "\ufe91\u064e\ufea4\ufeae"
    apart = joined("می\u200cروم", None)
    assert "\u200c" not in apart
    assert apart[:2] == "\ufee3\ufbfd"  # Final farsi yeh, though letters follow.
    assert joined("می روم", None).replace(" ", "") == apart
    assert plain_text("a\u200cb") == "ab"


def test_lines_of_a_text_keep_how_the_text_is_read() -> None:
    text = "אני הולך לים Odd said so"
    lines = wrapped(text, lambda line: len(line) <= 12)
    assert len(lines) >= 2
    assert all(is_leftwards(line) for line in lines)
    assert marked(["Odd", "said"], "Odd said") == ["Odd", "said"]
    assert in_sight_order("\u200fOdd!") == "!Odd"
    assert in_sight_order("\u200eאב, 12") == in_sight_order("אב, 12", False)


def board_of(folder: Path, line: str, who: str = "אורי") -> BoardFolder:
    board = BoardFolder(folder)
    board.photo("a.jpg", (90, 90, 90), (320, 180))
    row = (
        f"- {{shot: 10, photo: a.jpg, duration: 4s, dialogue: [{{who: '{who}', line: '{line}'}}]}}"
    )
    board.write(panels(row, "board: 1\ntitle: 'מים נמוכים'\nspeech: {scratch: false}\n"))
    return board


def words_of(pdf: Path) -> str:
    """What a PDF draws, piece by piece in the order in which it stands there."""
    found: list[str] = []

    def visit(text: str, *_: object) -> None:
        found.append(text)

    for page in PdfReader(BytesIO(pdf.read_bytes())).pages:
        page.extract_text(visitor_text=visit)
    return "\n".join(found)


@pytest.mark.parametrize("paper", ["cards", "lines"])
def test_papers_have_letters_in_the_order_in_which_they_are_seen(
    tmp_path: Path, paper: str
) -> None:
    board = board_of(tmp_path, "לך לים")
    assert run([paper, str(board.folder)]) == 0
    pdf = next((tmp_path / "out").glob(f"{paper}*.pdf"))
    # A reader that takes what is drawn from left to right, and reads it from the right.
    read = words_of(pdf)
    assert "לך לים" in read
    assert "מים נמוכים" in read
