"""The mouth chart: on which frame each word of a line begins, and the mouth's shapes through it.

Where there is a sound, its voiced spans are handed in and the words are laid on them by their
letters and syllables, with the pauses between spans at marks of punctuation where that can be.
A line without a sound is taken as one span with short pauses at its marks. Words found so are
off by a frame or two, some by four: the animator's ear has the last word.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, pairwise
from pathlib import Path

from animatic.frames import apportion, frames_from_samples, round_half_up
from animatic.timeline.model import Line, Timeline
from animatic.timeline.pronounce import mouth_shapes, syllables, weight, words_of

__all__ = ["Chart", "Span", "Spans", "Word", "line_words", "mouth_chart"]

Span = tuple[int, int]
"""A stretch with voice in it, half-open, in samples at 48 kHz from the sound's start."""
Spans = Mapping[Path, Sequence[Span]]

_PAUSES = {",": 4, ";": 4, ":": 4, "—": 4, "–": 4, "…": 8, ".": 8, "?": 8, "!": 8}
"""The weight of a pause at a mark: that of a short word, or of two (common practice)."""
_UNMARKED = 0.08
"""What a pause without a mark costs: as much as being off by a fifth of the line."""
_CLOSERS = "\"'”’»)]"


@dataclass(frozen=True, slots=True)
class Word:
    """A word of a line, on film frames [start, end); `end` is at least a frame after `start`."""

    text: str
    syllables: int
    start: int
    end: int
    shapes: tuple[tuple[int, str], ...] = ()
    """Film frame and mouth shape, where the word's sounds are known."""


Chart = Mapping[int, Sequence[Word]]
"""The words of each line of a film, by the line's number."""


def mouth_chart(timeline: Timeline, spans: Spans) -> dict[int, tuple[Word, ...]]:
    """Return the words of each line by the line's number; `spans` are by sound file."""
    return {
        line.number: line_words(timeline, line, spans.get(line.voice, ()) if line.voice else ())
        for line in timeline.lines
    }


def line_words(timeline: Timeline, line: Line, spans: Sequence[Span] = ()) -> tuple[Word, ...]:
    """Return the words of one line; without spans they are estimated over its length."""
    words = words_of(line.text)
    if not words:
        return ()
    length = line.end - line.start
    inside = [(max(0, a), min(b, length)) for a, b in spans if a < min(b, length)]
    ranges = _on_spans(words, inside) if inside else _estimated(words, length)
    made = []
    for text, (first, last) in zip(words, ranges, strict=True):
        start, end = (frames_from_samples(line.start + at, timeline.rate) for at in (first, last))
        end = max(end, start + 1)
        made.append(Word(text, syllables(text), start, end, _shapes(text, start, end)))
    return tuple(made)


def _pause(word: str) -> int:
    bare = word.rstrip(_CLOSERS)
    return _PAUSES.get(bare[-1:], 0)


def _estimated(words: Sequence[str], length: int) -> list[Span]:
    """Return each word's samples where only the whole line's length is known."""
    weights: list[int] = []
    for word in words:
        weights += [weight(word), _pause(word)]
    weights[-1] = 0
    total = sum(weights)
    ends = [round_half_up(Fraction(sum_ * length, total)) for sum_ in accumulate(weights)]
    return [(a, b) for a, b in zip([0, *ends[1::2]], ends[::2], strict=False)]


def _on_spans(words: Sequence[str], spans: Sequence[Span]) -> list[Span]:
    """Return each word's samples within the voiced spans: no word goes on over a pause."""
    while len(spans) > len(words):
        spans = _narrowest_joined(spans)
    found: list[Span] = []
    for group, (first, last) in zip(_grouped(words, spans), spans, strict=True):
        weights = [weight(word) for word in group]
        marks = [
            first + round_half_up(Fraction(sum_ * (last - first), sum(weights)))
            for sum_ in accumulate(weights, initial=0)
        ]
        found += pairwise(marks)
    return found


def _narrowest_joined(spans: Sequence[Span]) -> list[Span]:
    """Return the spans with the two that lie closest together made one."""
    at = min(range(1, len(spans)), key=lambda i: (spans[i][0] - spans[i - 1][1], i))
    return [*spans[: at - 1], (spans[at - 1][0], spans[at][1]), *spans[at + 1 :]]


def _grouped(words: Sequence[str], spans: Sequence[Span]) -> list[Sequence[str]]:
    """Share the words among the spans, in order and none left empty.

    Of all ways the one is taken whose words agree best with the spans' lengths (least
    squares); a pause where there is no mark of punctuation costs extra.
    """
    weights = [weight(word) for word in words]
    whole = sum(weights)
    voiced = sum(end - start for start, end in spans)
    upto = [0.0, *(sum_ / whole for sum_ in accumulate(weights))]
    # best[k] is the least cost of laying the first k words on the spans up to now, and where
    # the groups before begin.
    best: dict[int, tuple[float, tuple[int, ...]]] = {0: (0.0, ())}
    for start, end in spans:
        part = (end - start) / voiced
        best = {
            k: min(
                (cost + (upto[k] - upto[j] - part) ** 2 + _break_cost(words, j), (*begins, j))
                for j, (cost, begins) in best.items()
                if j < k
            )
            for k in range(1, len(words) + 1)
            if any(j < k for j in best)
        }
    begins = [*best[len(words)][1], len(words)]
    return [words[a:b] for a, b in pairwise(begins)]


def _break_cost(words: Sequence[str], at: int) -> float:
    return 0.0 if at == 0 or _pause(words[at - 1]) else _UNMARKED


def _shapes(text: str, start: int, end: int) -> tuple[tuple[int, str], ...]:
    """Return the shapes through a word on its frames; those with less than a frame are left out."""
    shapes = mouth_shapes(text)
    if not shapes:
        return ()
    frames = apportion([part for _, part in shapes], end - start)
    found: list[tuple[int, str]] = []
    at = start
    for (shape, _), count in zip(shapes, frames, strict=True):
        if count and (not found or found[-1][1] != shape):
            found.append((at, shape))
        at += count
    return tuple(found)
