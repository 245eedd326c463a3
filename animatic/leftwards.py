"""Writing from right to left, as Hebrew and Arabic, where letters are drawn one after another.

What draws a line from its left wants its letters in the order in which they are seen (Unicode
Standard Annex 9, by python-bidi), and Arabic letters in the shapes that they have when joined
(by arabic-reshaper). Lines are broken before they are put in that order.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from pathlib import Path
from typing import Any

from animatic.fonts import NON_JOINER, missing_characters

__all__ = ["MARKS", "has_leftwards", "in_sight_order", "is_leftwards", "joined", "marked"]

MARKS = "\u200e\u200f"
"""Before a line, left-to-right and right-to-left: how the text is read that the line is of."""
_STRONG = ("L", "R", "AL")
_TIE = "\u2060"
_OPENING, _CLOSING = "([{<«‹⟨≤", ")]}>»›⟩≥"
_MIRRORED = dict(zip(_OPENING + _CLOSING, _CLOSING + _OPENING, strict=True))
"""Of BidiMirroring.txt (Unicode) what is met in writing."""
_SIGN = f"[{re.escape(''.join(_MIRRORED))}]"
_SEEN = re.compile(f"{_TIE}({_SIGN})|({_SIGN}){_TIE}")
_NO_SIGNS = dict.fromkeys(map(ord, MARKS + _TIE))


def has_leftwards(text: str) -> bool:
    """Whether a text has letters that are written from right to left."""
    return not text.isascii() and any(unicodedata.bidirectional(c) in ("R", "AL") for c in text)


def is_leftwards(text: str) -> bool:
    """Whether a text is read from right to left: its first letter says so (UAX 9, P2 and P3).

    >>> is_leftwards("10: שלום, Odd"), is_leftwards("Odd: שלום")
    (True, False)
    """
    if text.isascii():
        return False
    strong = (unicodedata.bidirectional(c) for c in text)
    return next((one for one in strong if one in _STRONG), "L") != "L"


def marked(lines: list[str], text: str) -> list[str]:
    """Return the lines of a text, with a mark before those that alone would be read otherwise.

    >>> marked(["שלום", "Odd"], "שלום Odd") == ["שלום", "\u200fOdd"]
    True
    """
    if not has_leftwards(text):
        return lines
    leftwards = is_leftwards(text)
    mark = MARKS[leftwards]
    return [line if is_leftwards(line) == leftwards else mark + line for line in lines]


def joined(text: str, font: Path | None) -> str:
    """Return a text with Arabic letters in their joined shapes, where the font has them all.

    >>> joined("بحر", None) == "\\ufe91\\ufea4\\ufeae"
    True
    """
    if not any(unicodedata.bidirectional(c) == "AL" for c in text):
        return text.replace(NON_JOINER, "")
    shaped = str(_shaper().reshape(text)).replace(NON_JOINER, "")
    return text.replace(NON_JOINER, "") if missing_characters(shaped, font) else shaped


@lru_cache(maxsize=1)
def _shaper() -> Any:
    from arabic_reshaper import ArabicReshaper

    # Vowel marks stay; other ligatures than that of lam and alef are a matter of taste.
    return ArabicReshaper({"delete_harakat": False, "delete_tatweel": False})


def in_sight_order(line: str, leftwards: bool | None = None) -> str:
    """Return a line with its characters in the order in which they stand from left to right.

    `leftwards` says how the text is read that the line is of; without it the line says so itself,
    by a mark or its first letter. Marks go, and brackets are turned about.

    >>> in_sight_order("(אב) 12", True)
    '12 (בא)'
    >>> in_sight_order("Odd: 12 poses")
    'Odd: 12 poses'
    """
    if leftwards is None:
        leftwards = is_leftwards(line)
    line = line.lstrip(MARKS)
    if not leftwards and not has_leftwards(line):
        return line
    from bidi import get_display

    # It turns no brackets about (rule L4). A mark behind each, which stays on its level, tells
    # where it came to stand; one at the end keeps the last of them from the level of the line.
    tied = "".join(c + _TIE if c in _MIRRORED else c for c in line) + MARKS[leftwards]
    seen = get_display(tied, base_dir="R" if leftwards else "L")
    return _SEEN.sub(_turned, seen).translate(_NO_SIGNS)


def _turned(found: re.Match[str]) -> str:
    """Return a bracket as it looks where it stands: turned about where its mark comes first."""
    turned, upright = found.groups()
    return _MIRRORED[turned] if turned else str(upright)
