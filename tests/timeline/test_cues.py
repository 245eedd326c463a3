"""Where sounds lie: to the sample, from exact fractions; ranges, fades, and the film's end."""

from __future__ import annotations

from fractions import Fraction
from math import floor
from pathlib import Path

import pytest

from animatic.errors import BoardError
from animatic.frames import RATES
from animatic.timeline import Timeline
from animatic.timeline.model import Cue
from tests.boards import HEAD, BoardFolder
from tests.timeline.plans import FPS


def nearest(value: Fraction) -> int:
    """Return the nearest whole number, halves upwards."""
    return floor(value + Fraction(1, 2))


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    """A photo; a bell of 0.5 s at 48 kHz, and a tide of 10 s at 44.1 kHz."""
    board = BoardFolder(tmp_path)
    board.photo()
    board.sound("bell.wav", samples=24_000)
    board.sound("tide.wav", samples=441_000, rate=44_100)
    return board


def film(board: BoardFolder, music: str = "", sounds: str = "", rate: str = "24") -> Timeline:
    """Three shots of 25, 48 and 31 frames; the sounds are on the second."""
    return board.lay_out(
        f"{HEAD}rate: {rate}\n"
        f"music: [{music}]\n"
        "panels:\n"
        "  - {shot: 10, photo: a.jpg, duration: 25f}\n"
        f"  - {{shot: 20, photo: a.jpg, duration: 48f, sounds: [{sounds}]}}\n"
        "  - {shot: 30, photo: a.jpg, duration: 31f}\n"
    )


@pytest.mark.parametrize("rate", RATES)
def test_an_effect_begins_at_the_exact_sample_at_every_rate(rate: str, board: BoardFolder) -> None:
    sounds = "{file: bell.wav}, {file: bell.wav, at: 7f}, {file: bell.wav, at: 0.123s, level: -4.5}"
    timeline = film(board, sounds=sounds, rate=rate)
    origin = 25 / FPS[rate]
    expected = []
    for at, level in ((Fraction(0), 0.0), (7 / FPS[rate], 0.0), (Fraction("0.123"), -4.5)):
        start, end = (
            nearest((origin + at) * 48_000),
            nearest((origin + at + Fraction(1, 2)) * 48_000),
        )
        expected.append(Cue("effects", board.folder / "bell.wav", start, end, "20", level=level))
    assert list(timeline.cues) == expected


@pytest.mark.parametrize("rate", RATES)
def test_music_lies_over_its_range_of_shots_at_every_rate(rate: str, board: BoardFolder) -> None:
    timeline = film(board, "{file: tide.wav, from: shot 20, until: shot 20}", rate=rate)
    (cue,) = timeline.cues
    assert (cue.bus, cue.shot, cue.skip) == ("music", "20", 0)
    assert cue.start == nearest(25 / FPS[rate] * 48_000)
    assert cue.end == nearest(73 / FPS[rate] * 48_000)


@pytest.mark.parametrize(
    ("music", "start", "end"),
    [
        # The film has 104 frames, 208 000 samples; shot 20 begins at 50 000, shot 30 at 146 000.
        ("{file: tide.wav}", 0, 208_000),
        ("{file: tide.wav, until: shot 30}", 0, 208_000),
        ("{file: tide.wav, until: shot 10}", 0, 50_000),
        ("{file: tide.wav, from: shot 30}", 146_000, 208_000),
        ("{file: tide.wav, from: shot 10, until: shot 20}", 0, 146_000),
        # A bell of 24 000 samples ends before the shot does.
        ("{file: bell.wav, until: shot 10}", 0, 24_000),
        ("{file: bell.wav, from: shot 20}", 50_000, 74_000),
        # Skipping leaves less of it: 10 s - 8.25 s are 84 000 samples.
        ("{file: tide.wav, skip: 8.25s}", 0, 84_000),
        ("{file: bell.wav, from: shot 20, skip: 6f}", 50_000, 62_000),
    ],
)
def test_ranges_of_music(music: str, start: int, end: int, board: BoardFolder) -> None:
    (cue,) = film(board, music).cues
    assert (cue.start, cue.end) == (start, end)


def test_skip_is_counted_at_the_rate_of_the_mix(board: BoardFolder) -> None:
    (cue,) = film(board, "{file: tide.wav, skip: 1.5s}").cues
    assert cue.skip == 72_000


@pytest.mark.parametrize(
    ("sound", "start", "end", "skip"),
    [
        ("{file: bell.wav, length: 6f}", 50_000, 62_000, 0),
        ("{file: bell.wav, at: 6f, length: 0.1s}", 62_000, 66_800, 0),
        ("{file: bell.wav, length: 9s}", 50_000, 74_000, 0),
        ("{file: bell.wav, skip: 0.25s, length: 9s}", 50_000, 62_000, 12_000),
        ("{file: bell.wav, skip: 0.25s, length: 2f}", 50_000, 54_000, 12_000),
        # It goes on over the cuts, and stops at the film's end.
        ("{file: tide.wav}", 50_000, 208_000, 0),
    ],
)
def test_how_much_of_an_effect_plays(
    sound: str, start: int, end: int, skip: int, board: BoardFolder
) -> None:
    (cue,) = film(board, sounds=sound).cues
    assert (cue.start, cue.end, cue.skip) == (start, end, skip)


@pytest.mark.parametrize(
    ("music", "fade_in", "fade_out"),
    [
        ("{file: tide.wav, fade_in: 0.5s, fade_out: 12f}", 24_000, 24_000),
        ("{file: tide.wav, fade_in: 0s, fade_out: 1s}", 0, 48_000),
        # No fade is longer than what plays.
        ("{file: bell.wav, fade_in: 2s}", 24_000, 0),
        ("{file: bell.wav, fade_out: 2s}", 0, 24_000),
        ("{file: tide.wav, until: shot 10, fade_out: 4s}", 0, 50_000),
        ("{file: tide.wav, from: shot 30, fade_out: 4s}", 0, 62_000),
    ],
)
def test_fades(music: str, fade_in: int, fade_out: int, board: BoardFolder) -> None:
    (cue,) = film(board, music).cues
    assert (cue.fade_in, cue.fade_out) == (fade_in, fade_out)


def test_a_sound_that_would_begin_after_the_film_is_left_out(board: BoardFolder) -> None:
    # The second shot begins at frame 25; the film ends 79 frames later.
    assert film(board, sounds="{file: bell.wav, at: 79f}").cues == ()
    (cue,) = film(board, sounds="{file: bell.wav, at: 78f}").cues
    assert (cue.start, cue.end) == (206_000, 208_000)


def test_a_recorded_line_is_a_cue_and_an_unrecorded_one_is_none(board: BoardFolder) -> None:
    timeline = board.lay_out(
        f"{HEAD}panels:\n"
        "  - shot: 10\n"
        "    photo: a.jpg\n"
        "    dialogue:\n"
        "      - {who: Odd, line: Late., voice: bell.wav, level: -6}\n"
        "      - {who: Pim, line: Late?}\n"
        "    sounds: [{file: bell.wav, licence: own}]\n"
    )
    line = timeline.lines[0]
    file = board.folder / "bell.wav"
    assert timeline.cues == (
        Cue("dialogue", file, line.start, line.end, "10", level=-6.0),
        Cue("effects", file, 0, 24_000, "10", licence="own"),
    )
    assert (line.start, line.end) == (14_400, 38_400)


def test_a_line_that_runs_beyond_the_film_stops_with_it(board: BoardFolder) -> None:
    timeline = board.lay_out(
        f"{HEAD}panels:\n"
        "  - {shot: 10, photo: a.jpg, duration: 12f,"
        " dialogue: [{who: Odd, line: Late., voice: bell.wav}]}\n"
    )
    (cue,) = timeline.cues
    assert (cue.start, cue.end, timeline.samples) == (14_400, 24_000, 24_000)
    assert timeline.lines[0].end == 38_400


def test_cues_come_music_first_then_panel_by_panel(board: BoardFolder) -> None:
    timeline = film(board, "{file: tide.wav, from: shot 30}", "{file: bell.wav}, {file: tide.wav}")
    assert [(cue.bus, cue.file.name) for cue in timeline.cues] == [
        ("music", "tide.wav"),
        ("effects", "bell.wav"),
        ("effects", "tide.wav"),
    ]


def test_a_skip_that_leaves_nothing_is_refused_and_one_that_leaves_a_sample_is_not(
    board: BoardFolder,
) -> None:
    with pytest.raises(BoardError) as fault:
        film(board, sounds="{file: bell.wav, skip: 0.5s}")
    assert str(fault.value).endswith(
        "panels[2].sounds[1].skip (shot 20): 0.5s left out of a sound of 0.500 s leaves nothing;"
        " allowed: less than 0.500s"
    )
    (cue,) = film(board, sounds="{file: bell.wav, skip: 0.49998s}").cues
    assert (cue.start, cue.end) == (50_000, 50_001)
