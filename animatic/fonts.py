"""Which font is lettered with, and which characters it lacks."""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

from animatic.errors import MachineError, MediaError

__all__ = ["NON_JOINER", "font_file", "missing_characters", "plain_text"]

NON_JOINER = "\u200c"
"""Keeps letters apart that would join, and is not seen itself."""


def font_file(font: Path | None) -> Path:
    """Return the file of a font; None stands for DejaVu Sans, which matplotlib's wheel carries.

    DejaVu Sans covers Latin, Greek and Cyrillic. It is looked up without importing matplotlib,
    which would take most of a second. MachineError where matplotlib's data is not there.

    >>> font_file(None).name
    'DejaVuSans.ttf'
    """
    return font if font is not None else _built_in()


@lru_cache(maxsize=1)
def _built_in() -> Path:
    spec = find_spec("matplotlib")
    if spec is not None and spec.origin is not None:
        file = Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf" / "DejaVuSans.ttf"
        if file.is_file():
            return file
    raise MachineError(
        "the built-in font DejaVuSans.ttf of matplotlib is not there; install matplotlib again,"
        " or name a font file in the board"
    )


def plain_text(text: str) -> str:
    """Return a text as it is lettered: one line, composed letters, no invisible marks.

    Accents join their letters (Unicode form NFC), so that a font needs only the composed
    letter; runs of white space become one space; control and format characters go, but for the
    non-joiner that Persian is written with.

    >>> plain_text(" The\\ttide \\u200bis late. ")
    'The tide is late.'
    """
    if text.isascii() and text.isprintable():
        return " ".join(text.split())
    kept = (c for c in unicodedata.normalize("NFC", text) if c.isspace() or _is_shown(c))
    shown = " ".join("".join(kept).split())
    return shown if _has_arabic(shown) else shown.replace(NON_JOINER, "")


def _has_arabic(text: str) -> bool:
    return any(unicodedata.bidirectional(c) == "AL" for c in text)


def _is_shown(character: str) -> bool:
    # Variation selectors count as marks in Unicode, but have no shape of their own.
    return character == NON_JOINER or (
        unicodedata.category(character) not in ("Cc", "Cf")
        and not ("\ufe00" <= character <= "\ufe0f")
    )


def missing_characters(text: str, font: Path | None) -> str:
    """Return the characters of `text` that the font has no glyph for, each once, in order.

    White space and invisible characters are passed over. MediaError where the file cannot be
    read as a font.

    >>> missing_characters("Größe, Ωμέγα, Жук, 5 €", None)
    ''
    >>> missing_characters("the 鯨, the 鯨 and the 鮫", None)
    '鯨鮫'
    """
    known = _characters(font_file(font))
    return "".join(
        c
        for c in dict.fromkeys(plain_text(text))
        if not c.isspace() and c != NON_JOINER and ord(c) not in known
    )


@lru_cache(maxsize=8)
def _characters(file: Path) -> frozenset[int]:
    # Here, since most commands letter nothing and the import takes its time.
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    try:
        with file.open("rb") as handle, TTFont(handle, fontNumber=0, lazy=True) as font:
            table: dict[int, str] | None = font.getBestCmap()
    except FileNotFoundError:
        raise MediaError(f"{file}: there is no such font file; check the name") from None
    except OSError as error:
        raise MediaError(
            f"{file}: the font cannot be read ({error.strerror or error});"
            " check that it may be opened"
        ) from error
    except Exception as error:  # A damaged table may raise anything.
        raise MediaError(f"{file}: {_NO_FONT}") from error
    if not table:
        raise MediaError(f"{file}: the font has no Unicode characters; name another font")
    return frozenset(table)


_NO_FONT = (
    "this is no font that can be read; allowed: TrueType and OpenType (.ttf, .otf, .ttc);"
    " name another font, or none for the built-in one"
)
