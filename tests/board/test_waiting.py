"""Setups that wait for each other: refused where no order keeps what they say, and only there."""

from __future__ import annotations

from graphlib import CycleError, TopologicalSorter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from animatic.board.read import content_of
from animatic.board.text.yamltree import parse
from animatic.board.waiting import waiting_problems
from animatic.errors import Problem
from animatic.shoot.order import best_order
from animatic.shoot.setups import Rigged, waits_for
from tests.boards import panels

NAMES = "abcdefg"


def said(setups: str) -> tuple[list[Problem], list[frozenset[int]]]:
    """Return the problems of a board's setups, and who waits for whom in the plan."""
    tree = parse(panels("- {shot: 10, photo: a.jpg}", f"board: 1\nsetups:\n{setups}").encode(), "b")
    content, faults = content_of(tree)
    assert content is not None
    assert not faults
    rigged = [Rigged(name, entry, ()) for name, entry in content.setups.items()]
    return list(waiting_problems(content, tree)), waits_for(rigged)


entries = st.tuples(
    st.sampled_from(["", "", "", "first: true", "last: true"]),
    st.lists(st.sampled_from(NAMES), max_size=2),
)


@settings(max_examples=300)
@given(st.lists(entries, min_size=len(NAMES), max_size=len(NAMES)))
def test_an_order_is_refused_where_there_is_none_and_only_there(
    setups: list[tuple[str, list[str]]],
) -> None:
    lines = []
    for name, (end, after) in zip(NAMES, setups, strict=True):
        keys = [end, f"after: [{', '.join(after)}]"]
        lines.append(f"  {name}: {{{', '.join(filter(None, keys))}}}\n")
    problems, before = said("".join(lines))
    is_itself = any(name in after for name, (_, after) in zip(NAMES, setups, strict=True))
    try:
        tuple(TopologicalSorter(dict(enumerate(before))).static_order())
    except CycleError:
        assert problems
        with pytest.raises(ValueError, match="wait for each other"):
            best_order([[0] * len(NAMES)] * len(NAMES), before)
    else:
        assert bool(problems) == is_itself


def test_a_long_row_of_setups_is_no_circle_until_it_is_closed() -> None:
    count = 1100
    row = "".join(f"  s{n}: {{after: [s{n - 1}]}}\n" for n in range(1, count))
    assert said(f"  s0: {{}}\n{row}")[0] == []
    (problem,) = said(f"  s0: {{after: [s{count - 1}]}}\n{row}")[0]
    assert problem.found == (
        "these setups wait for each other: s0 after s1099, s1099 after s1098, s1098 after s1097,"
        " s1097 after s1096, s1096 after s1095, s1095 after s1094 and 1094 more"
    )
    assert problem.key == "setups.s0.after[1]"
