"""Lengths of time as a board writes them: seconds, frames, both, feet+frames, timecode.

A panel's length may also say what `fit` made of it: `2.5s ~58f` was written as 2.5s and has 58
frames, until it is fitted again.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction

from animatic.frames import Rate
from animatic.timecode import frames_from_feet

__all__ = [
    "ALLOWED",
    "FITTED",
    "LONGEST",
    "Duration",
    "fitted",
    "parse_duration",
    "parse_panel_duration",
]

ALLOWED = "2.5s, 60f, 2s12f, 1m4s, 3+08 (35 mm feet+frames) or 00:00:02:12"
FITTED = "~58f, or 2.5s ~58f (what was written, and the frames that fit made of it)"
_UNITS = re.compile(
    r"(?:(?P<h>\d+)\s*h)?\s*(?:(?P<m>\d+)\s*m)?\s*(?:(?P<s>\d+(?:\.\d+)?)\s*s)?\s*(?:(?P<f>\d+)\s*f)?",
    re.ASCII,
)
_LABEL = re.compile(r"(\d\d):(\d\d):(\d\d):(\d\d)", re.ASCII)
_NUMBER = re.compile(r"0*(?P<whole>\d+)(?P<part>\.\d+)?", re.ASCII)
_CLOCK = re.compile(r"(\d{1,2}):(\d\d)", re.ASCII)
_WORDS = {
    "hours?|hrs?|stunden?|std": "h",
    "minutes?|minuten?|mins?": "m",
    "seconds?|secs?|sekunden?|sek": "s",
    "frames?|frms?|fr|bilder": "f",
}
_MOST_CHARACTERS = 40
LONGEST = 24 * 3600
"""Seconds that no length goes beyond."""
_MOST_FRAMES = LONGEST * 60


@dataclass(frozen=True, slots=True)
class Duration:
    """A length: either exact seconds, or a count of frames that is never altered.

    A count is `frames` plus `counted_seconds` whole seconds of timecode, which have the
    rate's nominal number of frames each (24 at 23.976), as on any timecode counter.
    """

    text: str
    seconds: Fraction | None = None
    counted_seconds: int = 0
    frames: int = 0
    is_fitted: bool = False
    """Whether the count is one that `fit` made, and may make anew."""
    own: Duration | None = None
    """Of a fitted count: what was written before; None where nothing was."""

    @property
    def is_count(self) -> bool:
        """Whether the length is an explicit number of frames."""
        return self.seconds is None

    @property
    def is_own_count(self) -> bool:
        """Whether it is a count that the film-maker wrote, so that `fit` leaves it alone."""
        return self.is_count and not self.is_fitted

    def in_frames(self, rate: Rate) -> Fraction:
        """Return the exact length in frames; whole where `is_count`.

        >>> parse_duration("2s12f").in_frames(Rate.named("23.976"))
        Fraction(60, 1)
        >>> parse_duration("2.5s").in_frames(Rate.named("23.976"))
        Fraction(60000, 1001)
        """
        if self.seconds is not None:
            return self.seconds * rate.fps
        return Fraction(self.counted_seconds * rate.nominal + self.frames)

    def in_seconds(self, rate: Rate) -> Fraction:
        """Return the exact length in seconds.

        >>> parse_duration("12f").in_seconds(Rate.named("24"))
        Fraction(1, 2)
        """
        return self.seconds if self.seconds is not None else self.in_frames(rate) / rate.fps

    def __str__(self) -> str:
        return self.text


def parse_duration(text: str) -> Duration:
    """Return the length that `text` writes. ValueError(found, allowed, hint) where it is none.

    >>> parse_duration("1m4s").seconds
    Fraction(64, 1)
    >>> parse_duration("3+08").frames
    56
    """
    text = text.strip()
    if len(text) > _MOST_CHARACTERS:
        raise ValueError(f"a text of {len(text)} characters", ALLOWED, "")
    if match := _NUMBER.fullmatch(text):
        whole, part = match["whole"], match["part"] or ""
        # Frames are whole: what has a part of one behind its point can only be seconds.
        hint = f"write {whole}{part}s for seconds"
        hint += "" if part and part.strip(".0") else f" or {whole}f for frames"
        raise ValueError(f"the bare number {text}", ALLOWED, hint)
    length = _from_text(text)
    return _bounded(length)


def parse_panel_duration(text: str) -> Duration:
    """Return a panel's length, which may be a fitted one; ValueError as `parse_duration` has it.

    >>> length = parse_panel_duration("2.5s ~58f")
    >>> length.frames, length.is_fitted, str(length.own)
    (58, True, '2.5s')
    """
    own, mark, count = text.strip().partition("~")
    if not mark:
        return parse_duration(text)
    made = parse_duration(count)
    if not made.is_count:
        hint = f"seconds may move anyway: write {own.strip() or made}"
        raise ValueError(text.strip(), FITTED, hint)
    written = parse_duration(own) if own.strip() else None
    if written is not None and written.is_count:
        hint = f"a count stays as it is written: write {written}, or ~{made} to let it move"
        raise ValueError(text.strip(), FITTED, hint)
    return fitted(written, made)


def fitted(own: Duration | None, made: Duration) -> Duration:
    """Return a length that was written as `own`, and is the count `made` until fitted again.

    >>> str(fitted(None, parse_duration("58f")))
    '~58f'
    """
    text = f"{own} ~{made}" if own is not None else f"~{made}"
    return replace(made, text=text, is_fitted=True, own=own)


def _bounded(length: Duration) -> Duration:
    whole_seconds = (length.seconds or 0) + length.counted_seconds
    if whole_seconds > LONGEST or length.frames > _MOST_FRAMES:
        raise ValueError(length.text, "at most 24 hours", "")
    return length


def _from_text(text: str) -> Duration:
    if "+" in text:
        return _from_feet(text)
    if match := _LABEL.fullmatch(text):
        hour, minute, second, frame = (int(part) for part in match.groups())
        if minute > 59 or second > 59:
            raise ValueError(text, ALLOWED, "minutes and seconds go to 59")
        counted = (hour * 60 + minute) * 60 + second
        return Duration(text, counted_seconds=counted, frames=frame)
    match = _UNITS.fullmatch(text)
    if "~" in text:
        hint = "only the duration of a panel is fitted: write it without the ~"
        raise ValueError(text, ALLOWED, hint)
    if not text or not match or not any(match.groups()):
        raise ValueError(text or "an empty text", ALLOWED, _hint(text))
    return _from_units(text, match)


def _hint(text: str) -> str:
    if match := _CLOCK.fullmatch(text):
        return f"write {int(match[1])}m{int(match[2])}s for minutes and seconds"
    if re.fullmatch(r"\d{1,2}:\d\d:\d\d", text, re.ASCII):
        return f"a timecode ends with frames: write {text.zfill(8)}:00"
    if re.fullmatch(r"\d+,\d+", text, re.ASCII):
        return f"write {text.replace(',', '.')}s for seconds"
    if text.startswith(("-", "\u2212", "\u2013")):
        return "a minus sign has no meaning here"
    meant = _plainly(text)
    return f"write {meant}" if meant else ""


def _plainly(text: str) -> str:
    """Return the length as a board writes it, from the ways people write one; "" where unclear.

    >>> _plainly("2,5s"), _plainly("2 sec"), _plainly("60 Frames"), _plainly("1.5 min")
    ('2.5s', '2s', '60f', '1m30s')
    """
    if re.fullmatch(r"\d\d:\d\d:\d\d[;.,]\d\d", text, re.ASCII):
        return text[:8] + ":" + text[9:]
    bare = re.sub(r"(?<=\d),(?=\d)", ".", text.lower().replace("\u00a0", " "))
    bare = re.sub(r"(?<![\d.])\.(?=\d)", "0.", bare)
    bare = re.sub(r"(?<=\d)[\u2033\"]", "s", re.sub(r"(?<=\d)[\u2032\u2019']", "m", bare))
    for words, unit in _WORDS.items():
        bare = re.sub(rf"(?<=[\d ])(?:{words})\b\.?", unit, bare)
    bare = re.sub(r"[\s&]|(?<=\d[hms])(?:and|,)(?= )", "", bare)
    if match := re.fullmatch(r"(\d+\.\d+)([hm])", bare, re.ASCII):
        seconds = Fraction(match[1]) * (3600 if match[2] == "h" else 60)
        if seconds.denominator == 1:
            hours, rest = divmod(int(seconds), 3600)
            parts = ((hours, "h"), (rest // 60, "m"), (rest % 60, "s"))
            bare = "".join(f"{number}{unit}" for number, unit in parts if number)
    try:
        return parse_duration(bare).text if bare != text else ""
    except ValueError:
        return ""


def _from_feet(text: str) -> Duration:
    try:
        return Duration(text, frames=frames_from_feet(text))
    except ValueError:
        meant = _plainly(text.replace("+", " ")) if re.search("[a-z]", text) else ""
        hint = f"write {meant}" if meant else "after the + stand frames, 00 to 15"
        raise ValueError(text, ALLOWED, hint) from None


def _from_units(text: str, match: re.Match[str]) -> Duration:
    whole = int(match["h"] or 0) * 3600 + int(match["m"] or 0) * 60
    seconds = whole + Fraction(match["s"] or 0)
    if match["f"] is None:
        return Duration(text, seconds=seconds)
    if seconds.denominator != 1:
        hint = "give seconds with a decimal point, or whole seconds and frames"
        raise ValueError(text, ALLOWED, hint)
    return Duration(text, counted_seconds=int(seconds), frames=int(match["f"]))
