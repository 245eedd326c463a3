"""The plan on paper: every pose and every minute as planned, dates that people work on."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from datetime import date, datetime, timedelta
from io import BytesIO, StringIO
from itertools import pairwise
from pathlib import Path

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from pypdf import PdfReader

from animatic.board.keys.schema import SetupEntry
from animatic.errors import UsageError
from animatic.shoot import Plan, calendar, callsheet, plan_shoot, planchart, planrows
from animatic.shoot.callsheet import aims, changes, reached
from animatic.shoot.hours import WORKDAYS, breaks, dated, parts
from animatic.timeline import Timeline, lay_out
from tests.boards import BoardFolder, panels

HEAD = """board: 1
title: Ἅλς; low, „water“ ЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖЖ
picture: {size: 160x90}
handles: 8f
pace: {poses_per_hour: 30, lost: 0}
day: {start: 09:00, hours: 7, break_every: 1h, break_length: 10m}
setups:
  κάβος: {place: Мыс, opened: [sea wall], lights: [lamp], camera: low, lens: 35 mm, rig: 1h}
  shed: {place: Shed, opened: [back wall], lights: [lamp, card], rig: 30m, note: It gets hot.}
"""
ROWS = """
- {shot: Жук, photo: a.jpg, setup: κάβος, size: CU, duration: 84f, note: Lift the lid}
- {shot: 20, photo: a.jpg, setup: κάβος, duration: 500f}
- {shot: 30, photo: a.jpg, setup: shed, duration: 20f, dress: 20m}
"""
WEEK = WORKDAYS
MONDAY = date(2027, 3, 1)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Plan, Timeline]:
    folder = BoardFolder(tmp_path_factory.mktemp("plan"))
    folder.photo()
    text = panels(ROWS, HEAD)
    board, timeline = folder.read(text), folder.lay_out(text)
    return plan_shoot(board, timeline), timeline


Made = tuple[Plan, Timeline]


def test_the_rows_add_up_to_the_plan(made: Made) -> None:
    plan, timeline = made
    days = dated(plan, MONDAY, WEEK)
    rows = list(csv.DictReader(StringIO(planrows.csv(days), newline="")))
    assert sum(int(row["poses"] or 0) for row in rows) == sum(s.poses for s in timeline.shots)
    frames = sum(int(row["frames_to_shoot"] or 0) for row in rows)
    assert frames == sum(shot.frames_to_shoot for shot in timeline.shots)
    shots = [row for row in rows if row["work"] == "shoot"]
    # 516 frames on twos are 258 poses: more than the six hours of work in a day hold.
    pieces = [(r["first_pose"], r["last_pose"]) for r in shots if r["shot"] == "20"]
    assert pieces[0][0] == "1"
    assert pieces[-1][1] == "258"
    assert len(pieces) == 2
    content = json.loads(planrows.json(plan, days))
    assert content["total"]["poses"] == plan.poses
    assert [stint["poses"] for stint in content["stints"] if stint["poses"]] == [
        int(row["poses"]) for row in shots
    ]


def test_the_minutes_add_up_to_the_total_at_any_pace(tmp_path: Path) -> None:
    # 90 poses an hour are 40 s a pose: shots of 4 and of 5 poses take 160 s and 200 s, both of
    # which are 3 minutes by themselves; six of each are 16 and 20, and not 18.
    folder = BoardFolder(tmp_path)
    folder.photo()
    head = "board: 1\npicture: {size: 160x90}\npace: {poses_per_hour: 90, lost: 0}\n"
    for frames, expected in (([8] * 6, 16), ([10] * 6, 20), ([10, 8] * 6, 36), ([2] * 200, 133)):
        shots = "\n".join(
            f"- {{shot: {n}, photo: a.jpg, duration: {count}f}}" for n, count in enumerate(frames)
        )
        board = folder.read(panels(shots, head))
        plan = plan_shoot(board, lay_out(board))
        days = dated(plan, None, WEEK)
        rows = list(csv.DictReader(StringIO(planrows.csv(days), newline="")))
        assert sum(int(row["minutes"]) for row in rows) == expected
        content = json.loads(planrows.json(plan, days))
        assert content["total"]["minutes"] == expected
        assert sum(stint["minutes"] for stint in content["stints"]) == expected


def test_the_table_says_order_cost_and_caution(made: Made) -> None:
    plan, _ = made
    lines = planrows.text(plan, dated(plan, None, WEEK)).splitlines()
    assert "date" not in lines[0]
    assert lines[-3].endswith("; no order takes less")
    assert lines[-1] == planrows.CAUTION


@given(st.dates(date(2020, 1, 1), date(2090, 1, 1)), st.frozensets(st.integers(0, 6), min_size=1))
def test_days_fall_on_working_days_without_a_gap(
    made: Made, start: date, weekdays: frozenset[int]
) -> None:
    plan, _ = made
    found = [each.date for each in dated(plan, start, weekdays)]
    every = [start + timedelta(days=n) for n in range(7 * (len(plan.days) + 1))]
    assert found == [day for day in every if day.weekday() in weekdays][: len(plan.days)]


def test_the_calendar_is_read_back(made: Made) -> None:
    plan, timeline = made
    days = dated(plan, MONDAY, WEEK)
    written = calendar.write(plan, days, timeline.title)
    assert written == calendar.write(plan, days, timeline.title)
    assert "\n" not in written.replace("\r\n", "")
    # RFC 5545, 3.1: lines of 75 octets at most, without the break.
    assert max(len(line.encode()) for line in written.split("\r\n")) <= 75
    read = icalendar.Calendar.from_ical(written)
    assert read["VERSION"] == "2.0"
    events = read.walk("VEVENT")
    assert not read.errors
    assert len({event["UID"] for event in events}) == len(plan.days)
    for event, each in zip(events, days, strict=True):
        assert not event.errors
        assert event["DTSTART"].dt == datetime(each.date.year, each.date.month, each.date.day, 9)
        end = each.day.clock(each.day.work, is_end=True)
        assert f"{event['DTEND'].dt:%Y-%m-%d %H:%M}" == f"{each.date} {end}"
        title = f"{timeline.title}: day {each.day.number} of {len(days)}"
        assert event["SUMMARY"].startswith(title)
        description = str(event["DESCRIPTION"]).split("\n")
        assert description[-1] == planrows.CAUTION
        assert len(description) == len(each.day.stints) + 2
    assert {str(event["LOCATION"]) for event in events} == {"Мыс, Shed", "Мыс"}


@pytest.mark.parametrize(
    ("poses", "minutes"),
    [
        ([1], [1]),
        ([29], [1]),
        ([59], [1]),
        ([60], [1]),
        ([119], [1]),
        ([120], [2]),
        ([1799], [29]),
        # A break of ten minutes comes after half an hour, if there is more to do.
        ([1800], [30]),
        ([1801], [40]),
        # An hour has 50 minutes of work: the second day has 20 seconds of it.
        ([2990, 20], [59, 1]),
    ],
)
def test_an_event_ends_after_it_begins(
    tmp_path: Path, poses: list[int], minutes: list[int]
) -> None:
    folder = BoardFolder(tmp_path)
    folder.photo()
    head = (
        "board: 1\npicture: {size: 160x90}\nshoot_on: 1\npace: {poses_per_hour: 3600, lost: 0}\n"
        "day: {hours: 1, break_every: 30m, break_length: 10m}\n"
    )
    rows = "\n".join(
        f"- {{shot: {n}, photo: a.jpg, duration: {count}f}}" for n, count in enumerate(poses, 1)
    )
    board = folder.read(panels(rows, head))
    timeline = lay_out(board)
    plan = plan_shoot(board, timeline)
    written = calendar.write(plan, dated(plan, MONDAY, WEEK), timeline.title)
    events = icalendar.Calendar.from_ical(written).walk("VEVENT")
    # RFC 5545, 3.8.2.2: the end is later in time than the start.
    assert all(event["DTEND"].dt > event["DTSTART"].dt for event in events)
    assert [event.duration for event in events] == [timedelta(minutes=n) for n in minutes]


def test_a_calendar_needs_a_first_day(made: Made) -> None:
    plan, timeline = made
    with pytest.raises(UsageError, match=r"a calendar needs the first day .* --start 2027-03-01"):
        calendar.write(plan, dated(plan, None, WEEK), timeline.title)


def test_stretches_and_breaks_fill_the_day(made: Made) -> None:
    plan, _ = made
    for day in plan.days:
        inside = [stretch for stint in day.stints for stretch in parts(day, stint)]
        every = sorted([*inside, *breaks(day)])
        assert all(a[1] == b[0] for a, b in pairwise(every))
        assert every[0][0] == 9 * 60


def test_how_far_a_shot_should_be_at_a_break(made: Made) -> None:
    plan, _ = made
    every = [(day, stint) for day in plan.days for stint in day.stints if stint.kind == "shoot"]
    assert any(stint.start % 3600 for _, stint in every)
    for day, stint in every:
        # Thirty poses an hour, and a break of ten minutes after each hour of work.
        begin, end = stint.start / 3600, (stint.start + stint.length) / 3600
        assert reached(day, stint) == [
            (10 * 60 + 70 * (n - 1), stint.first_pose + int(30 * (n - begin)))
            for n in range(1, 7)
            if begin < n < end
        ]


def test_the_aims_of_a_day_are_said_in_words(made: Made) -> None:
    plan, _ = made
    day = next(day for day in plan.days if day.stints[-1].is_part and len(day.stints) == 1)
    # Thirty poses an hour, from nine o'clock, and a break of ten minutes after each hour.
    assert aims(day, day.stints[0]) == (
        "pose 30 done when the break begins at 10:00, 60 at 11:10, 90 at 12:20, 120 at 13:30,"
        " 150 at 14:40"
    )
    assert [first for first, _ in breaks(day)][:5] == [600, 670, 740, 810, 880]
    rig = next(stint for day in plan.days for stint in day.stints if stint.kind == "rig")
    assert aims(day, replace(day.stints[0], length=rig.length / 60)) == ""


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_call_sheets_say_what_is_planned(made: Made, paper: str) -> None:
    plan, timeline = made
    days = dated(plan, MONDAY, WEEK)
    data = callsheet.write(plan, days, timeline, paper)
    assert data == callsheet.write(plan, days, timeline, paper)
    pages = [
        [line.strip() for line in page.extract_text().split("\n")]
        for page in PdfReader(BytesIO(data)).pages
    ]
    assert len(pages) == len(days)
    for lines, each in zip(pages, days, strict=True):
        day = each.day
        assert f"Day {day.number} of {len(days)}" in lines
        assert each.name in lines
        assert f"{day.poses} poses" in lines
        assert " ".join(lines).find("Lamps get hot enough to burn") > 0
        for stint in day.stints:
            first, end = day.clock(stint.start), day.clock(stint.start + stint.length, is_end=True)
            assert f"{first} to {end}" in lines
            if stint.is_part:
                assert f"pose {stint.first_pose + 1} to {stint.end_pose} of 258" in lines
    whole = [line for lines in pages for line in lines]
    assert "Жук" in whole
    assert "Lift the lid" in whole
    assert "note: It gets hot." in whole
    assert "walls opened: sea wall" in whole
    assert whole.count("dress shot 30") == 1


def test_what_differs_from_the_setup_before() -> None:
    shed = SetupEntry(opened=["back wall"], lights=["bulb"])
    assert changes(None, shed) == []
    assert changes(shed, shed) == []
    assert changes(SetupEntry(), shed) == ["take off: back wall", "put up: bulb"]
    assert changes(shed, SetupEntry()) == ["put back: back wall", "take down: bulb"]


def test_the_chart_is_a_picture_and_the_same_every_time(made: Made) -> None:
    plan, timeline = made
    days = dated(plan, MONDAY, WEEK)
    data = planchart.write(plan, days, timeline.title)
    assert data == planchart.write(plan, days, timeline.title)
    with Image.open(BytesIO(data)) as picture:
        assert picture.format == "PNG"
        assert picture.width == 1430
        greys = picture.convert("RGB")
        assert all(max(c) - min(c) < 3 for _, c in greys.getcolors(1 << 24))
