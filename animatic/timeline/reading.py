"""How long lettering must stand to be read."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from animatic.timeline.speech import count_words

__all__ = ["reading_seconds"]

SECONDS_A_WORD = Fraction(3, 10)
"""BBC Subtitle Guidelines v1.2: about 0.3 s a word at the least."""
LEAST_SECONDS = Fraction(1)
"""Ivarsson and Carroll, Code of Good Subtitling Practice (1998): a caption stays 1 s or more."""


def reading_seconds(texts: Iterable[str]) -> Fraction:
    """Return the seconds that texts need to be read together; 0 where there are no words.

    >>> reading_seconds(["The tide is late.", "Then call it."])
    Fraction(21, 10)
    """
    words = sum(count_words(text) for text in texts)
    return max(LEAST_SECONDS, words * SECONDS_A_WORD) if words else Fraction(0)
