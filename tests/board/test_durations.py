"""Every way to write a length of time, and what is said of the ways that are none."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from animatic.board import parse_duration
from animatic.board.keys.durations import ALLOWED, FITTED, parse_panel_duration
from animatic.board.keys.fields import _PANEL_LENGTH_SCHEMA
from animatic.frames import RATES, Rate
from tests.strategies import rates, untimed

NOMINAL = {
    "12": 12,
    "15": 15,
    "24": 24,
    "25": 25,
    "30": 30,
    "23.976": 24,
    "29.97": 30,
    "59.94": 60,
}


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("2s", "2"),
        ("2.5s", "2.5"),
        ("0.04s", "0.04"),
        ("1m", "60"),
        ("1m4s", "64"),
        ("1m4.25s", "64.25"),
        ("1h30m", "5400"),
        ("1h", "3600"),
        ("24h", "86400"),
        ("1 m 4 s", "64"),
        ("  2s ", "2"),
        ("012s", "12"),
    ],
)
@pytest.mark.parametrize("rate", RATES)
def test_seconds_are_exact_at_every_rate(text: str, seconds: str, rate: str) -> None:
    length = parse_duration(text)
    assert not length.is_count
    assert length.in_seconds(Rate.named(rate)) == Fraction(seconds)
    assert length.in_frames(Rate.named(rate)) == Fraction(seconds) * Rate.named(rate).fps


@pytest.mark.parametrize(
    ("text", "seconds", "frames"),
    [
        ("60f", 0, 60),
        ("1f", 0, 1),
        ("0f", 0, 0),
        ("2s12f", 2, 12),
        ("2s 12f", 2, 12),
        ("1m4s1f", 64, 1),
        ("1h1f", 3600, 1),
        ("00:00:02:12", 2, 12),
        ("01:00:00:00", 3600, 0),
        ("23:59:59:11", 86_399, 11),
        # 35 mm film has 16 frames a foot (ISO 491).
        ("3+08", 0, 56),
        ("3+8", 0, 56),
        ("0+15", 0, 15),
        ("90+00", 0, 1440),
    ],
)
@pytest.mark.parametrize("rate", RATES)
def test_counts_are_whole_frames_at_every_rate(
    text: str, seconds: int, frames: int, rate: str
) -> None:
    length, whole = parse_duration(text), seconds * NOMINAL[rate] + frames
    assert length.is_count
    assert length.in_frames(Rate.named(rate)) == whole
    assert length.in_seconds(Rate.named(rate)) == whole / Rate.named(rate).fps


@pytest.mark.parametrize(
    ("text", "whole_frames"), [("1001s", 24_000), ("1.001s", 24), ("2.002s", 48)]
)
def test_seconds_are_real_seconds_where_the_rate_is_below_its_name(
    text: str, whole_frames: int
) -> None:
    assert parse_duration(text).in_frames(Rate.named("23.976")) == whole_frames


@pytest.mark.parametrize(
    ("text", "found", "hint"),
    [
        ("2", "the bare number 2", "write 2s for seconds or 2f for frames"),
        ("2.5", "the bare number 2.5", "write 2.5s for seconds"),
        ("0.4", "the bare number 0.4", "write 0.4s for seconds"),
        ("2.0", "the bare number 2.0", "write 2.0s for seconds or 2f for frames"),
        ("012", "the bare number 012", "write 12s for seconds or 12f for frames"),
        ("0", "the bare number 0", "write 0s for seconds or 0f for frames"),
        ("000.50", "the bare number 000.50", "write 0.50s for seconds"),
        ("1:30", "1:30", "write 1m30s for minutes and seconds"),
        ("01:05", "01:05", "write 1m5s for minutes and seconds"),
        ("", "an empty text", ""),
        ("   ", "an empty text", ""),
        ("-2s", "-2s", "a minus sign has no meaning here"),
        ("-2", "-2", "a minus sign has no meaning here"),
        ("2,5s", "2,5s", "write 2.5s"),
        ("2,5", "2,5", "write 2.5s for seconds"),
        ("2s 12 frames", "2s 12 frames", "write 2s12f"),
        ("1,5 Min.", "1,5 Min.", "write 1m30s"),
        ("1/2s", "1/2s", ""),
        ("2 sec", "2 sec", "write 2s"),
        ("2S", "2S", "write 2s"),
        ("two", "two", ""),
        (".5s", ".5s", "write 0.5s"),
        ("5.s", "5.s", ""),
        ("1e3s", "1e3s", ""),
        ("inf", "inf", ""),
        ("nan", "nan", ""),
        ("12f2s", "12f2s", ""),
        ("1.5f", "1.5f", ""),
        ("٢s", "٢s", ""),
        ("²s", "²s", ""),
        ("00:00:02", "00:00:02", "a timecode ends with frames: write 00:00:02:00"),
        ("0:0:2:12", "0:0:2:12", ""),
        ("00:00:02;12", "00:00:02;12", "write 00:00:02:12"),
        ("00:60:00:00", "00:60:00:00", "minutes and seconds go to 59"),
        ("00:00:60:00", "00:00:60:00", "minutes and seconds go to 59"),
        ("2.5s12f", "2.5s12f", "give seconds with a decimal point, or whole seconds and frames"),
        ("3+16", "3+16", "after the + stand frames, 00 to 15"),
        ("3+", "3+", "after the + stand frames, 00 to 15"),
        ("2s+12f", "2s+12f", "write 2s12f"),
    ],
)
def test_what_is_no_length(text: str, found: str, hint: str) -> None:
    with pytest.raises(ValueError, match=re.escape(found)) as fault:
        parse_duration(text)
    assert fault.value.args == (found, ALLOWED, hint)


def test_a_text_too_long_for_a_length_is_not_quoted() -> None:
    with pytest.raises(ValueError, match="a text of 5001 characters") as fault:
        parse_duration("9" * 5000 + "s")
    assert fault.value.args == ("a text of 5001 characters", ALLOWED, "")


@pytest.mark.parametrize(
    "text", ["24h1s", "86401s", "1441m", "24h1m1f", "99:00:00:00", "5184001f", "324001+00"]
)
def test_nothing_is_longer_than_a_day(text: str) -> None:
    with pytest.raises(ValueError, match="at most 24 hours") as fault:
        parse_duration(text)
    assert fault.value.args == (text, "at most 24 hours", "")


@pytest.mark.parametrize("text", ["24h", "86400s", "24:00:00:00", "5184000f", "324000+00"])
def test_a_day_is_allowed(text: str) -> None:
    # 60 frames a second, the most there are, make 5 184 000 frames in a day.
    assert parse_duration(text).in_frames(Rate.named("59.94")) <= 5_184_000


@untimed
@given(rates(), st.integers(0, 1000), st.integers(0, 99))
def test_seconds_and_frames_count_as_timecode_does(rate: Rate, seconds: int, frames: int) -> None:
    text = f"{seconds}s{frames}f"
    assert parse_duration(text).in_frames(rate) == seconds * NOMINAL[rate.name] + frames
    assert str(parse_duration(text)) == text


@pytest.mark.parametrize("count", ["118f", "4s22f", "7+06", "00:00:04:22"])
@pytest.mark.parametrize("own", ["", "2.5s ", "1m4s"])
@pytest.mark.parametrize("rate", RATES)
def test_a_fitted_length_is_the_count_that_stands_behind_the_sign(
    count: str, own: str, rate: str
) -> None:
    length, plain = parse_panel_duration(f"{own}~{count}"), parse_duration(count)
    assert length.is_count
    assert length.is_fitted
    assert not length.is_own_count
    assert plain.is_own_count
    assert length.in_frames(Rate.named(rate)) == plain.in_frames(Rate.named(rate))
    assert length.own == (parse_duration(own) if own else None)
    assert parse_panel_duration(str(length)) == length
    for written in (str(length), count, own.strip() or "1s"):
        assert re.fullmatch(_PANEL_LENGTH_SCHEMA["pattern"], written)


@pytest.mark.parametrize(
    ("text", "allowed", "hint"),
    [
        ("~2.5s", FITTED, "seconds may move anyway: write 2.5s"),
        ("3s ~2.5s", FITTED, "seconds may move anyway: write 3s"),
        (
            "60f ~58f",
            FITTED,
            "a count stays as it is written: write 60f, or ~58f to let it move",
        ),
        ("~58", ALLOWED, "write 58s for seconds or 58f for frames"),
        ("~", ALLOWED, ""),
        (
            "2.5s ~58f ~60f",
            ALLOWED,
            "only the duration of a panel is fitted: write it without the ~",
        ),
    ],
)
def test_what_is_no_fitted_length(text: str, allowed: str, hint: str) -> None:
    with pytest.raises(ValueError, match=r"~|bare|empty") as fault:
        parse_panel_duration(text)
    assert fault.value.args[1:] == (allowed, hint)
    assert not re.fullmatch(_PANEL_LENGTH_SCHEMA["pattern"], text)


def test_only_a_panel_is_fitted() -> None:
    with pytest.raises(ValueError, match="~12f") as fault:
        parse_duration("~12f")
    hint = "only the duration of a panel is fitted: write it without the ~"
    assert fault.value.args == ("~12f", ALLOWED, hint)
