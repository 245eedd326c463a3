"""Numbers in words, one way for all that is said and printed."""

from __future__ import annotations

from fractions import Fraction

from animatic.frames import round_half_up

__all__ = ["counted", "duration", "ones", "quoted"]

_ONES = {1: "ones", 2: "twos", 3: "threes", 4: "fours"}


def counted(number: int, word: str) -> str:
    """Return a number of things: the plural takes an s.

    >>> counted(1, "shot"), counted(2, "shot")
    ('1 shot', '2 shots')
    """
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def ones(shoot_on: int) -> str:
    """Return the trade's word for so many frames a pose.

    >>> ones(1), ones(2), ones(6)
    ('ones', 'twos', '6s')
    """
    return _ONES.get(shoot_on, f"{shoot_on}s")


def duration(seconds: Fraction | int) -> str:
    """Return a length of work in hours and the nearest minute.

    >>> duration(5400), duration(Fraction(90))
    ('1 h 30 min', '0 h 02 min')
    """
    hours, rest = divmod(round_half_up(Fraction(seconds) / 60), 60)
    return f"{hours} h {rest:02} min"


def quoted(words: str, most: int = 40) -> str:
    """Return words in quotes and on one line, cut at a word where they are long.

    >>> print(quoted("Is anybody there?"), quoted("I can smell  the coffee from here.", 20))
    "Is anybody there?" "I can smell the …"
    """
    text = " ".join(words.split())
    if len(text) > most:
        kept = text[: most - 1]
        # A script without spaces is cut where it is too long.
        text = (kept.rpartition(" ")[0] or kept).rstrip() + " …"
    return f'"{text}"'
