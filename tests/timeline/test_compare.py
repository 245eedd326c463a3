"""Comparing two boards: what is said of each shot, and the sums."""

from __future__ import annotations

import json
from fractions import Fraction

import pytest
from boards import BoardFolder, panels
from hypothesis import given
from hypothesis import strategies as st

from animatic.sheets.changes import as_json, as_markdown, as_text
from animatic.timeline.compare import _moved, compare

OLD = """
- {shot: 10, photo: a.jpg, duration: 2s}
- {shot: 20, photo: a.jpg, duration: 2s}
- {shot: 30, photo: a.jpg, duration: 3s}
- {shot: 40, photo: a.jpg, duration: 1s}
"""
NEW = """
- {shot: 30, photo: a.jpg, duration: 3s}
- {shot: 10, photo: a.jpg, duration: 2.5s}
- {shot: 20, photo: b.jpg, duration: 1s}
- {shot: 50, photo: a.jpg, duration: 2s}
"""


@pytest.fixture
def folder(tmp_path_factory: pytest.TempPathFactory) -> BoardFolder:
    made = BoardFolder(tmp_path_factory.mktemp("compare"))
    made.photo("a.jpg")
    made.photo("b.jpg")
    return made


def test_every_kind_of_change_is_named(folder: BoardFolder) -> None:
    comparison = compare(folder.lay_out(panels(OLD)), folder.lay_out(panels(NEW)))
    said = {change.name: (change.kinds, change.what) for change in comparison.changes}
    assert said == {
        "30": (("moved",), ()),
        "10": (("longer",), ()),
        "20": (("shorter", "changed"), ("photos",)),
        "40": (("gone",), ()),
        "50": (("added",), ()),
    }
    assert comparison.frames == 12 - 24 - 24 + 48
    assert comparison.poses == sum(change.poses for change in comparison.changes) == 6


def test_a_board_is_the_same_as_itself(folder: BoardFolder) -> None:
    timeline = folder.lay_out(panels(OLD))
    comparison = compare(timeline, timeline)
    assert comparison.differing == ()
    assert as_text(comparison, Fraction(30)) == "no shot is different\n"


def test_the_table_says_what_it_costs(folder: BoardFolder) -> None:
    comparison = compare(folder.lay_out(panels(OLD)), folder.lay_out(panels(NEW)))
    assert as_text(comparison, Fraction(30)) == (
        "shot  what                       frames before  frames after  change  poses  seconds\n"
        "30    moved                                 72            72      +0     +0   +0.000\n"
        "40    gone                                  24             0     -24    -12   -1.000\n"
        "10    longer                                48            60     +12     +6   +0.500\n"
        "20    shorter, changed (photos)             48            24     -24    -12   -1.000\n"
        "50    added                                  0            48     +48    +24   +2.000\n"
        "film                                       192           204     +12     +6   +0.500\n"
        "costs 6 poses, 0 h 12 min at 30 an hour\n"
    )


def test_json_and_markdown_have_the_same_numbers(folder: BoardFolder) -> None:
    comparison = compare(folder.lay_out(panels(OLD)), folder.lay_out(panels(NEW)))
    content = json.loads(as_json(comparison, Fraction(30)))
    assert content["total"] == {
        "frames_before": 192,
        "frames_after": 204,
        "poses": 6,
        "seconds": 0.5,
        "hours": 0.2,
    }
    table = as_markdown(comparison, Fraction(30)).splitlines()
    rows = [line.strip("| ").split(" | ") for line in table if line.startswith("|")][2:]
    assert [row[0] for row in rows[:-1]] == [shot["shot"] for shot in content["shots"]]
    assert [int(row[4]) for row in rows] == [0, -24, 12, -24, 48, 12]


@given(st.permutations(list("abcdefg")))
def test_the_fewest_shots_are_called_moved(after: list[str]) -> None:
    before = list("abcdefg")
    moved = _moved(before, after)
    assert [name for name in after if name not in moved] == [
        name for name in before if name not in moved
    ]
    # The longest run in the old order, found by trying all subsets.
    longest = max(
        sum(mask >> i & 1 for i in range(7))
        for mask in range(128)
        if (kept := [n for i, n in enumerate(after) if mask >> i & 1]) == sorted(kept)
    )
    assert len(moved) == 7 - longest
