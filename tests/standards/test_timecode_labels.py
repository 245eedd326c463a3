"""Timecode labels against published tables and against a general-purpose reference library.

SMPTE ST 12-1 defines the labels; its text is quoted from memory. The rule by which drop-frame
leaves labels out was seen in W3C TTML2 (2025). The frame numbers of the tables were computed
with two independent libraries over all 2 589 408 labels of a drop-frame day at 29.97.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from itertools import islice, product

import opentimelineio as otio
import pytest

from animatic.frames import Rate, seconds_from_frames
from animatic.timecode import frames_from_label, label_from_frames

R24, R25, R30 = Rate.named("24"), Rate.named("25"), Rate.named("30")
NTSC24, NTSC30, NTSC60 = Rate.named("23.976"), Rate.named("29.97"), Rate.named("59.94")

COMPUTED = "SMPTE ST 12-1, from memory; rule seen in W3C TTML2 (2025); computed with two libraries"
PRINTED = (
    "Tozer (ed.), Broadcast Engineer's Reference Book, section 2.5 (2004, year from memory), seen"
)

DROP_29_97 = [
    (0, "00:00:00;00", COMPUTED),
    (29, "00:00:00;29", COMPUTED),
    (1799, "00:00:59;29", COMPUTED),
    (1800, "00:01:00;02", COMPUTED),
    (3597, "00:01:59;29", COMPUTED),
    (3598, "00:02:00;02", COMPUTED),
    (17981, "00:09:59;29", COMPUTED),
    (17982, "00:10:00;00", COMPUTED),
    (19781, "00:10:59;29", COMPUTED),
    (19782, "00:11:00;02", COMPUTED),
    (107891, "00:59:59;29", COMPUTED),
    (107892, "01:00:00;00", COMPUTED),
    (388703, "03:36:09;23", COMPUTED),
    (2589407, "23:59:59;29", COMPUTED),
]
DROP_59_94 = [
    (3599, "00:00:59;59", COMPUTED),
    (3600, "00:01:00;04", COMPUTED),
    (35964, "00:10:00;00", COMPUTED),
    (215784, "01:00:00;00", COMPUTED),
]
NON_DROP_29_97 = [
    (1800, "00:01:00:00", COMPUTED),
    (17982, "00:09:59:12", COMPUTED),
    (107892, "00:59:56:12", COMPUTED),
    # OpenTimelineIO 0.18.1 is wrong in this row: it wraps, as if the day were a drop-frame one.
    (2589408, "23:58:33:18", COMPUTED),
]
NON_DROP_23_976 = [
    (1440, "00:01:00:00", COMPUTED),
    (86400, "01:00:00:00", COMPUTED),
]
WHOLE_RATES = [
    (rate, frames, label, "SMPTE ST 12-1, from memory; plain counting")
    for rate, minute, hour in ((R24, 1440, 86400), (R25, 1500, 90000), (R30, 1800, 108000))
    for frames, label in (
        (minute - 1, f"00:00:59:{rate.nominal - 1}"),
        (minute, "00:01:00:00"),
        (hour, "01:00:00:00"),
        (24 * hour - 1, f"23:59:59:{rate.nominal - 1}"),
    )
]
TABLE = [
    *((NTSC30, True, *row) for row in DROP_29_97),
    *((NTSC60, True, *row) for row in DROP_59_94),
    *((NTSC30, False, *row) for row in NON_DROP_29_97),
    *((NTSC24, False, *row) for row in NON_DROP_23_976),
    *((rate, False, *row) for rate, *row in WHOLE_RATES),
]


@pytest.mark.parametrize(("rate", "drop", "frames", "label", "source"), TABLE)
def test_table(rate: Rate, drop: bool, frames: int, label: str, source: str) -> None:
    assert label_from_frames(frames, rate, drop=drop) == label, source
    assert frames_from_label(label, rate) == frames, source


@pytest.mark.parametrize(
    ("rate", "drop", "day", "source"),
    [
        (NTSC30, True, 2589408, COMPUTED),
        (NTSC60, True, 2 * 2589408, "twice the frames of 29.97, arithmetic"),
        (R24, False, 2073600, "SMPTE ST 12-1, from memory; plain counting"),
        (R25, False, 2160000, "SMPTE ST 12-1, from memory; plain counting"),
        (R30, False, 2592000, "SMPTE ST 12-1, from memory; plain counting"),
        (NTSC24, False, 2073600, "counts as 24: plain counting"),
        (NTSC30, False, 2592000, "counts as 30: plain counting"),
    ],
)
def test_labels_wrap_after_a_day(rate: Rate, drop: bool, day: int, source: str) -> None:
    mark = ";" if drop else ":"
    last = rate.nominal - 1
    assert label_from_frames(day - 1, rate, drop=drop) == f"23:59:59{mark}{last}", source
    assert label_from_frames(day, rate, drop=drop) == f"00:00:00{mark}00", source
    assert label_from_frames(2 * day + 1, rate, drop=drop) == f"00:00:00{mark}01", source


@pytest.mark.parametrize(
    ("before", "after", "source"),
    [("01:04:59;29", "01:05:00;02", PRINTED), ("01:57:59;29", "01:58:00;02", PRINTED)],
)
def test_printed_neighbours(before: str, after: str, source: str) -> None:
    frame = frames_from_label(before, NTSC30)
    assert label_from_frames(frame, NTSC30, drop=True) == before, source
    assert label_from_frames(frame + 1, NTSC30, drop=True) == after, source
    assert frames_from_label(after, NTSC30) == frame + 1, source


@pytest.mark.parametrize(
    ("label", "lasts", "source"),
    [
        ("00:01:00:00", Fraction("60.06"), "24000/1001 frames a second, arithmetic; computed"),
        ("01:00:00:00", Fraction("3603.6"), "24000/1001 frames a second, arithmetic; computed"),
    ],
)
def test_labels_at_23_976_run_slow(label: str, lasts: Fraction, source: str) -> None:
    assert seconds_from_frames(frames_from_label(label, NTSC24), NTSC24) == lasts, source


def _no_label(label: str, name: str, last: int) -> str:
    return (
        f"{label} is no timecode at {name}; hours to 23, minutes and seconds to 59,"
        f" frames to {last}"
    )


# SMPTE ST 12-1, from memory. OpenTimelineIO 0.18.1 accepts 00:01:00;00 and is wrong there.
REJECTED = [
    (
        "29.97",
        "00:01:00;00",
        "00:01:00;00 is left out by drop-frame; the next label is 00:01:00;02",
    ),
    (
        "29.97",
        "00:01:00;01",
        "00:01:00;01 is left out by drop-frame; the next label is 00:01:00;02",
    ),
    (
        "29.97",
        "00:09:00;01",
        "00:09:00;01 is left out by drop-frame; the next label is 00:09:00;02",
    ),
    (
        "59.94",
        "00:01:00;03",
        "00:01:00;03 is left out by drop-frame; the next label is 00:01:00;04",
    ),
    (
        "59.94",
        "23:59:00;00",
        "23:59:00;00 is left out by drop-frame; the next label is 23:59:00;04",
    ),
    ("24", "00:00:60:00", _no_label("00:00:60:00", "24", 23)),
    ("24", "00:60:00:00", _no_label("00:60:00:00", "24", 23)),
    ("24", "24:00:00:00", _no_label("24:00:00:00", "24", 23)),
    ("24", "00:00:00:24", _no_label("00:00:00:24", "24", 23)),
    ("12", "00:00:00:12", _no_label("00:00:00:12", "12", 11)),
    ("15", "00:00:00:15", _no_label("00:00:00:15", "15", 14)),
    ("25", "00:00:00:25", _no_label("00:00:00:25", "25", 24)),
    ("30", "00:00:00:30", _no_label("00:00:00:30", "30", 29)),
    ("23.976", "00:00:00:24", _no_label("00:00:00:24", "23.976", 23)),
    ("29.97", "00:00:00:30", _no_label("00:00:00:30", "29.97", 29)),
    ("29.97", "00:00:60;00", _no_label("00:00:60;00", "29.97", 29)),
    ("29.97", "00:60:00;02", _no_label("00:60:00;02", "29.97", 29)),
    ("29.97", "24:00:00;00", _no_label("24:00:00;00", "29.97", 29)),
    ("29.97", "00:00:00;30", _no_label("00:00:00;30", "29.97", 29)),
    ("59.94", "00:00:00:60", _no_label("00:00:00:60", "59.94", 59)),
    ("24", "-1:00:00:00", "-1:00:00:00 is no timecode; it looks like 01:00:00:00"),
    ("24", "00:00:00:-1", "00:00:00:-1 is no timecode; it looks like 01:00:00:00"),
    ("24", "-00:00:00:01", "-00:00:00:01 is no timecode; it looks like 01:00:00:00"),
    ("12", "00:00:10;00", "there is no drop-frame count at 12 frames a second"),
    ("15", "00:00:10;00", "there is no drop-frame count at 15 frames a second"),
    ("24", "00:00:10;00", "there is no drop-frame count at 24 frames a second"),
    ("25", "00:00:10;00", "there is no drop-frame count at 25 frames a second"),
    ("30", "00:00:10;00", "there is no drop-frame count at 30 frames a second"),
    ("23.976", "00:00:10;00", "there is no drop-frame count at 23.976 frames a second"),
]


@pytest.mark.parametrize(("name", "label", "message"), REJECTED)
def test_labels_that_name_no_frame(name: str, label: str, message: str) -> None:
    with pytest.raises(ValueError, match=rf"\A{re.escape(message)}\Z"):
        frames_from_label(label, Rate.named(name))


def test_the_reference_library_is_wrong_where_we_say_it_is() -> None:
    """If this fails, the library has been mended: then compare these labels as well."""
    time = otio.opentime
    assert time.from_timecode("00:01:00;00", 30000 / 1001).to_frames() == 1798
    wrapped = time.to_timecode(time.RationalTime(2589408, 30000 / 1001), 30000 / 1001, False)
    assert wrapped == "00:00:00:00"


# Every count that the reference has: it knows neither 12 nor 15 frames a second. At 29.97
# non-drop and 59.94 non-drop it is right only up to the last label of the drop-frame day.
COMPARED = [
    (R24, False, 2073600),
    (R25, False, 2160000),
    (R30, False, 2592000),
    (NTSC24, False, 2073600),
    (NTSC30, True, 2589408),
    (NTSC30, False, 2589408),
    (NTSC60, True, 5178816),
    (NTSC60, False, 5178816),
]


def _looked_at(rate: Rate, drop: bool, frames: int) -> list[int]:
    """A stride through the day, and every frame near the start of every minute."""
    nominal = rate.nominal
    left_out = nominal // 15 if drop else 0
    starts = (n * (60 * nominal - left_out) + left_out * -(-n // 10) for n in range(24 * 60))
    near = {start + step for start in starts for step in range(-6, 7)}
    return sorted(n for n in near | set(range(0, frames, 997)) if 0 <= n < frames)


@pytest.mark.parametrize(("rate", "drop", "frames"), COMPARED)
def test_against_opentimelineio(rate: Rate, drop: bool, frames: int) -> None:
    """OpenTimelineIO 0.18.1, a general-purpose library of editorial time."""
    time, fps = otio.opentime, float(rate.fps)
    looked_at = _looked_at(rate, drop, frames)
    assert len(looked_at) > 20_000
    for frame in looked_at:
        label = label_from_frames(frame, rate, drop=drop)
        assert label == time.to_timecode(time.RationalTime(frame, fps), fps, drop)
        assert time.from_timecode(label, fps).to_frames() == frame
        assert frames_from_label(label, rate) == frame


def _odometer(nominal: int, left_out: int) -> Iterator[str]:
    """Count labels one by one as a clock does, leaving out what drop-frame leaves out."""
    mark = ";" if left_out else ":"
    for hour, minute, second in product(range(24), range(60), range(60)):
        skip = left_out if second == 0 and minute % 10 else 0
        for frame in range(skip, nominal):
            yield f"{hour:02}:{minute:02}:{second:02}{mark}{frame:02}"


@pytest.mark.parametrize(
    ("rate", "drop", "left_out"),
    [
        (Rate.named("12"), False, 0),
        (Rate.named("15"), False, 0),
        (NTSC30, True, 2),
        (NTSC60, True, 4),
    ],
)
def test_against_counting_one_by_one(rate: Rate, drop: bool, left_out: int) -> None:
    """The rule of SMPTE ST 12-1 (from memory) as a counter: 2 or 4 labels are left out."""
    labels = islice(_odometer(rate.nominal, left_out), 21 * 60 * rate.nominal)
    for frame, label in enumerate(labels):
        assert label_from_frames(frame, rate, drop=drop) == label
        assert frames_from_label(label, rate) == frame
