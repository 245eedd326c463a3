"""The captions against WebVTT: The Web Video Text Tracks Format (W3C).

The reader below takes only what section 4, "Syntax", allows a writer; browsers, webvtt-py and
ffmpeg take far more.
"""

from __future__ import annotations

import html
import re
from dataclasses import dataclass
from fractions import Fraction
from io import StringIO

import pytest
import webvtt
from hypothesis import given, settings
from hypothesis import strategies as st

from animatic.frames import RATES, Rate
from animatic.sheets import write_captions
from animatic.timeline.model import Timeline
from tests.sheets.timelines import Said, Take, film, films, low_water

STAMP = r"(?:(\d{2,}):)?([0-5]\d):([0-5]\d)\.(\d{3})"
TIMING = re.compile(rf"{STAMP}[ \t]+-->[ \t]+{STAMP}")
CHARACTER = r"&(?:amp|lt|gt|lrm|rlm|nbsp|#\d+|#[xX][0-9a-fA-F]+);"
VOICE = re.compile(rf"<v ((?:[^\n\r&>]|{CHARACTER})+)>(.*)</v>", re.DOTALL)
WORDS = re.compile(rf"(?:[^&<]|{CHARACTER})+")


@dataclass(frozen=True)
class Cue:
    name: str
    start: int
    end: int
    who: str
    words: str


def milliseconds(parts: tuple[str | None, ...]) -> int:
    hours, minutes, seconds, rest = (int(part or 0) for part in parts)
    return ((hours * 60 + minutes) * 60 + seconds) * 1000 + rest


def strict(content: str) -> tuple[list[Cue], list[str]]:
    """Return cues and notes; ValueError names the rule of the syntax that is broken."""
    if "\0" in content or "\r" in content:
        raise ValueError("no NULL; our line ends are LF")
    head, *blocks = re.split(r"\n{2,}", content.removesuffix("\n"))
    if not re.fullmatch(r"WEBVTT(?:[ \t][^\n]*)?", head):
        raise ValueError(f"the first line is WEBVTT, then an empty line: {head!r}")
    cues: list[Cue] = []
    notes: list[str] = []
    for block in blocks:
        if note := re.fullmatch(r"NOTE(?:[ \t\n](.*))?", block, re.DOTALL):
            if "-->" in block:
                raise ValueError(f"no arrow in a note: {block!r}")
            notes.append(note[1])
            continue
        cue = _cue(block)
        if cues and cue.start < cues[-1].start:
            raise ValueError(f"starts never go back: {block!r}")
        cues.append(cue)
    names = [cue.name for cue in cues if cue.name]
    if len(set(names)) != len(names):
        raise ValueError("every identifier is given once")
    return cues, notes


def _cue(block: str) -> Cue:
    name, _, rest = block.partition("\n") if "-->" not in block.split("\n")[0] else ("", "", block)
    timing, _, payload = rest.partition("\n")
    found = TIMING.fullmatch(timing)
    if not found:
        raise ValueError(f"start, arrow and end, with three decimals: {timing!r}")
    start, end = milliseconds(found.groups()[:4]), milliseconds(found.groups()[4:])
    if end <= start:
        raise ValueError(f"the end comes after the start: {timing!r}")
    if not payload or "-->" in payload:
        raise ValueError(f"a cue has words, and no arrow in them: {block!r}")
    voice = VOICE.fullmatch(payload)
    who, words = (voice[1], voice[2]) if voice else ("", payload)
    if not WORDS.fullmatch(words):
        raise ValueError(f"& and < are escaped: {words!r}")
    if voice and not who.strip():
        raise ValueError(f"a voice has a name: {payload!r}")
    return Cue(name, start, end, html.unescape(who), html.unescape(words))


@pytest.mark.parametrize(
    ("content", "rule"),
    [
        ("WEBVTT\n00:00.000 --> 00:01.000\na\n", "the first line is WEBVTT"),
        ("WEBVTTX\n\n00:00.000 --> 00:01.000\na\n", "the first line is WEBVTT"),
        ("WEBVTT\n\n00:00.00 --> 00:01.000\na\n", "start, arrow and end"),
        ("WEBVTT\n\n00:00,000 --> 00:01,000\na\n", "start, arrow and end"),
        ("WEBVTT\n\n00:00.000-->00:01.000\na\n", "start, arrow and end"),
        ("WEBVTT\n\n0:00:00.000 --> 0:00:01.000\na\n", "start, arrow and end"),
        ("WEBVTT\n\n00:60.000 --> 00:61.000\na\n", "start, arrow and end"),
        ("WEBVTT\n\n00:01.000 --> 00:01.000\na\n", "the end comes after the start"),
        ("WEBVTT\n\n00:01.000 --> 00:02.000\na & b\n", "& and < are escaped"),
        ("WEBVTT\n\n00:01.000 --> 00:02.000\na < b\n", "& and < are escaped"),
        ("WEBVTT\n\n00:01.000 --> 00:02.000\na --> b\n", "a cue has words, and no arrow"),
        ("WEBVTT\n\n00:01.000 --> 00:02.000\n\nNOTE\n", "a cue has words"),
        ("WEBVTT\n\n00:01.000 --> 00:02.000\n<v  >a</v>\n", "a voice has a name"),
        ("WEBVTT\n\nNOTE a --> b\n", "no arrow in a note"),
        ("WEBVTT\n\n00:02.000 --> 00:03.000\na\n\n00:01.000 --> 00:03.000\nb\n", "starts never"),
        (
            "WEBVTT\n\n1\n00:00.000 --> 00:03.000\na\n\n1\n00:01.000 --> 00:03.000\nb\n",
            "given once",
        ),
    ],
)
def test_the_strict_reader_is_strict(content: str, rule: str) -> None:
    with pytest.raises(ValueError, match=rule):
        strict(content)


def captions(timeline: Timeline) -> str:
    content = write_captions(timeline)
    assert isinstance(content, str)
    return content


def spoken(*said: Said, frames: int = 2000, rate: str = "24", title: str = "") -> Timeline:
    return film(Take("10", [(frames, 2, said)]), rate=rate, title=title)


def test_captions_in_full() -> None:
    assert captions(low_water(start=86_400)) == (
        "WEBVTT\n"
        "\n"
        "NOTE Low Water\n"
        "\n"
        "1\n"
        "00:00:00.500 --> 00:00:02.083\n"
        "<v Odd>The tide is late.</v>\n"
        "\n"
        "2\n"
        "00:00:05.875 --> 00:00:06.625\n"
        '<v Pim>[sigh] It\'s | *always* late, "Odd".</v>\n'
        "\n"
        "3\n"
        "00:00:06.833 --> 00:00:06.834\n"
        "&lt;i&gt;Gulls&lt;/i&gt; &amp; wind\n"
        "\n"
        "4\n"
        "00:00:07.292 --> 00:00:07.958\n"
        "<v Odd>Listen.</v>\n"
        "\n"
        "5\n"
        "00:00:08.375 --> 00:00:10.875\n"
        "<v Pim>Ёлки, it’s the bell — at last!</v>\n"
    )


# The nearest millisecond of frames at 24 frames a second, by arithmetic: 7/24 = .291666...
@pytest.mark.parametrize(
    ("frame", "stamp"),
    [
        *[(7, "00:00:00.292"), (11, "00:00:00.458")],
        *[(100, "00:00:04.167"), (1439, "00:00:59.958")],
    ],
)
def test_times_are_the_nearest_millisecond(frame: int, stamp: str) -> None:
    assert f"\n{stamp} --> 00:01:00.000\n" in captions(spoken(("Odd", "Late.", frame, 1440)))


def test_hours() -> None:
    timeline = spoken(("Odd", "Still late.", 100 * 86_400, 100 * 86_400 + 1), frames=10**7)
    assert strict(captions(timeline))[0] == [
        Cue("1", 100 * 3_600_000, 100 * 3_600_000 + 42, "Odd", "Still late.")
    ]


def test_a_line_of_no_frames_is_there_for_a_millisecond() -> None:
    assert strict(captions(spoken(("Odd", "Oh.", 24, 24))))[0] == [
        Cue("1", 1000, 1001, "Odd", "Oh.")
    ]


def test_lines_that_overlap_come_in_order_of_their_starts() -> None:
    timeline = spoken(("Odd", "b", 48, 60), ("Pim", "a", 12, 90), ("Odd", "c", 48, 50))
    assert [cue.words for cue in strict(captions(timeline))[0]] == ["a", "b", "c"]


def test_no_dialogue_and_no_title() -> None:
    assert captions(spoken()) == "WEBVTT\n"


@pytest.mark.parametrize(
    ("who", "words", "block"),
    [
        ("A & B <C>", "Tom & Jo", "<v A &amp; B &lt;C&gt;>Tom &amp; Jo</v>"),
        ("", "1 --> 2", "1 --&gt; 2"),
        ("x --> y", "z", "<v x -&gt; y>z</v>"),
        ("Odd\nPim", "one\n\n\n  two\x00\n", "<v Odd Pim>one\ntwo</v>"),
        (" ", "<v Pim>no</v>", "&lt;v Pim&gt;no&lt;/v&gt;"),
        ("Odd", "&lt;", "<v Odd>&amp;lt;</v>"),
    ],
)
def test_what_would_break_a_cue_is_escaped(who: str, words: str, block: str) -> None:
    content = captions(spoken((who, words, 0, 24), title="one\n\n--> two"))
    assert content == f"WEBVTT\n\nNOTE one -> two\n\n1\n00:00:00.000 --> 00:00:01.000\n{block}\n"


def lines(words: str) -> str:
    """Return the lines of the words that are not empty, as a caption shows them."""
    # White space stays, U+001C to U+001F and U+0085 too; other C0 and C1 controls go.
    cleaned = re.sub("[\x00-\x08\x0e-\x1b\x7f-\x84\x86-\x9f]", "", words)
    kept = (" ".join(line.split()) for line in cleaned.splitlines())
    return "\n".join(line for line in kept if line)


@settings(deadline=None)
@given(films())
def test_captions_of_any_film(timeline: Timeline) -> None:
    cues, _ = strict(captions(timeline))
    number = {str(line.number): line for line in timeline.lines}
    assert {cue.name for cue in cues} <= set(number)
    fps = timeline.rate.fps
    for cue in cues:
        line = number[cue.name]
        # Nearest both ways: the millisecond leads back to the frame.
        assert abs(cue.start - Fraction(line.first_frame * 1000) / fps) <= Fraction(1, 2)
        if line.end_frame > line.first_frame:
            assert abs(cue.end - Fraction(line.end_frame * 1000) / fps) <= Fraction(1, 2)
        else:
            assert cue.end == cue.start + 1


@settings(deadline=None)
@given(st.text(max_size=40), st.text(max_size=20))
def test_any_words_and_any_speaker(words: str, who: str) -> None:
    cues, _ = strict(captions(spoken((who, words, 0, 24))))
    assert [cue.words for cue in cues] == ([lines(words)] if lines(words) else [])
    assert [cue.who for cue in cues] == [" ".join(lines(who).replace("-->", "->").split())] * len(
        cues
    )


@settings(deadline=None)
@given(films())
def test_another_reader_sees_the_same(timeline: Timeline) -> None:
    # webvtt-py is lax, but not ours.
    content = captions(timeline)
    found = [
        (cue.identifier, cue.start_in_seconds, cue.end_in_seconds)
        for cue in webvtt.from_buffer(StringIO(content))
    ]
    cues, _ = strict(content)
    assert [name for name, _, _ in found] == [cue.name for cue in cues]
    assert [start for _, start, _ in found] == [cue.start // 1000 for cue in cues]
    assert [end for _, _, end in found] == [cue.end // 1000 for cue in cues]


def test_another_reader_sees_the_voices() -> None:
    found = webvtt.from_buffer(StringIO(captions(low_water())))
    assert [(cue.start, cue.end, cue.voice, cue.text) for cue in found][:2] == [
        ("00:00:00.500", "00:00:02.083", "Odd", "The tide is late."),
        ("00:00:05.875", "00:00:06.625", "Pim", '[sigh] It\'s | *always* late, "Odd".'),
    ]


@pytest.mark.parametrize("rate", RATES)
def test_milliseconds_lead_back_to_their_frames(rate: str) -> None:
    fps = Rate.named(rate).fps
    said = [("Odd", "x", frame, frame + 1) for frame in range(0, 2000, 7)]
    cues, _ = strict(captions(spoken(*said, frames=2010, rate=rate)))
    assert [int(Fraction(cue.start, 1000) * fps + Fraction(1, 2)) for cue in cues] == list(
        range(0, 2000, 7)
    )
