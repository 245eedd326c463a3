"""What was made lately: bounded, made once, safe in threads."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest

from animatic.picture.recent import Recent


def test_the_longest_unused_goes_first() -> None:
    recent = Recent[str](6, len)
    for key in "abc":
        recent.get(key, lambda key=key: key * 2)
    recent.get("a", lambda: "made again")
    recent.get("d", lambda: "dd")
    assert recent.keys() == ["c", "a", "d"]


def test_one_value_over_the_limit_stays_alone() -> None:
    recent = Recent[str](6, len)
    recent.get("a", lambda: "aa")
    recent.get("b", lambda: "b" * 100)
    assert recent.keys() == ["b"]
    recent.get("c", lambda: "cc")
    assert recent.keys() == ["c"]


def test_a_failure_is_not_kept() -> None:
    recent = Recent[str](6, len)
    with pytest.raises(ZeroDivisionError):
        recent.get("a", lambda: str(1 // 0))
    assert recent.keys() == []
    assert recent.get("a", lambda: "good") == "good"


def test_two_that_ask_at_once_get_what_was_made_once() -> None:
    recent, made, going = Recent[object](100, lambda _: 1), [], threading.Barrier(8)

    def make() -> object:
        made.append(object())
        threading.Event().wait(0.05)
        return made[-1]

    def ask() -> object:
        going.wait()
        return recent.get("a", make)

    with ThreadPoolExecutor(8) as pool:
        got = [asked.result() for asked in [pool.submit(ask) for _ in range(8)]]
    assert len(made) == 1
    assert all(one is made[0] for one in got)


def test_all_that_wait_learn_of_the_failure() -> None:
    recent, going = Recent[str](100, len), threading.Barrier(4)

    def make() -> str:
        threading.Event().wait(0.05)
        raise OSError("no")

    def ask() -> str:
        going.wait()
        return recent.get("a", make)

    with ThreadPoolExecutor(4) as pool:
        asked = [pool.submit(ask) for _ in range(4)]
    assert [str(one.exception()) for one in asked] == ["no"] * 4
