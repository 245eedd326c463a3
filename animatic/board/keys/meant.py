"""What people write where a board wants a number or a word of its own, and what they mean.

Nothing here is taken for the value: it is offered in the message, and written by the person.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from animatic.frames import RATES

__all__ = [
    "clock_meant",
    "number_meant",
    "rate_meant",
    "size_meant",
    "tighten_meant",
    "whole_meant",
]

_FULL = {
    "extreme wide": "EWS", "very wide": "EWS", "extreme long": "EWS", "establishing": "EWS",
    "wide": "WS", "long": "LS", "full": "LS", "full length": "LS",
    "medium long": "MLS", "mid long": "MLS", "medium wide": "MLS", "three quarter": "MLS",
    "medium": "MS", "mid": "MS", "waist": "MS",
    "medium close up": "MCU", "medium close": "MCU", "mid close up": "MCU", "mid close": "MCU",
    "close up": "CU", "close": "CU",
    "extreme close up": "ECU", "extreme close": "ECU", "big close up": "ECU",
    "very close up": "ECU", "detail": "INSERT", "insert": "INSERT", "cutaway": "INSERT",
    "over the shoulder": "OTS", "over shoulder": "OTS", "point of view": "POV",
    "subjective": "POV", "two": "2S", "2": "2S",
}  # fmt: skip
"""The trade's words for the sizes (common practice, from memory)."""
_OTHER_LETTERS = {"ELS": "EWS", "XLS": "EWS", "VWS": "EWS", "FS": "LS", "MWS": "MLS", "XCU": "ECU"}
_OTHER_LETTERS |= {"BCU": "ECU", "VCU": "ECU", "INS": "INSERT", "OS": "OTS", "TWO": "2S"}


def size_meant(text: str, known: Sequence[str]) -> str:
    """Return the letters of a size that is written in full, or in letters of other houses.

    >>> [size_meant(words, ("WS", "OTS")) for words in ("wide shot", "Close-Up", "ws closeup")]
    ['WS', 'CU', 'WS CU']
    """
    words = re.sub(r"[\s_/,-]+", " ", text.lower().replace("closeup", "close up")).strip()
    words = words.removesuffix(" shot").removesuffix(" shots")
    if words in _FULL:
        return _FULL[words]
    found = []
    for word in text.upper().replace("-", " ").split():
        meant = word if word in known else _OTHER_LETTERS.get(word) or _FULL.get(word.lower())
        found.append(meant or ("CU" if word == "CLOSEUP" else ""))
    return " ".join(found) if all(found) else ""


_NUMBER_WORDS = {"one": 1, "two": 2, "three": 3, "four": 4}


def whole_meant(text: str, least: int, most: int) -> str:
    """Return a hint where a word, or a number with its unit, stands for a whole number.

    >>> whole_meant("twos", 1, 8), whole_meant("2f", 1, 8), whole_meant("many", 1, 8)
    ('write 2', 'write 2', '')
    """
    word = text.lower().removeprefix("on ").strip().removesuffix("s")
    match = re.fullmatch(r"0*(\d{1,9})(?:[.,]0+)?\s*[a-z%]*", word, re.ASCII)
    number = _NUMBER_WORDS.get(word, int(match[1]) if match else least - 1)
    return f"write {number}" if least <= number <= most else ""


def number_meant(text: str, least: float, most: float) -> str:
    """Return a hint where a number has its unit, a comma, or a typeset minus.

    >>> number_meant("-6 dB", -60, 12), number_meant("0,5", 0, 1), number_meant("50 %", 0, 1)
    ('write -6', 'write 0.5', 'write 0.5')
    """
    bare = text.strip().replace("\u2212", "-").replace("\u2013", "-").replace(",", ".")
    match = re.fullmatch(r"([+-]?)\s*(\d{1,9})?(\.\d{1,9})?\s*([A-Za-z/:%]*)1?", bare, re.ASCII)
    if match is None or not (match[2] or match[3]):
        return ""
    number = Fraction(f"{match[1]}{match[2] or 0}{match[3] or ''}")
    if match[4] == "%" and most == 1:
        number /= 100
    return f"write {float(number):g}" if least <= number <= most else ""


_PART = r"([01](?:\s*[.,]\s*\d{1,9})?)"
_TIGHTEN = re.compile(
    rf"(\d{{1,2}}(?:\s*[.,]\s*\d{{1,9}})?)(?:\s+at\s+{_PART}(?:\s*[,;]\s*|\s+){_PART})?", re.ASCII
)


def tighten_meant(text: str) -> str:
    """Return a framing that is written with decimal commas, or without its place, as it goes.

    It has no comma, so that it may stand between braces as well.

    >>> tighten_meant("1,6 at 0,4, 0,3"), tighten_meant("1.6"), tighten_meant("1.6 at 4 3")
    ('1.6 at 0.4 0.3', '1.6 at 0.5 0.5', '')
    """
    match = _TIGHTEN.fullmatch(text.strip())
    if match is None:
        return ""
    factor, *place = (re.sub(r"\s*[.,]\s*", ".", part or "0.5") for part in match.groups())
    is_possible = 1 <= Fraction(factor) <= 20 and all(Fraction(part) <= 1 for part in place)
    return f"{factor} at {' '.join(place)}" if is_possible else ""


def rate_meant(text: str) -> str:
    """Return a hint where a rate has its unit, a comma, or is rounded.

    >>> rate_meant("24 fps"), rate_meant("23,98"), rate_meant("23")
    ('write 24', 'write 23.976', '')
    """
    close = {"23.98": "23.976", "24000/1001": "23.976", "30000/1001": "29.97"}
    bare = re.sub(r"\s*(fps|f/s|p|hz|frames\b.*|bilder\b.*|b/s)$", "", text.strip().lower())
    bare = re.sub(r"\.0+$", "", bare.replace(",", "."))
    meant = close.get(bare, bare)
    return f"write {meant}" if meant in RATES else ""


def clock_meant(text: str) -> str:
    """Return a hint where a time of day is written in another way.

    >>> clock_meant("9"), clock_meant("9.30"), clock_meant("9 am"), clock_meant("noon")
    ('write 09:00', 'write 09:30', 'write 09:00', '')
    """
    near = re.fullmatch(r"(\d{1,2})(?:[.h](\d\d)?)?\s*(am|h|uhr|o'clock)?", text, re.IGNORECASE)
    return f"write {int(near[1]):02}:{near[2] or '00'}" if near and int(near[1]) < 24 else ""
