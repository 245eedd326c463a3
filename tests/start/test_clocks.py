"""Times of photos: pauses across photos without a date, and clocks with and without an offset."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from PIL import Image

from animatic.cli import run
from animatic.start.draft import Draft, draft_board
from animatic.start.look import Look
from animatic.times import capture_time

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


# OffsetTimeOriginal (0x9011, Exif 2.31) is what local time is ahead of UTC; a camera without it
# states local time alone.
def at(hours: float, taken: datetime) -> datetime:
    return taken.replace(tzinfo=timezone(timedelta(hours=hours)))


def names(draft: Draft) -> list[str]:
    lines = [line.strip() for line in draft.text.splitlines()]
    return [line.partition(": ")[2] for line in lines if line.startswith("photo: ")]


def test_photos_without_an_offset_are_taken_at_the_offset_of_the_others() -> None:
    looks = []
    for number in range(6):
        taken = NINE + timedelta(minutes=number)
        looks.append(look(number, at(1, taken) if number % 2 else taken))
    draft = draft_board(looks, "Day")
    assert names(draft) == [f"p{n:02}.jpg" for n in range(6)]
    assert setups(draft) == [1] * 6
    words = "3 photos do not state their offset from UTC; taken as +01:00, as 3 others state it"
    assert draft.notes == (words,)
    assert f"# {words}" in draft.text.splitlines()
    assert "  # 2026-02-21 09:00" in draft.text.splitlines()


def test_a_heading_shows_the_clock_on_the_wall() -> None:
    draft = draft_board([look(0, at(1, NINE.replace(hour=16, minute=2)))], "Day")
    assert "  # 2026-02-21 16:02" in draft.text.splitlines()
    assert draft.notes == ()


def test_of_several_offsets_the_most_common_is_taken_and_said() -> None:
    looks = [
        look(0, at(1, NINE)),
        look(1, at(2, NINE + timedelta(hours=1, minutes=1))),
        look(2, NINE + timedelta(minutes=2)),
        look(3, at(1, NINE + timedelta(minutes=3))),
        look(4, at(-3.5, NINE - timedelta(hours=4.5) + timedelta(minutes=4))),
    ]
    draft = draft_board(list(reversed(looks)), "Day")
    assert names(draft) == [f"p{n:02}.jpg" for n in range(5)]
    assert draft.notes == (
        "the photos state different offsets from UTC (-03:30, +01:00, +02:00);"
        " times are shown at +01:00",
        "1 photo does not state its offset from UTC; taken as +01:00, as 2 others state it",
    )
    assert "  # 2026-02-21 09:00 +01:00" in draft.text.splitlines()


def test_the_ends_of_the_calendar_are_no_time() -> None:
    """A clock that was never set must not run over what a calendar holds."""
    for text in ("0001:01:01 00:00:00", "9999:12:31 23:59:59"):
        assert capture_time({0x9003: text, 0x9011: "+05:00"}) is None
    assert capture_time({0x9003: "2026:02:21 09:00:00", 0x9011: "+99:00"}) == NINE


def test_the_command_says_which_offset_was_taken(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for number, offset in enumerate(("+01:00", "")):
        exif = Image.Exif()
        inner = exif.get_ifd(0x8769)
        inner[0x9003] = f"2026:02:21 09:0{number}:00"
        if offset:
            inner[0x9011] = offset
        picture = Image.effect_mandelbrot((320, 200), (-2 + number, -1, 1, 1), 40)
        picture.save(tmp_path / f"{number}.jpg", exif=exif)
    assert run(["start", str(tmp_path)]) == 0
    assert capsys.readouterr().err == (
        "1 photo does not state its offset from UTC; taken as +01:00, as 1 other states it\n"
    )
