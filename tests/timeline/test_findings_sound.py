"""Findings about dialogue and sound: each in full, and silent just beside its threshold."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from animatic.audiofacts import AudioFacts
from animatic.board.voices import Spoken
from animatic.timeline import lay_out
from animatic.timeline.findings import findings
from tests.boards import HEAD, BoardFolder, panels

Find = Callable[..., list[str]]


@pytest.fixture
def find(tmp_path: Path) -> Find:
    """What is found in panels of one kind; there are sounds of one and two seconds."""
    board = BoardFolder(tmp_path)
    board.photo()
    board.sound("one.wav", samples=48_000)
    board.sound("two.wav", samples=96_000)
    return board.found


# ---------------------------------------------------------------------------- dialogue


def test_a_line_that_overruns_its_panel(find: Find) -> None:
    text = """
        - shot: 10
          photo: a.jpg
          duration: 30f
          dialogue: [{who: Odd, line: Late., voice: one.wav}]
        """
    # 0.3 s of lead and 1 s of voice are 31.2 frames.
    assert find("dialogue", text) == [
        "7:14: shot 10: the line of Odd runs 1 frame over its panel's end;"
        " the panel needs 31f at 24"
    ]


def test_a_line_that_ends_with_its_panel_is_none(find: Find) -> None:
    text = """
        - shot: 10
          photo: a.jpg
          duration: 31f
          dialogue: [{who: Odd, line: Late., voice: one.wav}]
        """
    assert find("dialogue", text) == []


def test_the_later_of_two_lines_is_the_one_named(find: Find) -> None:
    text = """
        - shot: 10
          photo: a.jpg
          duration: 40f
          dialogue:
            - {who: Odd, line: Late., voice: one.wav}
            - {who: Pim, line: Late?, voice: one.wav}
        """
    # 0.3 + 1 + 0.3 + 1 s are 62.4 frames.
    assert find("dialogue", text) == [
        "9:7: shot 10: the line of Pim runs 22 frames over its panel's end;"
        " the panel needs 62f at 24"
    ]


NEXT = "- {shot: 20, photo: a.jpg}"


def test_a_line_that_may_run_over_the_cut_is_none(find: Find) -> None:
    text = """
- shot: 10
  photo: a.jpg
  duration: 30f
  dialogue: [{who: Odd, line: Late., voice: one.wav, over: next}]
"""
    assert find("dialogue", f"{text}{NEXT}") == []
    assert find("dialogue", text) == [
        "7:14: shot 10: the line of Odd runs 1 frame over the film's end; no shot follows that it"
        " could run into: give this one more time"
    ]


def test_lines_that_are_spoken_at_once(find: Find) -> None:
    second = NEXT.replace("}", ", dialogue: [{who: Pim, line: No., at: §}]}")
    text = """
- shot: 10
  photo: a.jpg
  duration: 30f
  dialogue: [{who: Odd, line: Late., voice: one.wav, over: next}]
"""
    assert find("together", f"{text}{second.replace('§', '0s')}") == [
        "8:39: shot 20: the line of Pim begins 1 frame before Odd's ends; both are heard, and two"
        " captions stand at once: mean it, or begin it later"
    ]
    assert find("together", f"{text}{second.replace('§', '1f')}") == []


# ----------------------------------------------------------------------------- reading


QUICK = f"{HEAD}speech: {{words_per_minute: 400, lead: 0s}}\n"
"""Words so quick that they fit any panel here: 0.15 s each."""


def test_words_that_stand_too_short_to_be_read(find: Find) -> None:
    """0.3 s a word (BBC Subtitle Guidelines v1.2): five words need 1.5 s, 36 frames."""
    line = "dialogue: [{who: Odd, line: The tide is very late.}]"
    assert find("reading", f"- {{shot: 10, photo: a.jpg, duration: 34f, {line}}}", QUICK) == [
        "5:3: shot 10: 5 words of dialogue stand for 1.4 s; reading them takes 1.5 s"
    ]
    assert find("reading", f"- {{shot: 10, photo: a.jpg, duration: 36f, {line}}}", QUICK) == []


def test_words_over_the_cut_stand_as_long_as_they_are_spoken(find: Find) -> None:
    line = "dialogue: [{who: Odd, line: The tide is very late., over: next}]"
    text = f"- {{shot: 10, photo: a.jpg, duration: 24f, {line}}}\n{NEXT}"
    assert find("reading", text) == []
    # 0.75 s of line, from the panel's start on; the film's end takes the words away.
    quick = text.replace("24f", "12f")
    assert find("reading", quick, QUICK) == [
        "5:3: shot 10: 5 words of dialogue stand for 0.8 s; reading them takes 1.5 s"
    ]
    assert find("reading", text.replace(NEXT, "")) == [
        "4:3: shot 10: 5 words of dialogue stand for 1.0 s; reading them takes 1.5 s"
    ]


def test_one_word_stands_a_second(find: Find) -> None:
    """A caption stays 1 s or more (Ivarsson and Carroll, Code of Good Subtitling Practice)."""
    line = "dialogue: [{who: Odd, line: Late.}]"
    assert find("reading", f"- {{shot: 10, photo: a.jpg, duration: 22f, {line}}}", QUICK) == [
        "5:3: shot 10: 1 word of dialogue stands for 0.9 s; reading them takes 1.0 s"
    ]
    assert find("reading", f"- {{shot: 10, photo: a.jpg, duration: 24f, {line}}}", QUICK) == []


def test_words_that_are_not_lettered_need_no_reading(find: Find) -> None:
    line = "dialogue: [{who: Odd, line: The tide is very late.}]"
    head = f"{QUICK}lettering: {{dialogue: false}}\n"
    assert find("reading", f"- {{shot: 10, photo: a.jpg, duration: 34f, {line}}}", head) == []


# ---------------------------------------------------------------------- tight, caption


TEN = "one two three four five six seven eight nine ten"
FAST = "over 200 hardly anyone follows"
AGAIN = f"{FAST}: record it again, slower or with fewer words"
TIGHT = f"{FAST}: give it time, or cut words"


def test_more_words_than_a_panel_has_time_for(find: Find) -> None:
    """10 words in 3 s are 200 a minute; common practice: hardly anyone follows more."""
    line = f"dialogue: [{{who: Odd, line: {TEN}, at: 0s}}]"
    text = f"- {{shot: 10, photo: a.jpg, duration: 72f, {line}}}"
    assert find("tight", text) == []
    assert find("tight", text.replace("72f", "71f")) == [
        f"4:54: shot 10: 10 words in 2.96 s are 203 words a minute; {TIGHT}"
    ]
    # What is before the line is no time for it.
    assert find("tight", text.replace("at: 0s", "at: 1f"))[0].startswith("4:54: shot 10: 10 w")
    assert find("tight", text.replace("at: 0s", "at: 72f")) == [
        f"4:54: shot 10: 10 words have no time at all; {TIGHT}"
    ]


def test_lines_of_a_panel_share_its_time(find: Find) -> None:
    # 0.3 s lead, 0.3 s gap; 5 words and 5 in 3 s of 3.6 s (86.4 frames).
    five = "{who: Odd, line: one two three four five}"
    text = f"- {{shot: 10, photo: a.jpg, duration: 87f, dialogue: [{five}, {five}]}}"
    assert find("tight", text) == []
    assert find("tight", text.replace("87f", "86f")) == [
        f"4:54: shot 10: 10 words in 2.98 s are 201 words a minute; {TIGHT}"
    ]
    # A recording takes its own 2 s; 1.5 s of 4.1 s (98.4 frames) are left.
    recorded = five.replace("}", ", voice: two.wav}")
    text = f"- {{shot: 10, photo: a.jpg, duration: 99f, dialogue: [{recorded}, {five}]}}"
    assert find("tight", text) == []
    assert find("tight", text.replace("99f", "98f")) == [
        f"4:113: shot 10: 5 words in 1.48 s are 202 words a minute; {TIGHT}"
    ]


def test_a_line_over_the_cut_has_its_own_time(find: Find) -> None:
    # Five words at the usual 160 a minute, in a panel of a second.
    line = "dialogue: [{who: Odd, line: one two three four five, over: next}]"
    text = f"- {{shot: 10, photo: a.jpg, duration: 1s, {line}}}\n{NEXT}"
    assert find("tight", text) == []
    assert find("tight", text.replace(", over: next", "")) == [
        f"4:53: shot 10: 5 words in 0.70 s are 429 words a minute; {TIGHT}"
    ]
    # At 240 a minute it is too fast wherever the cut lies.
    head = f"{HEAD}cast: {{Odd: {{words_per_minute: 240}}}}\n"
    assert find("tight", text, head) == [
        f"5:53: shot 10: 5 words in 1.25 s are 240 words a minute; {FAST}: lower"
        " words_per_minute of Odd under cast"
    ]
    assert find("tight", text, f"{HEAD}speech: {{words_per_minute: 240}}\n") == [
        f"5:53: shot 10: 5 words in 1.25 s are 240 words a minute; {FAST}: lower"
        " words_per_minute under speech"
    ]


def test_a_scratch_voice_may_speak_as_fast_as_it_does(tmp_path: Path) -> None:
    board = BoardFolder(tmp_path)
    board.photo()
    # 10 words at 150 a minute take 4 s; the machine speaks them in 2.5 s, which are 240 a minute.
    path = board.sound("spoken.wav", samples=120_000)
    head = f"{HEAD}speech: {{scratch: false}}\ncast: {{Odd: {{words_per_minute: 150}}}}\n"

    def found(length: str) -> list[str]:
        line = f"dialogue: [{{who: Odd, line: {TEN}, at: 0s}}]"
        text = panels(f"- {{shot: 10, photo: a.jpg{length}, {line}}}", head)
        read = board.read(text)
        read.media.sounds[path] = AudioFacts(120_000, 48_000, 1)
        spoken = replace(read, spoken=Spoken({("Odd", TEN): path}))
        film = lay_out(spoken)
        assert film.lines[0].scratch
        assert film.lines[0].end == 120_000
        return [one.hint for one in findings(spoken, film) if one.kind == "tight"]

    assert found("") == found(", duration: 3s") == found(", duration: 60f") == []
    # Where the panel ends before it does, the panel is too short: more time helps.
    assert found(", duration: 58f") == [TIGHT]


def test_a_recording_is_measured_by_its_own_length(tmp_path: Path) -> None:
    board = BoardFolder(tmp_path)
    board.photo()
    # 10 words in 1.41 s, in a panel of its own length and in one of ten seconds.
    board.sound("fast.wav", samples=67_680)
    board.sound("three.wav", samples=144_000)
    for length in ("", ", duration: 10s"):
        line = f"dialogue: [{{who: Odd, line: {TEN}, voice: fast.wav}}]"
        text = f"- {{shot: 10, photo: a.jpg{length}, {line}}}"
        (found,) = board.found("tight", text)
        # No other length of the panel makes a recording slower.
        assert found.endswith(f"shot 10: 10 words in 1.41 s are 426 words a minute; {AGAIN}")
        assert board.found("tight", text.replace("fast", "three")) == []
        # 24 frames are too few for it; but what is heard is the recording, whole.
        assert board.found("tight", text.replace("fast", "three").replace("10s", "24f")) == []


def test_the_silence_round_the_words_is_no_time_for_them(tmp_path: Path) -> None:
    board = BoardFolder(tmp_path)
    board.photo()
    # Five seconds of which 1.41 are speech; 0.3 s of pause go with it.
    path = board.sound("still.wav", samples=240_000)
    line = f"dialogue: [{{who: Odd, line: {TEN}, voice: still.wav}}]"
    read = board.read(panels(f"- {{shot: 10, photo: a.jpg, {line}}}"))
    voiced = {path: 67_680}
    (found,) = (one for one in findings(read, lay_out(read), (), voiced) if one.kind == "tight")
    assert found.words == "10 words in 1.71 s are 351 words a minute"
    assert not findings(read, lay_out(read), (), {path: 144_000})


def test_a_call_has_no_pace(find: Find) -> None:
    line = "dialogue: [{who: Odd, line: Wait for, at: 0s}]"
    text = f"- {{shot: 10, photo: a.jpg, duration: 12f, {line}}}"
    assert find("tight", text) == []
    assert len(find("tight", text.replace("Wait for", "Wait for me"))) == 1


def test_a_caption_that_stands_less_than_a_second(find: Find) -> None:
    line = "dialogue: [{who: Odd, line: Late., voice: one.wav}, {who: Pim, line: No.}]"
    text = f"- {{shot: 10, photo: a.jpg, {line}}}"
    assert find("caption", text) == [
        "4:80: shot 10: the caption of Pim stands for 0.38 s;"
        " a caption needs a second to be seen: give the line more time,"
        " or join it with its neighbour"
    ]


# ------------------------------------------------------------------------ late effects


def test_an_effect_that_begins_only_after_its_panel(find: Find) -> None:
    text = """
        - {shot: 10, photo: a.jpg, duration: 48f, sounds: [{file: one.wav, at: 2s}]}
        - {shot: 20, photo: a.jpg}
        """
    assert find("late", text) == [
        "4:72: shot 10: the sound begins 2s into a panel of 48 frames;"
        " put it on the panel where it is heard"
    ]
    assert find("late", text.replace("at: 2s", "at: 47f")) == []


# ------------------------------------------------------------------------ silent music


@pytest.mark.parametrize(
    ("music", "words"),
    [
        (
            "{file: one.wav, until: shot 20}",
            ["3:32: shot 10: the music ends 72 frames before the end of shot 20;"
             " take a longer piece"],
        ),
        ("{file: one.wav, until: shot 10, from: shot 10}", []),
        (
            "{file: two.wav, from: shot 20, until: shot 20, skip: 2f}",
            [],
        ),
        ("{file: one.wav}", []),
    ],
)  # fmt: skip
def test_music_that_ends_before_it_should(music: str, words: list[str], find: Find) -> None:
    text = "- {shot: 10, photo: a.jpg, duration: 24f}\n- {shot: 20, photo: a.jpg, duration: 72f}"
    if "two.wav" in music:  # 2 s less 2 frames are 46 frames
        text = text.replace("72f", "46f")
    assert find("music", text, f"{HEAD}music: [{music}]\n") == words


def test_music_one_frame_too_short(find: Find) -> None:
    text = "- {shot: 10, photo: a.jpg, duration: 24f}"
    head = f"{HEAD}music: [{{file: one.wav, skip: 1f, until: shot 10}}]\n"
    assert find("music", text, head) == [
        "3:42: shot 10: the music ends 1 frame before the end of shot 10; take a longer piece"
    ]
