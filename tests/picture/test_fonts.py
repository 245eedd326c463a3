"""Which font is used and what it lacks; the reference is FreeType, through Pillow."""

from __future__ import annotations

import subprocess
import sys
import unicodedata
from pathlib import Path

import pytest
from PIL import ImageFont

from animatic.errors import MediaError
from animatic.fonts import font_file, missing_characters, plain_text


def test_the_built_in_font_is_found_without_importing_matplotlib() -> None:
    code = (
        "import sys; from animatic.fonts import font_file; print(font_file(None));"
        " assert not {'matplotlib', 'fontTools', 'PIL'} & set(sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert Path(done.stdout.strip()).name == "DejaVuSans.ttf"


def test_a_named_font_is_itself(tmp_path: Path) -> None:
    assert font_file(tmp_path / "own.ttf") == tmp_path / "own.ttf"


def test_what_is_missing_is_what_freetype_shows_as_missing() -> None:
    font = ImageFont.truetype(str(font_file(None)), 24)
    box = font.getmask("\U0010fffd")
    ranges = (range(0x20, 0x250), range(0x370, 0x530), range(0x2010, 0x2060), range(0x4E00, 0x4E20))
    for code in (code for codes in ranges for code in codes):
        character = chr(code)
        # Those that are never drawn, and those that only ever join a letter.
        if unicodedata.category(character)[0] in "CMZ":
            continue
        character = unicodedata.normalize("NFC", character)
        mask = font.getmask(character)
        drawn = (mask.size, bytes(mask)) != (box.size, bytes(box))
        assert missing_characters(character, None) == ("" if drawn else character), hex(code)


def test_each_missing_character_is_named_once_in_order() -> None:
    assert missing_characters("鮫 and 鯨 and 鮫", None) == "鮫鯨"
    assert missing_characters("é ñ — € Ωμέγα Жук", None) == ""
    assert missing_characters("", None) == ""


def test_split_accents_and_invisible_marks_are_not_missing() -> None:
    # DejaVu Sans has no glyph for U+2069 and U+E0041, but neither is ever seen.
    assert missing_characters("e\u0301 \u200d\ufe0f\u2060\u2069\U000e0041\t\n", None) == ""
    assert plain_text("ne\u0301 \u2069\U000e0041\ufe0fou\t\n") == "né ou"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (None, "there is no such font file; check the name"),
        (
            b"",
            "this is no font that can be read; allowed: TrueType and OpenType"
            " (.ttf, .otf, .ttc); name another font, or none for the built-in one",
        ),
        (
            b"no font at all",
            "this is no font that can be read; allowed: TrueType and OpenType"
            " (.ttf, .otf, .ttc); name another font, or none for the built-in one",
        ),
    ],
)
def test_a_font_that_cannot_be_read(tmp_path: Path, content: bytes | None, words: str) -> None:
    path = tmp_path / "font.ttf"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(MediaError) as error:
        missing_characters("a", path)
    assert str(error.value) == f"{path}: {words}"


@pytest.mark.parametrize("keep", [0.01, 0.3])
def test_a_damaged_font_is_named(tmp_path: Path, keep: float) -> None:
    whole = font_file(None).read_bytes()
    path = tmp_path / "cut.ttf"
    path.write_bytes(whole[: int(len(whole) * keep)])
    with pytest.raises(MediaError, match=r"cut\.ttf: this is no font that can be read"):
        missing_characters("a", path)


def test_a_folder_is_no_font(tmp_path: Path) -> None:
    with pytest.raises(MediaError) as error:
        missing_characters("a", tmp_path)
    assert str(error.value) == (
        f"{tmp_path}: the font cannot be read (Is a directory); check that it may be opened"
    )
