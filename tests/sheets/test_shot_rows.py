"""The numbers of the shot list, worked out again here from panels alone."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from opentimelineio import opentime

from animatic.frames import RATES
from animatic.sheets.rows import COLUMNS, count_of_shots, one_line, row, run_time, text, total
from animatic.timeline.model import Shot, Timeline
from tests.sheets.timelines import Take, film, films, low_water

FPS = {
    name: Fraction(name) if "." not in name else Fraction(1000 * round(float(name)), 1001)
    for name in RATES
}


def seconds(frames: int, rate: str) -> Decimal:
    exact = frames / FPS[rate]
    long = Decimal(exact.numerator) / Decimal(exact.denominator)
    return long.quantize(Decimal("0.001"), ROUND_HALF_UP)


def poses_by_counting(shot: Shot) -> int:
    """Walk every frame to shoot and count where a new pose is set."""
    paces = [panel.shoot_on for panel in shot.panels for _ in range(panel.frames)]
    paces = (
        [paces[0]] * (shot.handles + shot.overlap_head)
        + paces
        + [paces[-1]] * (shot.overlap_tail + shot.handles)
    )
    poses = left = 0
    pace = None
    for now in paces:
        if now != pace or left == 0:
            poses, pace, left = poses + 1, now, now
        left -= 1
    return poses


def test_the_columns_and_which_are_totalled() -> None:
    assert [
        (column.key, column.heading, column.right, bool(column.total)) for column in COLUMNS
    ] == [
        ("shot", "Shot", False, False),
        ("panels", "Panels", True, True),
        ("size", "Size", False, False),
        ("setup", "Setup", False, False),
        ("first_frame", "First frame", True, False),
        ("end_frame", "End frame", True, False),
        ("frames", "Frames", True, True),
        ("poses", "Poses", True, True),
        ("seconds", "Seconds", True, True),
        ("in", "In", True, False),
        ("out", "Out", True, False),
        ("feet", "Feet 35 mm", True, True),
        ("overlap_head", "Overlap head", True, False),
        ("overlap_tail", "Overlap tail", True, False),
        ("handles", "Handles", True, False),
        ("frames_to_shoot", "Frames to shoot", True, True),
        ("dialogue", "Dialogue", False, False),
        ("notes", "Notes", False, False),
    ]


def test_every_value_of_a_film_worked_out_by_hand() -> None:
    timeline = low_water(start=86_400)
    second, third = (row(timeline, timeline.shots[index]) for index in (1, 2))
    # 31 frames on twos with 8 + 6 before them: 45 frames, 23 poses; 25 + 8 on ones: 33.
    assert second == {
        "shot": "20",
        "panels": 2,
        "size": "MCU",
        "setup": "wheelhouse-night",
        "first_frame": 108,
        "end_frame": 164,
        "frames": 56,
        "poses": 56,
        "seconds": Decimal("2.333"),
        "in": "01:00:04:12",
        "out": "01:00:06:20",
        "feet": "3+08",
        "overlap_head": 6,
        "overlap_tail": 0,
        "handles": 8,
        "frames_to_shoot": 78,
        "dialogue": timeline.shots[1].lines,
        "notes": "",
    }
    assert text(second["dialogue"]) == 'Pim: [sigh] It\'s | *always* late, "Odd".'
    # The dissolve of 7 frames asks for 4 before the cut and 3 after it; 11 frames on threes.
    assert (third["overlap_tail"], third["frames_to_shoot"], third["poses"]) == (4, 11, 4)
    assert total(timeline) == {
        "shots": 4,
        "panels": 6,
        "frames": 271,
        "poses": 185,
        "seconds": Decimal("11.292"),
        "feet": "16+15",
        "frames_to_shoot": 338,
        "run_time": "0:11.292",
    }
    assert count_of_shots(timeline) == "4 shots"
    assert count_of_shots(film(Take("10", [(1, 1)]))) == "1 shot"


# Feet and frames of 35 mm film, 16 frames a foot: ISO 491 and ISO 69 via reference texts.
@pytest.mark.parametrize(
    ("frames", "feet"),
    [
        *[(15, "0+15"), (16, "1+00"), (24, "1+08"), (96, "6+00"), (100, "6+04")],
        *[(1439, "89+15"), (1440, "90+00"), (16_000, "1000+00")],
    ],
)
def test_feet_against_the_footage_table(frames: int, feet: str) -> None:
    timeline = film(Take("10", [(frames, 2)]))
    assert row(timeline, timeline.shots[0])["feet"] == feet
    assert total(timeline)["feet"] == feet


def test_the_total_in_feet_against_a_published_sum() -> None:
    # Lustig, Music Editing for Motion Pictures, 1980: 39+14 and 1769+07 make 1809+05.
    timeline = film(Take("10", [(39 * 16 + 14, 2)]), Take("20", [(1769 * 16 + 7, 2)]))
    assert [row(timeline, shot)["feet"] for shot in timeline.shots] == ["39+14", "1769+07"]
    assert total(timeline)["feet"] == "1809+05"


# 35 mm running times at 24 frames a second (Lustig 1980): 1000 ft 11:06.67, 400 ft 4:26.67.
@pytest.mark.parametrize(("feet", "time"), [(1000, "11:06.667"), (400, "4:26.667")])
def test_the_run_time_against_published_running_times(feet: int, time: str) -> None:
    assert run_time(film(Take("10", [(feet * 16, 2)]))) == time


# The nearest millisecond of frames at 24 frames a second: 7/24, 11/24 ... by arithmetic.
@pytest.mark.parametrize(
    ("frames", "shown"), [(7, "0.292"), (11, "0.458"), (100, "4.167"), (1439, "59.958")]
)
def test_seconds_to_three_places(frames: int, shown: str) -> None:
    timeline = film(Take("10", [(frames, 2)]))
    assert text(row(timeline, timeline.shots[0])["seconds"]) == shown


def test_a_length_in_frames_reads_the_same_wherever_it_stands() -> None:
    timeline = film(*[Take(str(number), [(7, 1)]) for number in range(24)])
    assert {text(row(timeline, shot)["seconds"]) for shot in timeline.shots} == {"0.292"}
    # The sum of the rounded rows would be 7.008.
    assert text(total(timeline)["seconds"]) == "7.000"


@pytest.mark.parametrize(
    ("frames", "rate", "time"),
    [
        (86_400, "23.976", "1:00:03.600"),  # 3603.6 s
        (1440, "23.976", "1:00.060"),
        (1, "24", "0:00.042"),
        (24 * 36_000, "24", "10:00:00.000"),
    ],
)
def test_run_time_is_real_time(frames: int, rate: str, time: str) -> None:
    assert run_time(film(Take("10", [(frames, 2)]), rate=rate)) == time


# SMPTE ST 12-1 drop-frame labels (the values from memory of the standard).
def test_in_and_out_are_drop_frame_labels_where_the_timeline_says_so() -> None:
    timeline = film(Take("10", [(1800, 2)]), Take("20", [(16_182, 2)]), rate="29.97", drop=True)
    assert [(row(timeline, shot)["in"], row(timeline, shot)["out"]) for shot in timeline.shots] == [
        ("00:00:00;00", "00:01:00;02"),
        ("00:01:00;02", "00:10:00;00"),
    ]


@settings(deadline=None)
@given(films())
def test_rows_and_totals_of_any_film(timeline: Timeline) -> None:
    rate, at = timeline.rate.name, 0
    sums = dict.fromkeys(("panels", "frames", "poses", "frames_to_shoot"), 0)
    for shot in timeline.shots:
        values = row(timeline, shot)
        frames = sum(panel.end - panel.start for panel in shot.panels)
        assert (values["first_frame"], values["end_frame"]) == (at, at + frames)
        at += frames
        assert values["frames"] == frames
        assert values["poses"] == poses_by_counting(shot)
        assert values["seconds"] == seconds(frames, rate)
        assert values["feet"] == f"{frames // 16}+{frames % 16:02}"
        extra = shot.overlap_head + shot.overlap_tail + shot.handles + shot.handles
        assert values["frames_to_shoot"] == frames + extra
        assert values["dialogue"] == tuple(line for panel in shot.panels for line in panel.lines)
        for key in sums:
            sums[key] += values[key]  # type: ignore[operator]
    assert at == timeline.frames
    whole = total(timeline)
    assert {key: whole[key] for key in sums} == sums
    assert whole["frames"] == timeline.frames
    assert whole["shots"] == len(timeline.shots)
    assert whole["seconds"] == seconds(timeline.frames, rate)
    assert whole["feet"] == f"{at // 16}+{at % 16:02}"


# OpenTimelineIO has no labels at 12 and 15, and is wrong at 59.94 and past 24 hours.
@pytest.mark.parametrize(
    ("rate", "drop"),
    [
        ("24", False),
        ("25", False),
        ("30", False),
        ("23.976", False),
        ("29.97", False),
        ("29.97", True),
    ],
)
@settings(deadline=None)
@given(st.lists(st.integers(1, 40_000), min_size=1, max_size=6), st.integers(0, 200_000))
def test_labels_against_a_reference_library(
    rate: str, drop: bool, lengths: list[int], start: int
) -> None:
    takes = [Take(str(number), [(frames, 2)]) for number, frames in enumerate(lengths)]
    timeline = film(*takes, rate=rate, drop=drop, start=start)
    fps = float(timeline.rate.fps)
    at = start
    for shot, frames in zip(timeline.shots, lengths, strict=True):
        values = row(timeline, shot)
        for key, frame in (("in", at), ("out", at + frames)):
            time = opentime.RationalTime(frame, fps)
            assert values[key] == opentime.to_timecode(time, fps, drop)
        at += frames


@pytest.mark.parametrize(
    ("words", "shown"),
    [
        ("a\r\n\tb  c ", "a b c"),
        ("\x1b]0;title\x07x", "]0;titlex"),
        ("\u2028a\u2028b", "a b"),
        ("\0 a \0 b \0", "a b"),
        ("half \ud800", "half \N{REPLACEMENT CHARACTER}"),
        ("Ёлки — 🎬", "Ёлки — 🎬"),
    ],
)
def test_words_on_one_line(words: str, shown: str) -> None:
    assert one_line(words) == shown
