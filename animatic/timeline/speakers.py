"""Names of speakers that look misspelt: not in the cast, or nearly another speaker's name."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from animatic.errors import nearest

__all__ = ["odd_speakers"]

_SHORTEST = 4
"""Letters of a name from which on one letter more or less is a slip (common practice)."""


def odd_speakers(spoken: Iterable[str], cast: Sequence[str]) -> Iterator[tuple[str, str, str]]:
    """Yield each name that looks misspelt, with what is odd and a hint.

    `spoken` has a name for each line. Where there is a cast, everybody who speaks is looked
    for in it; of two names that differ in capitals or by a letter, the one with fewer lines is
    odd, unless the cast has both.

    >>> list(odd_speakers(["Odd", "Ood"], ["Odd", "Pim"]))
    [('Ood', 'Ood is not in the cast', 'did you mean Odd? In the cast are Odd, Pim')]
    >>> list(odd_speakers(["Marta", "Marta", "marta"], []))
    [('marta', 'marta speaks, and Marta does', 'write one name alike, if they are one')]
    """
    lines = Counter(spoken)
    for name in lines:
        if cast and name not in cast:
            close = nearest(name, cast)
            meant = f"did you mean {close}? " if close else ""
            listed = f"{'In' if meant else 'in'} the cast are {', '.join(cast)}"
            yield name, f"{name} is not in the cast", meant + listed
            continue
        for other in lines:
            has_both = name in cast and other in cast
            is_rarer = (lines[name], -_at(lines, name)) < (lines[other], -_at(lines, other))
            if is_rarer and not has_both and _is_slip(name, other):
                found = f"{name} speaks, and {other} does"
                yield name, found, "write one name alike, if they are one"
                break


def _at(lines: Counter[str], name: str) -> int:
    return list(lines).index(name)


def _is_slip(one: str, other: str) -> bool:
    """Whether two names differ in capitals alone, or by one letter put in, left out or wrong.

    >>> _is_slip("Marta", "Martha"), _is_slip("Man 1", "Man 2"), _is_slip("Tim", "Tom")
    (True, False, False)
    """
    first, second = sorted((one.casefold(), other.casefold()), key=len)
    if first == second:
        return True
    if len(first) < _SHORTEST or len(second) - len(first) > 1:
        return False
    at = next((i for i, letter in enumerate(first) if letter != second[i]), len(first))
    is_letter = second[at].isalpha() and (at == len(first) or first[at].isalpha())
    rest = first[at:] if len(first) < len(second) else first[at + 1 :]
    return is_letter and rest == second[at + 1 :]
