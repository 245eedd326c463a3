"""How long dialogue takes: recorded and estimated lines, pauses, and where each line lies.

Expected samples and frames are computed here, with Fractions, from what the board says.
"""

from __future__ import annotations

from fractions import Fraction
from math import floor
from pathlib import Path

import pytest

from animatic.frames import RATES
from animatic.timeline import Timeline
from animatic.timeline.speech import count_words
from tests.boards import HEAD, BoardFolder, panels
from tests.timeline.plans import FPS


def nearest(value: Fraction) -> int:
    """Return the nearest whole number, halves upwards."""
    return floor(value + Fraction(1, 2))


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    """A photo, and recordings of 1.5 s (at 44.1 kHz) and 0.2 s (at 48 kHz)."""
    board = BoardFolder(tmp_path)
    board.photo()
    board.sound("long.wav", samples=66_150, rate=44_100)
    board.sound("short.wav", samples=9_600)
    return board


def spoken(board: BoardFolder, dialogue: str, head: str = "", keys: str = "") -> Timeline:
    """Lay out a panel of 48 frames, and then one with this dialogue, at 24 on ones."""
    return board.lay_out(
        f"{HEAD}shoot_on: 1\n{head}panels:\n"
        "  - {shot: 10, photo: a.jpg, duration: 48f}\n"
        f"  - {{shot: 20, photo: a.jpg{keys}, dialogue: [{dialogue}]}}\n"
    )


SILENT = "speech: {lead: 0s, gap: 0s, tail: 0s}\ndefaults: {shortest: 1f}\n"
LONG = "{who: Odd, line: The tide is late., voice: long.wav}"
SHORT = "{who: Pim, line: Late., voice: short.wav}"
FOUR_WORDS = "{who: Odd, line: The tide is late.}"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("The tide is late.", 4),
        ("[sigh] Again?", 2),
        ("Well — yes, at 7…", 4),
        ("— … !", 0),
        ("", 0),
        ("It's half-past", 2),
        ("Где вода?", 2),
        # 255 letters are 158 words of Chinese, 357 are 193 of Japanese (IReST, 2012).
        ("水" * 255, 158),
        ("みず" * 178 + "水", 193),
        ("我有 2 boats", 3),
        ("물이 왔다", 2),
        ("  two\n words ", 2),
    ],
)
def test_words_are_what_has_a_letter_or_a_digit(text: str, words: int) -> None:
    assert count_words(text) == words


def test_a_recording_lasts_its_exact_length(board: BoardFolder) -> None:
    timeline = spoken(board, LONG, SILENT)
    (line,) = timeline.lines
    # 48 frames at 24 are 2 s, 96 000 samples; 1.5 s are 72 000 samples, 36 frames.
    assert (line.start, line.end) == (96_000, 168_000)
    assert (line.first_frame, line.end_frame) == (48, 84)
    assert (line.number, line.who, line.text) == (1, "Odd", "The tide is late.")
    assert line.voice == board.folder / "long.wav"
    assert timeline.panels[1].frames == 36


def test_lead_and_tail_stand_around_the_lines_and_a_gap_between(board: BoardFolder) -> None:
    head = "speech: {lead: 0.25s, gap: 12f, tail: 1s}\n"
    timeline = spoken(board, f"{LONG}, {SHORT}, {LONG}", head)
    starts = [Fraction("0.25"), Fraction("2.25"), Fraction("2.95")]
    lengths = [Fraction("1.5"), Fraction("0.2"), Fraction("1.5")]
    expected = [
        (nearest((2 + at) * 48_000), nearest((2 + at + length) * 48_000))
        for at, length in zip(starts, lengths, strict=True)
    ]
    assert [(line.start, line.end) for line in timeline.lines] == expected
    assert [line.number for line in timeline.lines] == [1, 2, 3]
    # 2.95 + 1.5 + 1 s of tail are 5.45 s: 130.8 frames.
    assert timeline.panels[1].frames == 131


def test_the_pauses_of_a_board_that_says_nothing(board: BoardFolder) -> None:
    timeline = spoken(board, f"{LONG}, {LONG}")
    # 0.3 s lead, 0.3 s gap, 0.5 s tail.
    assert [line.start for line in timeline.lines] == [110_400, 196_800]
    assert timeline.panels[1].frames == nearest(24 * Fraction("4.1"))


def test_an_unrecorded_line_takes_the_time_of_its_words(board: BoardFolder) -> None:
    timeline = spoken(board, FOUR_WORDS, SILENT)
    (line,) = timeline.lines
    # 160 words a minute: four take 1.5 s.
    assert (line.end - line.start, line.voice) == (72_000, None)
    assert timeline.panels[1].frames == 36
    assert timeline.cues == ()


@pytest.mark.parametrize(
    ("head", "seconds"),
    [
        ("speech: {words_per_minute: 120, lead: 0s, tail: 0s}\n", "2"),
        ("speech: {words_per_minute: 96.5, lead: 0s, tail: 0s}\n", Fraction(480, 193)),
        ("cast: {Odd: {words_per_minute: 240}}\nspeech: {lead: 0s, tail: 0s}\n", "1"),
        ("cast: {Pim: {words_per_minute: 240}}\nspeech: {lead: 0s, tail: 0s}\n", "1.5"),
        ("cast: {Odd: {}}\nspeech: {words_per_minute: 80, lead: 0s, tail: 0s}\n", "3"),
    ],
)
def test_each_speaker_has_a_pace(head: str, seconds: str | Fraction, board: BoardFolder) -> None:
    (line,) = spoken(board, FOUR_WORDS, head).lines
    assert line.end - line.start == nearest(Fraction(seconds) * 48_000)


def test_a_line_without_words_takes_the_time_of_one(board: BoardFolder) -> None:
    (line,) = spoken(board, "{who: Odd, line: …}", SILENT).lines
    assert line.end - line.start == nearest(Fraction(60, 160) * 48_000)


def test_a_recording_wins_over_the_words(board: BoardFolder) -> None:
    text = "{who: Odd, line: Many more words than a fifth of a second can hold., voice: short.wav}"
    (line,) = spoken(board, text, SILENT).lines
    assert line.end - line.start == 9_600


def test_at_puts_a_line_where_it_says_and_the_next_goes_on_from_there(
    board: BoardFolder,
) -> None:
    early = SHORT.replace("}", ", at: 12f}")
    dialogue = f"{LONG.replace('}', ', at: 1s}')}, {SHORT}, {early}"
    head = "speech: {lead: 0.5s, gap: 0.1s, tail: 0s}\n"
    timeline = spoken(board, dialogue, head)
    seconds = [Fraction(1), Fraction("2.6"), Fraction("0.5")]
    assert [line.start for line in timeline.lines] == [nearest((2 + at) * 48_000) for at in seconds]
    # The panel holds until the line that ends last: 2.6 + 0.2 s.
    assert timeline.panels[1].frames == nearest(24 * Fraction("2.8"))


@pytest.mark.parametrize(
    ("head", "keys", "frames"),
    [
        ("speech: {lead: 0s, tail: 0s}\n", "", 24),
        ("speech: {lead: 0s, tail: 0s}\ndefaults: {shortest: 3s}\n", "", 72),
        ("speech: {lead: 0s, tail: 0s}\ndefaults: {shortest: 3s}\n", ", shortest: 10f", 10),
        ("speech: {lead: 0s, tail: 0s}\ndefaults: {shortest: 1f}\n", "", 5),
        ("speech: {lead: 0s, tail: 0s}\n", ", duration: 3f", 3),
        ("speech: {lead: 0s, tail: 0s}\ndefaults: {duration: 9s}\n", "", 24),
    ],
)
def test_a_panel_timed_by_dialogue_is_never_below_the_shortest(
    head: str, keys: str, frames: int, board: BoardFolder
) -> None:
    """The recording of 0.2 s is 4.8 frames; an explicit length is what it is."""
    assert spoken(board, SHORT, head, keys).panels[1].frames == frames


@pytest.mark.parametrize("rate", RATES)
def test_lines_lie_to_the_sample_at_every_rate(rate: str, board: BoardFolder) -> None:
    lines = "\n".join(
        f"- {{shot: s{at}, photo: a.jpg, duration: {13 + at}f,"
        f" dialogue: [{{who: Odd, line: Late., voice: short.wav, at: 0.{at + 1}7s}}]}}"
        for at in range(8)
    )
    timeline = board.lay_out(panels(lines, f"{HEAD}rate: {rate}\n"))
    start = 0
    for at, line in enumerate(timeline.lines):
        begins = start / FPS[rate] + Fraction(f"0.{at + 1}7")
        samples = nearest(begins * 48_000), nearest((begins + Fraction("0.2")) * 48_000)
        assert (line.start, line.end) == samples
        frames = [nearest(Fraction(sample, 48_000) * FPS[rate]) for sample in samples]
        assert [line.first_frame, line.end_frame] == frames
        start += 13 + at


def test_a_dialogue_panel_ends_on_the_pose_grid(board: BoardFolder) -> None:
    text = panels(
        f"""
        - {{shot: 10, photo: a.jpg, dialogue: [{LONG}]}}
        - {{shot: 20, photo: a.jpg, dialogue: [{LONG}]}}
        """,
        f"{HEAD}shoot_on: 3\n",
    )
    # 2.3 s are 55.2 frames: 54 is the nearest threesome; 110.4 is nearest to 54 + 57.
    assert [panel.end for panel in board.lay_out(text).panels] == [54, 111]
