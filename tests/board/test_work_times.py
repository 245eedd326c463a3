"""Lengths of work: hours and minutes as written, and nothing that a schema would refuse."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from animatic.board.keys.worktimes import ALLOWED, PATTERN, parse_work_time


@given(st.integers(0, 23), st.integers(0, 59), st.integers(0, 59))
def test_hours_minutes_and_seconds_add_up(hours: int, minutes: int, seconds: int) -> None:
    text = f"{hours}h{minutes}m{seconds}s"
    assert parse_work_time(text).seconds == Fraction(hours * 3600 + minutes * 60 + seconds)
    assert re.search(PATTERN, text)


@pytest.mark.parametrize("text", ["90f", "2s12f", "3+08", "00:30:00:00", "0f", "0+00"])
def test_what_counts_frames_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="hours and minutes") as caught:
        parse_work_time(text)
    assert caught.value.args[:2] == (text, ALLOWED)
    assert not re.search(PATTERN, text)


@given(st.from_regex(r"\A[0-9]{1,4}([:.,+hmsf ][0-9]{0,2}){0,4}\Z"))
def test_what_a_hint_offers_is_taken(text: str) -> None:
    try:
        parse_work_time(text)
    except ValueError as fault:
        for offer in re.findall(r"\b(?:write|or) (\S+)", fault.args[2]):
            assert parse_work_time(offer).seconds is not None


@pytest.mark.parametrize("text", ["0:00:00", "00:00:00:12", "25:00:00", "60 Frames"])
def test_a_hint_never_leads_to_frames(text: str) -> None:
    with pytest.raises(ValueError, match="hours and minutes") as caught:
        parse_work_time(text)
    assert caught.value.args[2] == "work is not counted in the film's frames"
