"""Labels and footage over values drawn at random, and what they say when they refuse."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from animatic.frames import RATES, Rate
from animatic.timecode import (
    feet_from_frames,
    frames_from_feet,
    frames_from_label,
    label_from_frames,
)
from tests.strategies import counts, untimed


def day(rate: Rate, drop: bool) -> int:
    """Frames until labels begin again: drop-frame leaves out 108 or 216 labels an hour."""
    return 24 * (3600 * rate.nominal - (rate.nominal // 30 * 108 if drop else 0))


FRAMES = st.integers(0, 24 * 3600 * 60 - 1)


@given(counts(), FRAMES)
@untimed
def test_a_label_names_its_frame(count: tuple[Rate, bool], frame: int) -> None:
    rate, drop = count
    frame %= day(rate, drop)
    assert frames_from_label(label_from_frames(frame, rate, drop=drop), rate) == frame


@given(counts(), st.tuples(*(st.integers(0, most) for most in (23, 59, 59, 59))))
@untimed
def test_a_frame_has_its_label(count: tuple[Rate, bool], parts: tuple[int, ...]) -> None:
    """The other way round, from any label that is not left out."""
    rate, drop = count
    hour, minute, second, frame = parts
    frame %= rate.nominal
    if drop and second == 0 and minute % 10:
        frame = max(frame, rate.nominal // 15)
    label = f"{hour:02}:{minute:02}:{second:02}{';' if drop else ':'}{frame:02}"
    assert label_from_frames(frames_from_label(label, rate), rate, drop=drop) == label


@given(counts(), FRAMES)
@untimed
def test_labels_run_on(count: tuple[Rate, bool], frame: int) -> None:
    """The label after is later, but for the one that begins the day again."""
    rate, drop = count
    frame %= day(rate, drop)
    label, after = (label_from_frames(frame + n, rate, drop=drop) for n in (0, 1))
    assert (label < after) == (frame + 1 < day(rate, drop))


@given(counts(), FRAMES, st.integers(1, 3))
@untimed
def test_labels_repeat_after_a_day(count: tuple[Rate, bool], frame: int, days: int) -> None:
    rate, drop = count
    again = label_from_frames(frame + days * day(rate, drop), rate, drop=drop)
    assert again == label_from_frames(frame, rate, drop=drop)


@pytest.mark.parametrize("name", RATES)
def test_the_first_and_the_last_label(name: str) -> None:
    rate = Rate.named(name)
    assert label_from_frames(0, rate) == "00:00:00:00"
    assert label_from_frames(day(rate, False) - 1, rate) == f"23:59:59:{rate.nominal - 1}"
    assert frames_from_label("00:00:01:00", rate) == rate.nominal


@pytest.mark.parametrize(
    "text",
    [
        "", "1", "01:00:00", "1:00:00:00", "01:00:00:0", "01:00:00:000", "01-00-00-00",
        "01:00:00.00", "01;00;00;00", " 01:00:00:00", "01:00:00:00 ", "01:00:00:00\n",
        "aa:00:00:00", "01:00:00:00:00", "+1:00:00:00",
    ],
)  # fmt: skip
def test_what_is_no_label(text: str) -> None:
    message = f"{text} is no timecode; it looks like 01:00:00:00"
    with pytest.raises(ValueError, match=rf"\A{re.escape(message)}\Z"):
        frames_from_label(text, Rate.named("24"))


@pytest.mark.parametrize("drop", [False, True])
@pytest.mark.parametrize("frame", [-1, -1800])
def test_no_label_before_frame_0(frame: int, drop: bool) -> None:
    message = f"frame {frame}; frames count from 0"
    with pytest.raises(ValueError, match=rf"\A{re.escape(message)}\Z"):
        label_from_frames(frame, Rate.named("29.97"), drop=drop)


@pytest.mark.parametrize("name", ["12", "15", "24", "25", "30", "23.976"])
def test_no_drop_frame_where_there_is_none(name: str) -> None:
    message = f"there is no drop-frame count at {name} frames a second"
    with pytest.raises(ValueError, match=rf"\A{re.escape(message)}\Z"):
        label_from_frames(0, Rate.named(name), drop=True)


@given(st.integers(0, 10**7))
@untimed
def test_feet_and_back(frame: int) -> None:
    text = feet_from_frames(frame)
    feet, frames = text.split("+")
    assert (int(feet), frames) == (frame // 16, f"{frame % 16:02}")
    assert frames_from_feet(text) == frame


def test_feet_may_leave_out_the_leading_nought() -> None:
    assert frames_from_feet("3+8") == frames_from_feet("3+08") == 56


def test_no_footage_before_frame_0() -> None:
    message = "frame -1; frames count from 0"
    with pytest.raises(ValueError, match=rf"\A{re.escape(message)}\Z"):
        feet_from_frames(-1)


@pytest.mark.parametrize("label", ["٠١:00:00:00", "01:00:00:0०"])
def test_digits_of_other_scripts_are_no_label(label: str) -> None:
    with pytest.raises(ValueError, match="is no timecode; it looks like 01:00:00:00"):
        frames_from_label(label, Rate.named("24"))
