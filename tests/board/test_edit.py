"""Values changed in place: everything else byte for byte, and the board reads as meant.

The random boards know which of their characters belong to which value, so what may change is
not taken from the code under test. That both of PyYAML's readers, the one in C and the one
written in Python, read the outcome alike is checked beside it.
"""

from __future__ import annotations

import copy
import re
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from animatic.board.edits.edit import Change, Removal, edited
from animatic.board.read import content_of
from animatic.board.text.yamltree import parse
from tests.board.board_texts import DURATIONS, BoardText, board_texts
from tests.board.nasty_texts import NASTY, nasty
from tests.strategies import untimed

often = settings(untimed, max_examples=250)
NEW_KEYS = ("duration", "size", "note", "shot", "photo", "fit", "who", "title", "speech", "odd key")


def with_value(board: BoardText, path: tuple[str | int, ...], value: Any) -> Any:
    """Return what a board means with one value changed; None takes the key out."""
    meant = copy.deepcopy(board.content)
    at: Any = meant
    for key in path[:-1]:
        at = at[key]
    if value is None:
        del at[path[-1]]
    else:
        at[path[-1]] = value
    return meant


def reads_as(data: bytes, board: BoardText, meant: Any) -> bool:
    """Whether both of PyYAML's readers read `data` as what is meant."""
    # The reader in Python stumbles over a tab before a comment, so it cannot be asked there.
    text = data[len(board.mark) :].decode(board.codec)
    by_python = meant if "\t" in board.text else yaml.load(text, yaml.BaseLoader)
    return bool(parse(data, "b.yaml").root == meant and by_python == meant)


@often
@given(board_texts())
def test_the_random_boards_read_as_they_mean(board: BoardText) -> None:
    assert reads_as(board.data, board, board.content)


@often
@given(board_texts(), st.data())
def test_nothing_but_the_value_changes(board: BoardText, data: st.DataObject) -> None:
    path = data.draw(st.sampled_from(board.scalars("plain", "exact", "other", "body")))
    value = data.draw(nasty())
    made = edited(board.data, [Change(path, value)], "b.yaml")
    before, after = board.kept([path])
    assert made.startswith(before)
    assert made.endswith(after)
    assert len(made) > len(before) + len(after)
    assert reads_as(made, board, with_value(board, path, value))


@often
@given(board_texts(), st.data())
def test_several_values_change_at_once(board: BoardText, data: st.DataObject) -> None:
    paths = st.sampled_from(board.scalars("plain", "exact", "other", "body"))
    chosen = data.draw(st.lists(paths, min_size=2, max_size=9, unique=True))
    made = edited(board.data, [Change(path, "17f") for path in chosen], "b.yaml")
    written = [word.encode(board.codec) for word in ("17f", '"17f"', "'17f'")]
    between = b"(?:" + b"|".join(map(re.escape, written)) + b")"
    assert re.fullmatch(between.join(map(re.escape, board.kept(chosen))), made)
    meant = board
    for path in chosen:
        meant = BoardText(with_value(meant, path, "17f"))
    assert reads_as(made, board, meant.content)


@often
@given(board_texts(), st.data())
def test_setting_and_setting_back_is_no_change(board: BoardText, data: st.DataObject) -> None:
    path = data.draw(st.sampled_from(board.scalars("plain", "exact")))
    made = edited(board.data, [Change(path, data.draw(st.sampled_from(DURATIONS)))], "b.yaml")
    assert edited(made, [Change(path, board.value(path))], "b.yaml") == board.data


@often
@given(board_texts(), st.data())
def test_adding_a_key_and_taking_it_out_is_no_change(board: BoardText, data: st.DataObject) -> None:
    mapping = data.draw(st.sampled_from(board.mappings()))
    free = [key for key in NEW_KEYS if key not in board.value(mapping)]
    path = (*mapping, data.draw(st.sampled_from(free)))
    value = data.draw(nasty())
    made = edited(board.data, [Change(path, value)], "b.yaml")
    assert reads_as(made, board, with_value(board, path, value))
    assert is_shortened(board.data, made), "something was taken away"
    assert edited(made, [Removal(path)], "b.yaml") == board.data


@often
@given(board_texts(), st.data())
def test_a_key_is_taken_out_and_nothing_is_added(board: BoardText, data: st.DataObject) -> None:
    mappings = [path for path in board.mappings() if board.value(path)]
    mapping = data.draw(st.sampled_from(mappings))
    path = (*mapping, data.draw(st.sampled_from(list(board.value(mapping)))))
    made = edited(board.data, [Removal(path)], "b.yaml")
    assert reads_as(made, board, with_value(board, path, None))
    was_last = len(board.value(mapping)) == 1
    assert was_last or is_shortened(made, board.data)


def is_shortened(short: bytes, long: bytes) -> bool:
    """Whether `short` can be had from `long` by leaving bytes out."""
    rest = iter(long)
    return all(byte in rest for byte in short)


@often
@given(board_texts(), st.data())
def test_keys_added_removed_and_changed_together(board: BoardText, data: st.DataObject) -> None:
    panel = data.draw(st.integers(0, len(board.content["panels"]) - 1))
    keys = board.content["panels"][panel]
    wanted = data.draw(
        st.dictionaries(
            st.sampled_from(["size", "setup", "duration", "shoot_on", "note"]),
            st.none() | nasty(),
            min_size=1,
        )
    )
    wanted = {key: value for key, value in wanted.items() if value is not None or key in keys}
    paths = {key: ("panels", panel, key) for key in wanted}
    changes = [
        Removal(paths[key]) if value is None else Change(paths[key], value)
        for key, value in wanted.items()
    ]
    made = edited(board.data, changes, "b.yaml")
    meant = copy.deepcopy(board.content)
    meant["panels"][panel] = {
        key: value for key, value in {**keys, **wanted}.items() if value is not None
    }
    assert reads_as(made, board, meant)


@often
@given(board_texts(), st.data())
def test_a_length_changes_in_the_board_that_is_read(board: BoardText, data: st.DataObject) -> None:
    panel = data.draw(st.integers(0, len(board.content["panels"]) - 1))
    length = data.draw(st.sampled_from(DURATIONS))
    made = edited(board.data, [Change(("panels", panel, "duration"), length)], "b.yaml")
    (before, faults), (after, new_faults) = (
        content_of(parse(data, "b.yaml")) for data in (board.data, made)
    )
    assert (faults, new_faults) == ([], [])
    assert before is not None
    assert after is not None
    assert str(after.panels[panel].duration) == length
    panels = [
        entry if number != panel else entry.model_copy(update={"duration": None})
        for number, entry in enumerate(before.panels)
    ]
    without = [
        entry if number != panel else entry.model_copy(update={"duration": None})
        for number, entry in enumerate(after.panels)
    ]
    assert after.model_copy(update={"panels": without}) == before.model_copy(
        update={"panels": panels}
    )


@pytest.mark.parametrize("value", NASTY)
@pytest.mark.parametrize("before", ["k: v # c\n", "k: 'v'", 'k: "v"', "{k: v, l: w}", "- [v, 'v']"])
def test_every_nasty_text_reads_as_itself_everywhere(before: str, value: str) -> None:
    path = (0, 0) if before.startswith("-") else ("k",)
    made = edited(before.encode(), [Change(path, value)], "b.yaml").decode()
    for loader in (yaml.BaseLoader, yaml.CBaseLoader):
        found: Any = yaml.load(made, loader)
        for key in path:
            found = found[key]
        assert found == value
