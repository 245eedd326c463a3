"""What the scalars of a board mean: each field type turns the written text into its value.

A text that cannot mean anything is refused as `rule.refuse` says.
"""

from __future__ import annotations

import re
import unicodedata
from datetime import date
from fractions import Fraction
from typing import Annotated, Literal

from animatic.board.keys import days, durations, sizes, worktimes
from animatic.board.keys.durations import Duration, parse_duration, parse_panel_duration
from animatic.board.keys.meant import (
    clock_meant,
    number_meant,
    rate_meant,
    size_meant,
    tighten_meant,
    whole_meant,
)
from animatic.board.keys.rule import Rule, refuse
from animatic.errors import nearest
from animatic.frames import RATES

__all__ = [
    "SHOT_SIZES",
    "Clock",
    "Date",
    "FilePath",
    "Length",
    "Licence",
    "Loudness",
    "MediaPattern",
    "Name",
    "Offset",
    "PanelLength",
    "PictureSize",
    "RateName",
    "ShotRef",
    "ShotSize",
    "StartLabel",
    "Switch",
    "Tighten",
    "Weekdays",
    "Words",
    "WorkOffset",
    "WorkTime",
    "choice",
    "number",
    "whole",
]

SHOT_SIZES = ("EWS", "WS", "LS", "MLS", "MS", "MCU", "CU", "ECU")
"""From widest to closest, the trade's abbreviations."""
_KINDS = ("INSERT", "OTS", "POV", "2S")
_LONGEST_NAME = 40
_INTEGER = re.compile(r"[+-]?\d{1,20}", re.ASCII)
_DECIMAL = re.compile(r"[+-]?\d{1,20}(?:\.\d{1,20})?", re.ASCII)
_LEADING_ZERO = re.compile(r"[+-]?0\d")


def _name(text: str) -> str:
    text = text.strip()
    if not text or not text.isprintable():
        raise refuse(ascii(text), "a name on one line, without invisible characters")
    if len(text) > _LONGEST_NAME:
        raise refuse(f"a name of {len(text)} characters", f"at most {_LONGEST_NAME}")
    return text


def _words(text: str) -> str:
    text = " ".join(text.split())
    if not text:
        raise refuse("an empty text", "some words")
    return text


def _file_path(text: str) -> str:
    if not text.strip():
        raise refuse("an empty text", "the path of a file")
    if any(unicodedata.category(character) == "Cc" for character in text):
        raise refuse(ascii(text), "the path of a file, without invisible characters")
    if "\\" in text:
        hint = f"write {text.replace(chr(92), '/')}"
        if re.match(r"[A-Za-z]:|\\\\", text):
            name = text.replace(chr(92), "/").rpartition("/")[2]
            hint = f"copy it into the board's folder, and write photos/{name}"
        raise refuse(text, "a path with forward slashes, on every system", hint)
    return text


def _offset(text: str) -> Duration:
    try:
        return parse_duration(text)
    except ValueError as fault:
        raise refuse(*fault.args) from None


def _duration(text: str) -> Duration:
    return _above_zero(_offset(text))


def _panel_duration(text: str) -> Duration:
    try:
        length = parse_panel_duration(text)
    except ValueError as fault:
        raise refuse(*fault.args) from None
    if length.own is not None:
        _above_zero(length.own)
    return _above_zero(length)


def _above_zero(length: Duration) -> Duration:
    if not (length.seconds or length.frames or length.counted_seconds):
        raise refuse(length.text, "a length above zero")
    return length


def _work_offset(text: str) -> Duration:
    try:
        return worktimes.parse_work_time(text)
    except ValueError as fault:
        raise refuse(*fault.args) from None


def _work_time(text: str) -> Duration:
    if re.fullmatch("0{1,4}", text.strip()):
        raise refuse(text, "a length above zero")
    return _above_zero(_work_offset(text))


def _rate(text: str) -> str:
    if text not in RATES:
        hint = rate_meant(text)
        raise refuse(text, ", ".join(RATES), hint)
    return text


_SWITCHES = {
    "true": ("true", "yes", "y", "on", "1", "ja", "ano"),
    "false": ("false", "no", "n", "off", "0", "nein", "ne"),
}


def _switch(text: str) -> bool:
    if text not in ("true", "false"):
        meant = next((word for word, meaning in _SWITCHES.items() if text.lower() in meaning), "")
        raise refuse(text or "an empty text", "true or false", f"write {meant}" if meant else "")
    return text == "true"


def _picture_size(text: str) -> tuple[int, int]:
    try:
        return sizes.parse_size(text)
    except ValueError as fault:
        raise refuse(*fault.args) from None


def _shot_size(text: str) -> str:
    known = (*SHOT_SIZES, *_KINDS)
    words = text.split()
    for word in words:
        if word not in known:
            meant = size_meant(text, known)
            close = meant or nearest(word.upper(), known)
            hint = f"write {meant}" if meant else f"did you mean {close}?" if close else ""
            raise refuse(text, ", ".join(known) + ", or two of them as MS OTS", hint)
    if not words or len(set(words)) < len(words) or len(set(words) & set(SHOT_SIZES)) > 1:
        raise refuse(text or "an empty text", "one size, and what kind of shot, as MS OTS")
    return " ".join(words)


def _shot_ref(text: str) -> str:
    match = re.fullmatch(r"shot\s+(.+)", text.strip())
    if not match:
        bare = re.sub(r"^\s*shots?[\s.:#]*", "", text, flags=re.IGNORECASE).strip()
        hint = f"write: shot {bare}" if bare and " " not in bare else ""
        if both := re.fullmatch(r"(\w+)\s*(?:to|until|bis|-|\u2013)\s*(\w+)", bare):
            hint = f"write from: shot {both[1]} and until: shot {both[2]}"
        raise refuse(text or "an empty text", "the word shot and its name, as shot 10", hint)
    return _name(match[1])


def _start_label(text: str) -> str:
    if not re.fullmatch(r"\d\d:\d\d:\d\d[:;]\d\d", text):
        hint = "a semicolon before the frames stands for drop-frame"
        raise refuse(text, "a timecode as 01:00:00:00", hint)
    return text


def _media_pattern(text: str) -> str:
    allowed = "a name with {shot} in it, and {take} if you like"
    if "{shot}" not in text or not text.isprintable():
        raise refuse(text or "an empty text", allowed)
    rest = text.replace("{shot}", "").replace("{take}", "")
    if "{" in rest or "}" in rest or "/" in rest:
        raise refuse(text, allowed, "other braces and slashes have no meaning here")
    return text


_LICENCES = "to buy, bought with a receipt as bought R-1041, own, or free with terms as free CC0"


def _licence(text: str) -> str:
    text = _words(text)
    state, _, rest = text.partition(" ")
    if text in ("to buy", "own") or (state in ("bought", "free") and rest):
        return text
    if state in ("bought", "free"):
        what = "the receipt or order" if state == "bought" else "the terms, as free CC0"
        raise refuse(text, _LICENCES, f"add {what}")
    close = nearest(text.lower(), ("to buy", "bought", "own", "free"))
    if re.match(r"(?i)cc[ -]?(by|0)|public domain", text):
        raise refuse(text, _LICENCES, f"write free {text}")
    raise refuse(text, _LICENCES, f"did you mean {close}?" if close else "")


def _clock(text: str) -> str:
    match = re.fullmatch(r"(\d{1,2}):(\d\d)", text)
    if not match or int(match[1]) > 23 or int(match[2]) > 59:
        is_date = re.fullmatch(r"\d{4}-\d{1,2}-\d{1,2}", text)
        hint = f"write first_day: {text}" if is_date else clock_meant(text)
        raise refuse(text, "a time of day, as 09:00", hint)
    return f"{int(match[1]):02}:{match[2]}"


def _date(text: str) -> date:
    try:
        return days.parse_date(text)
    except ValueError as fault:
        raise refuse(*fault.args) from None


def _weekdays(text: str) -> frozenset[int]:
    try:
        return days.parse_weekdays(text)
    except ValueError as fault:
        raise refuse(*fault.args) from None


def _integer(text: str, least: int, most: int) -> int:
    if not _INTEGER.fullmatch(text) or _LEADING_ZERO.match(text):
        raise refuse(text, f"a whole number from {least} to {most}", whole_meant(text, least, most))
    if not least <= int(text) <= most:
        raise refuse(text, f"from {least} to {most}")
    return int(text)


def _number(text: str, least: float, most: float, unit: str) -> Fraction:
    allowed = f"a number from {least:g} to {most:g}{unit and f' ({unit})'}"
    if not _DECIMAL.fullmatch(text) or _LEADING_ZERO.match(text):
        raise refuse(text, allowed, number_meant(text, least, most))
    if not least <= Fraction(text) <= most:
        is_part = (least, most) == (0, 1) and Fraction(text) > 1
        raise refuse(text, allowed, "0.5 is half of the photo" if is_part else "")
    return Fraction(text)


def _loudness(text: str) -> Fraction | Literal["none"]:
    if text == "none":
        return "none"
    if text.lower() in ("none", "null", "off", "~"):
        raise refuse(text, _LOUDNESS, "write none")
    # Without its sign, or with its unit.
    bare = re.fullmatch(r"[+-]?([1-9]\d(?:\.\d+)?) *(?:LUFS|LKFS|LU|dB)?", text, re.IGNORECASE)
    if bare and text != f"-{bare[1]}":
        raise refuse(text, _LOUDNESS, f"write -{bare[1]}")
    if (
        not _DECIMAL.fullmatch(text)
        or _LEADING_ZERO.match(text)
        or not -40 <= Fraction(text) <= -10
    ):
        raise refuse(text or "an empty text", _LOUDNESS)
    return Fraction(text)


def _tighten(text: str) -> tuple[Fraction, Fraction, Fraction]:
    allowed = "a factor from 1 to 20, and a place in parts of width and height, as 1.6 at 0.4 0.3"
    match = re.fullmatch(r"(\S+)\s+at\s+([\d.]+)(?:\s*,\s*|\s+)([\d.]+)", text.strip())
    if match is None or not all(_DECIMAL.fullmatch(part) for part in match.groups()):
        meant = tighten_meant(text)
        raise refuse(text or "an empty text", allowed, meant and f"write {meant}")
    factor, x, y = (Fraction(part) for part in match.groups())
    if not 1 <= factor <= 20 or not 0 <= x <= 1 or not 0 <= y <= 1:
        raise refuse(text, allowed)
    return factor, x, y


_LOUDNESS = "a number from -40 to -10 (LUFS), or none"
_LOUDNESS_SCHEMA = {
    "anyOf": [{"type": "number", "minimum": -40, "maximum": -10}, {"enum": ["none"]}]
}
_NAME_SCHEMA = {"type": ["string", "number"], "minLength": 1}
_LENGTH_SCHEMA = {
    "type": "string",
    "pattern": r"^[0-9].*[sfmh0-9]$",
    "description": f"A length of time: {durations.ALLOWED}",
}
_WORK_SCHEMA = {
    "type": "string",
    "minLength": 2,
    "pattern": worktimes.PATTERN,
    "description": f"A length of work: {worktimes.ALLOWED}",
}
_PANEL_LENGTH_SCHEMA = {
    "type": "string",
    "pattern": r"^([0-9][^~]*[sfmh0-9]|([0-9][^~]*[smh] *)?~ *"
    r"([0-9][0-9smh ]*f|[0-9]+\+[0-9]{1,2}|[0-9:]{11}))$",
    "description": f"A length of time: {durations.ALLOWED}; or {durations.FITTED}",
}
_RATES_SCHEMA = {"enum": [float(rate) if "." in rate else int(rate) for rate in RATES]}
_PIXELS_SCHEMA = {"type": "string", "pattern": r"^\d+ *x *\d+$"}
_SIZES = ", ".join((*SHOT_SIZES, *_KINDS))
_SIZES_SCHEMA = {"type": "string", "examples": [*SHOT_SIZES, *_KINDS]}
_REF = "the word shot and its name, as shot 10"
_REF_SCHEMA = {"type": "string", "pattern": r"^shot +\S"}
_TIGHTEN_SCHEMA = {"type": "string", "pattern": r"^[\d.]+ +at +[\d.]+( *, *| +)[\d.]+$"}
_TIGHTEN = "a factor and a place, as 1.6 at 0.4 0.3"
_LABEL = "a timecode as 01:00:00:00"
_LABEL_SCHEMA = {"type": "string", "pattern": r"^\d\d:\d\d:\d\d[:;]\d\d$"}
_LICENCE_SCHEMA = {"type": "string", "pattern": r"^(to buy|own|(bought|free) +\S.*)$"}
_DATE_SCHEMA = {"type": "string", "format": "date", "pattern": r"^\d{4}-\d{1,2}-\d{1,2}$"}
_DAYS_SCHEMA = {"type": "string", "examples": ["mon-fri", "mon,wed,sat"]}

Name = Annotated[str, Rule(_name, "a name", _NAME_SCHEMA)]
Words = Annotated[str, Rule(_words, "some words", {"type": ["string", "number", "boolean"]})]
FilePath = Annotated[str, Rule(_file_path, "the path of a file", {"type": "string"})]
Length = Annotated[Duration, Rule(_duration, durations.ALLOWED, _LENGTH_SCHEMA)]
WorkTime = Annotated[Duration, Rule(_work_time, worktimes.ALLOWED, _WORK_SCHEMA)]
WorkOffset = Annotated[Duration, Rule(_work_offset, worktimes.ALLOWED, _WORK_SCHEMA)]
PanelLength = Annotated[Duration, Rule(_panel_duration, durations.ALLOWED, _PANEL_LENGTH_SCHEMA)]
Offset = Annotated[Duration, Rule(_offset, durations.ALLOWED, _LENGTH_SCHEMA)]
RateName = Annotated[str, Rule(_rate, ", ".join(RATES), _RATES_SCHEMA)]
Switch = Annotated[bool, Rule(_switch, "true or false", {"type": "boolean"})]
PictureSize = Annotated[tuple[int, int], Rule(_picture_size, sizes.ALLOWED, _PIXELS_SCHEMA)]
ShotSize = Annotated[str, Rule(_shot_size, _SIZES, _SIZES_SCHEMA)]
ShotRef = Annotated[str, Rule(_shot_ref, _REF, _REF_SCHEMA)]
Licence = Annotated[str, Rule(_licence, _LICENCES, _LICENCE_SCHEMA)]
Tighten = Annotated[tuple[Fraction, Fraction, Fraction], Rule(_tighten, _TIGHTEN, _TIGHTEN_SCHEMA)]
Loudness = Annotated[Fraction | Literal["none"], Rule(_loudness, _LOUDNESS, _LOUDNESS_SCHEMA)]
Clock = Annotated[str, Rule(_clock, "a time of day, as 09:00", {"type": "string"})]
Date = Annotated[date, Rule(_date, days.ALLOWED_DATE, _DATE_SCHEMA)]
Weekdays = Annotated[frozenset[int], Rule(_weekdays, days.ALLOWED_DAYS, _DAYS_SCHEMA)]
MediaPattern = Annotated[str, Rule(_media_pattern, "a name with {shot}", {"type": "string"})]
StartLabel = Annotated[str, Rule(_start_label, _LABEL, _LABEL_SCHEMA)]


def whole(least: int, most: int) -> Rule:
    """Return the rule of a whole number from `least` to `most`."""
    schema = {"type": "integer", "minimum": least, "maximum": most}
    allowed = f"a whole number from {least} to {most}"
    return Rule(lambda text: _integer(text, least, most), allowed, schema)


def number(least: float, most: float, unit: str = "") -> Rule:
    """Return the rule of a decimal number, kept exact, from `least` to `most`."""
    schema = {"type": "number", "minimum": least, "maximum": most}
    allowed = f"a number from {least:g} to {most:g}"
    return Rule(lambda text: _number(text, least, most, unit), allowed, schema)


def choice(*words: str) -> Rule:
    """Return the rule of one word out of a few."""

    def choose(text: str) -> str:
        if text not in words:
            parts = [word for word in words if word in re.split(r"\W+", text.lower())]
            close = parts[0] if len(parts) == 1 else nearest(text.lower(), words)
            raise refuse(text, " or ".join(words), f"did you mean {close}?" if close else "")
        return text

    literals = [int(word) if word.isdecimal() else word for word in words]
    return Rule(choose, " or ".join(words), {"enum": literals})
