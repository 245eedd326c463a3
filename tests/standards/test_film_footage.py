"""Footage of 35 mm film against handbook figures.

ISO 491 (35 mm, four perforations a frame) as quoted in reference texts, seen, edition not
noted; Lustig, Music Editing for Motion Pictures (1980), seen.
"""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from animatic.frames import Rate, round_half_up, seconds_from_frames
from animatic.timecode import feet_from_frames, frames_from_feet

ISO_491 = "ISO 491 as quoted in reference texts, seen"
LUSTIG = "Lustig, Music Editing for Motion Pictures (1980), seen"
R24 = Rate.named("24")

FOOTAGE = [
    (0, "0+00", "counting starts at 0, arithmetic"),
    (15, "0+15", ISO_491),
    (16, "1+00", ISO_491),
    (24, "1+08", ISO_491),
    (96, "6+00", ISO_491),
    (100, "6+04", ISO_491),
    (1439, "89+15", ISO_491),
    (1440, "90+00", "90 feet a minute at 24 frames a second: " + ISO_491),
    (16000, "1000+00", ISO_491),
]


@pytest.mark.parametrize(("frames", "feet", "source"), FOOTAGE)
def test_feet_and_frames(frames: int, feet: str, source: str) -> None:
    assert feet_from_frames(frames) == feet, source
    assert frames_from_feet(feet) == frames, source


def test_sum_of_two_lengths() -> None:
    total = frames_from_feet("39+14") + frames_from_feet("1769+07")
    assert feet_from_frames(total) == "1809+05", LUSTIG


@pytest.mark.parametrize(
    ("feet", "minutes", "hundredths", "source"),
    [
        ("1000+00", 11, 667, LUSTIG),
        ("400+00", 4, 2667, LUSTIG),
        ("90+00", 1, 0, ISO_491),
    ],
)
def test_running_time_at_24(feet: str, minutes: int, hundredths: int, source: str) -> None:
    """1000 ft run 11:06.67 and 400 ft run 4:26.67, to the hundredth of a second."""
    lasts = seconds_from_frames(frames_from_feet(feet), R24)
    assert round_half_up(lasts * 100) == minutes * 6000 + hundredths, source


def test_a_film_frame_is_a_sixteenth_of_a_foot() -> None:
    assert [frames_from_feet(f"{feet}+00") for feet in (1, 2, 90)] == [16, 32, 1440], ISO_491
    assert Fraction(frames_from_feet("90+00"), 24) == 60, ISO_491


@pytest.mark.parametrize("feet", ["0+16", "3+99", "3", "3+", "+8", "-1+00", "3+008", "3 + 08", ""])
def test_what_is_no_footage(feet: str) -> None:
    message = f"{feet} is no 35 mm length; feet+frames with frames to 15, as 3+08"
    with pytest.raises(ValueError, match=rf"\A{re.escape(message)}\Z"):
        frames_from_feet(feet)
