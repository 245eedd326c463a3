"""Times of photos: pauses across photos without a date, and clocks with and without an offset."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

from animatic.start.draft import Draft, draft_board
from animatic.start.look import Look

NINE = datetime(2026, 2, 21, 9, 0, 0)


def look(number: int, taken: datetime | None) -> Look:
    """Return the look of a photo that is like no other: 24 of its bits are its own."""
    likeness = (0xFFF << 5 * number) % (1 << 64)
    return Look(Path(f"p{number:02}.jpg"), taken, likeness, 1.0, 0.0, 0.0)


def setups(draft: Draft) -> list[int]:
    lines = [line.strip() for line in draft.text.splitlines()]
    return [int(line.rpartition("-")[2]) for line in lines if line.startswith("setup: ")]


def test_a_pause_next_to_a_photo_without_a_date_begins_a_setup() -> None:
    morning = [look(n, NINE + timedelta(seconds=20 * n)) for n in range(6)]
    afternoon = [look(n, NINE + timedelta(hours=6, minutes=n)) for n in range(7, 10)]
    draft = draft_board([*morning, look(6, None), *afternoon], "Day")
    assert setups(draft) == [1] * 7 + [2] * 3


def test_photos_of_two_days_share_no_setup() -> None:
    looks = [look(n, NINE + timedelta(days=n)) for n in range(4)]
    assert setups(draft_board(looks, "Days")) == [1, 2, 3, 4]
    looks.insert(2, look(4, None))
    assert setups(draft_board(looks, "Days"))[-1] == 4


def test_photos_without_any_date_share_a_setup() -> None:
    assert setups(draft_board([look(n, None) for n in range(3)], "Days")) == [1, 1, 1]
