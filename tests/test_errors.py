"""The error tree: what it says, in which order, and what it is caught by."""

from __future__ import annotations

import copy
import pickle
import random
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from animatic.errors import (
    AnimaticError,
    BoardError,
    InternalError,
    MachineError,
    MediaError,
    Place,
    Problem,
    UsageError,
    nearest,
)
from tests.strategies import untimed

AT = Place("board.yaml", 12, 5)

MESSAGES = [
    (
        Problem(AT, "rate", "23", "12, 24 or 25", "try 24"),
        "board.yaml:12:5: rate: found 23; allowed: 12, 24 or 25; try 24",
    ),
    (
        Problem(AT, "rate", "23", "12, 24 or 25"),
        "board.yaml:12:5: rate: found 23; allowed: 12, 24 or 25",
    ),
    (Problem(AT, "rate", "23", hint="try 24"), "board.yaml:12:5: rate: found 23; try 24"),
    (Problem(AT, "rate", "23"), "board.yaml:12:5: rate: found 23"),
    (Problem(AT, "", "23"), "board.yaml:12:5: found 23"),
    (
        Problem(AT, "panels[3].photo", "there is no such file", "a photo", "look in photos"),
        "board.yaml:12:5: panels[3].photo: there is no such file; allowed: a photo; look in photos",
    ),
    (
        Problem(AT, "", "the board is empty", hint="begin with board: 1"),
        "board.yaml:12:5: the board is empty; begin with board: 1",
    ),
]


@pytest.mark.parametrize(("problem", "message"), MESSAGES)
def test_what_a_problem_says(problem: Problem, message: str) -> None:
    assert str(problem) == message
    assert str(BoardError([problem])) == message


def test_places_are_in_reading_order() -> None:
    """By file, then by number and not by digits: line 9 stands before line 10."""
    in_order = [
        Place("a.yaml", 9, 40),
        Place("a.yaml", 10, 2),
        Place("a.yaml", 10, 11),
        Place("b.yaml", 1, 1),
    ]
    for shuffled in permutations(in_order):
        assert sorted(shuffled) == in_order
    assert [str(place) for place in in_order] == [
        *("a.yaml:9:40", "a.yaml:10:2", "a.yaml:10:11", "b.yaml:1:1"),
    ]


def test_a_board_error_tells_everything_in_reading_order() -> None:
    problems = [
        Problem(Place("board.yaml", 10, 2), "panels[0].size", "XL", "WS, MS or CU"),
        Problem(Place("board.yaml", 9, 1), "pannels", "an unknown key", hint="panels?"),
        Problem(Place("board.yaml", 9, 30), "rate", "23", "12 or 24"),
    ]
    error = BoardError(iter(problems))
    assert str(error) == (
        "board.yaml:9:1: pannels: an unknown key; panels?\n"
        "board.yaml:9:30: rate: found 23; allowed: 12 or 24\n"
        "board.yaml:10:2: panels[0].size: found XL; allowed: WS, MS or CU"
    )
    assert error.problems == (problems[1], problems[2], problems[0])


@given(st.lists(st.tuples(st.integers(1, 3), st.integers(1, 3)), max_size=12), st.randoms())
@untimed
def test_no_problem_is_lost_and_those_of_one_place_keep_their_order(
    places: list[tuple[int, int]], chance: random.Random
) -> None:
    chance.shuffle(places)
    problems = [Problem(Place("b.yaml", *at), "", str(n)) for n, at in enumerate(places)]
    expected = [n for _, n in sorted((at, n) for n, at in enumerate(places))]
    assert [int(problem.found) for problem in BoardError(problems).problems] == expected


TREE = [
    (AnimaticError, Exception, 1),
    (BoardError, ValueError, 1),
    (MediaError, ValueError, 1),
    (UsageError, ValueError, 2),
    (MachineError, OSError, 3),
    (InternalError, AssertionError, 3),
]


@pytest.mark.parametrize(("kind", "builtin", "code"), TREE)
def test_the_tree(kind: type[AnimaticError], builtin: type[Exception], code: int) -> None:
    assert issubclass(kind, AnimaticError)
    assert issubclass(kind, builtin)
    assert kind.exit_code == code


@pytest.mark.parametrize("kind", [MediaError, UsageError, MachineError, InternalError])
def test_what_the_others_say(kind: type[AnimaticError]) -> None:
    with pytest.raises(AnimaticError) as caught:
        raise kind("sound/bell.wav: no sound in it")
    assert str(caught.value) == "sound/bell.wav: no sound in it"


KEYS = ["board", "dialogue", "duration", "handles", "panels", "photo", "rate", "setup", "shot"]


@pytest.mark.parametrize(
    ("word", "meant"),
    [
        ("dialoge", "dialogue"), ("Dialogue", "dialogue"), ("duraton", "duration"),
        ("pannels", "panels"), ("handels", "handles"), ("fotos", "photo"), ("shots", "shot"),
        ("rates", "rate"), ("rate", "rate"), ("zzz", ""), ("", ""), ("lens", ""),
    ],
)  # fmt: skip
def test_nearest(word: str, meant: str) -> None:
    assert nearest(word, KEYS) == meant
    assert nearest(word, iter(reversed(KEYS))) == meant


@pytest.mark.parametrize(("least", "meant"), [(0.5, "rate"), (0.75, "rate"), (0.76, ""), (1.0, "")])
def test_how_alike_the_nearest_must_be(least: float, meant: str) -> None:
    """`rats` and `rate` have six of their eight letters in common: alike by 0.75."""
    assert nearest("rats", KEYS, least) == meant


def test_nearest_of_nothing() -> None:
    assert nearest("rate", []) == ""


def test_a_board_error_can_be_copied_and_sent() -> None:
    error = BoardError([Problem(Place("b.yaml", 1, 2), "rate", "23", "24")])
    for twin in (copy.copy(error), pickle.loads(pickle.dumps(error))):
        assert twin.problems == error.problems
        assert str(twin) == str(error)
