"""Dates and weekdays as people write them."""

from __future__ import annotations

import calendar
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from animatic.board.keys.days import ALLOWED_DAYS, parse_date, parse_weekdays


@pytest.mark.parametrize("words", ["mon-", "-fri", "monday", "mon--fri", "mon,", "fri-mo"])
def test_weekdays_that_are_none_are_named(words: str) -> None:
    with pytest.raises(ValueError, match="mon") as caught:
        parse_weekdays(words)
    assert caught.value.args == (words, ALLOWED_DAYS, "")


@given(st.dates(date(1900, 1, 1), date(2999, 12, 31)))
def test_dates_are_read_as_the_calendar_has_them(day: date) -> None:
    assert parse_date(day.isoformat()) == date.fromisoformat(day.isoformat())


@given(st.integers(1900, 2999), st.integers(1, 12))
def test_the_days_of_a_month_are_said(year: int, month: int) -> None:
    last = calendar.monthrange(year, month)[1]
    assert parse_date(f"{year}-{month:02}-{last}") == date(year, month, last)
    with pytest.raises(ValueError, match="days") as caught:
        parse_date(f"{year}-{month:02}-{last + 1}")
    assert caught.value.args[2] == f"{calendar.month_name[month]} {year} has {last} days"
