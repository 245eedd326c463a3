"""Which line a recording that comes back is of: by number or name, and nothing guessed."""

from __future__ import annotations

from pathlib import Path

import pytest

from animatic.timeline.linefiles import line_file, match_files
from animatic.timeline.model import Line


def line(number: int, who: str, voice: str | None = None) -> Line:
    return Line(number, who, "Words.", 0, 1, 0, 1, Path(voice) if voice else None)


LINES = [
    line(1, "Odd", "sound/odd_first.wav"),
    line(2, "Pim"),
    line(3, "Odd"),
    line(4, "Zoë"),
    line(5, "Guard 2"),
    line(6, "Pim Junior"),
    line(7, "Pim"),
]

NOWHERE = (
    "neither the number of a line nor a speaker is in its name; name it as 01_odd.wav is named"
    " for line 1"
)


@pytest.mark.parametrize(
    ("name", "number"),
    [
        ("03_odd.wav", 3),
        ("3.wav", 3),
        ("line 3.flac", 3),
        ("ODD-003 best take.wav", 3),
        ("07pim.wav", 7),
        ("03_odd (1).wav", 3),
        ("Pim (7).wav", 7),
        ("zoe.mp3", 4),
        ("Zoë.wav", 4),
        ("Zoe\u0308.wav", 4),
        ("05_guard_2.wav", 5),
        ("guard 2.wav", 5),
        ("06_pim_junior.wav", 6),
        ("pim junior.wav", 6),
        ("odd_first.wav", 1),
        ("Odd_First.FLAC", 1),
    ],
)
def test_a_file_is_of_one_line(name: str, number: int) -> None:
    matches = match_files(LINES, [name])
    assert (matches.lines, matches.left) == ({number: name}, {})


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("04_pim.wav", "its name says Pim, and line 4 is spoken by Zoë"),
        ("08_pim.wav", "there is no line 8"),
        ("00_pim.wav", "there is no line 0"),
        ("03_odd_1.wav", "there are the numbers 3 and 1 in its name; keep that of the line"),
        ("pim.wav", "Pim has 2 lines; put the number of the line in its name"),
        ("06_pim.wav", "its name says Pim, and line 6 is spoken by Pim Junior"),
        ("hello.wav", NOWHERE),
        ("pimpernel.wav", NOWHERE),
    ],
)
def test_a_name_that_does_not_say_one_line_is_left(name: str, why: str) -> None:
    matches = match_files(LINES, [name])
    assert (matches.lines, matches.left) == ({}, {name: why})


def test_two_files_for_one_line_are_both_left() -> None:
    matches = match_files(LINES, ["03_odd.wav", "odd 3.flac", "02_pim.wav"])
    assert matches.lines == {2: "02_pim.wav"}
    assert matches.left == {
        "03_odd.wav": "odd 3.flac is for line 3 too; keep one of them",
        "odd 3.flac": "03_odd.wav is for line 3 too; keep one of them",
    }


def test_a_name_that_says_two_lines_is_left() -> None:
    held = [*LINES[:2], line(3, "Odd", "sound/odd_7.wav"), *LINES[3:6], line(7, "Odd")]
    why = "it could be of line 3 and 7; begin its name with the number of the line"
    assert match_files(held, ["odd_7.wav"]).left == {"odd_7.wav": why}


def test_every_name_that_the_script_asks_for_comes_back_to_its_line() -> None:
    for count in (7, 99, 100, 1234):
        names = [line_file(one, count) for one in LINES]
        assert list(match_files(LINES, names).lines.items()) == list(enumerate(names, 1))
    assert line_file(LINES[4], 7) == "05_guard_2.wav"
    assert line_file(line(12, "?!"), 200, ".flac") == "012.flac"
