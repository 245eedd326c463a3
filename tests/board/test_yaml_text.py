"""Text of the board as it is written: nothing of YAML's guessing gets through.

What plain YAML 1.1 makes of each text is asked of PyYAML's own safe_load, beside it.
"""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest
import yaml

from animatic.board.text.yamltree import Text, parse
from animatic.errors import BoardError, Place
from tests.boards import HEAD, BoardFolder, panels


@pytest.mark.parametrize(
    ("written", "guessed"),
    [
        ("1:30", 90),
        ("012", 10),
        ("0x1F", 31),
        ("0b11", 3),
        ("1_000", 1000),
        ("on", True),
        ("no", False),
        ("Off", False),
        ("yes", True),
        ("2.10", 2.1),
        ("1e3", "1e3"),
        ("1.0e+3", 1000.0),
        (".inf", float("inf")),
        ("2026-11-25", datetime.date(2026, 11, 25)),
        ("10", 10),
        ("10:00:00:00", 2_160_000),
        ("=", None),
    ],
)
def test_scalars_stay_the_text_that_was_written(written: str, guessed: object) -> None:
    if written != "=":  # safe_load cannot even read this one
        assert yaml.safe_load(f"- {written}") == [guessed]
    assert parse(f"- {written}".encode(), "b.yaml").root == [written]


def test_keys_stay_the_text_that_was_written() -> None:
    text = "on: 1\nno: 2\n010: 3\n1:30: 4\n"
    assert yaml.safe_load(text) == {True: 1, False: 2, 8: 3, 90: 4}
    assert parse(text.encode(), "b.yaml").root == {"on": "1", "no": "2", "010": "3", "1:30": "4"}


@pytest.mark.parametrize("written", ["", "~", "null", "Null", "NULL"])
def test_nothing_is_nothing_only_without_quotes(written: str) -> None:
    assert parse(f"a: {written}".encode(), "b.yaml").root == {"a": None}
    assert parse(f'a: "{written}"'.encode(), "b.yaml").root == {"a": written}


def test_a_text_knows_whether_it_stood_in_quotes() -> None:
    root = parse(b"- no\n- 'no'\n- \"no\"\n- |\n  no\n", "b.yaml").root
    assert [(type(text), text.plain) for text in root] == [
        (Text, True),
        (Text, False),
        (Text, False),
        (Text, False),
    ]


def test_shot_names_and_speakers_are_kept_as_text(tmp_path: Path) -> None:
    board = BoardFolder(tmp_path)
    board.photo()
    content = board.read(
        panels("""
        - {shot: 2.10, photo: a.jpg}
        - {shot: 2.1, photo: a.jpg}
        - {shot: 012, photo: a.jpg}
        - {shot: on, photo: a.jpg}
        - {shot: 1:30, photo: a.jpg, dialogue: [{who: no, line: yes}]}
        - {shot: 'null', photo: a.jpg}
        """)
    ).content
    assert [panel.shot for panel in content.panels] == ["2.10", "2.1", "012", "on", "1:30", "null"]
    assert [(line.who, line.line) for line in content.panels[4].dialogue] == [("no", "yes")]


@pytest.mark.parametrize(
    ("encoding", "newline"),
    [
        ("utf-8", "\n"),
        ("utf-8", "\r\n"),
        ("utf-8-sig", "\n"),
        ("utf-8-sig", "\r\n"),
        ("utf-16", "\n"),
        ("utf-16", "\r\n"),
    ],
)
def test_what_editors_of_all_systems_save_reads_the_same(
    encoding: str, newline: str, tmp_path: Path
) -> None:
    board = BoardFolder(tmp_path)
    board.photo()
    text = f"{HEAD}title: Où est l’été 🦭\npanels:\n  - {{shot: 10, photo: a.jpg}}\n"
    read = board.read(text.replace("\n", newline).encode(encoding))
    assert read.content.title == "Où est l’été 🦭"
    assert read.place(("panels", 0, "photo")) == Place(str(board.file), 5, 23)


def test_big_endian_utf_16_reads_too() -> None:
    assert parse(b"\xfe\xff" + "title: Été".encode("utf-16-be"), "b.yaml").root == {"title": "Été"}


def test_places_count_characters_from_one() -> None:
    tree = parse("a:\n  - {ключ: 'é🦭', b: c}\n  -   d\n".encode(), "b.yaml")
    assert tree.root == {"a": [{"ключ": "é🦭", "b": "c"}, "d"]}
    assert tree.key_place(("a",)) == Place("b.yaml", 1, 1)
    assert tree.place(("a",)) == Place("b.yaml", 2, 3)
    assert tree.key_place(("a", 0, "b")) == Place("b.yaml", 2, 18)
    assert tree.place(("a", 0, "b")) == Place("b.yaml", 2, 21)
    assert tree.place(("a", 1)) == Place("b.yaml", 3, 7)
    # What is not there stands at the nearest thing around it.
    assert tree.place(("a", 0, "gone", "deeper")) == Place("b.yaml", 2, 5)
    assert tree.key_place(("a", 1)) == Place("b.yaml", 3, 7)
    assert tree.place(("gone",)) == Place("b.yaml", 1, 1)


def test_a_key_twice_is_refused_at_its_second_place_even_when_both_say_the_same() -> None:
    with pytest.raises(BoardError) as fault:
        parse(b"a: 1\nb: 2\na: 1\n'a': 3\n", "b.yaml")
    assert str(fault.value) == (
        "b.yaml:3:1: the key a stands here a second time; the first is on line 1\n"
        "b.yaml:4:1: the key a stands here a second time; the first is on line 1"
    )


def test_a_bomb_of_aliases_is_refused_without_being_opened() -> None:
    """Nine levels of ten aliases each would be a thousand million texts."""
    levels = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    for level in range(1, 10):
        levels.append(f"a{level}: &a{level} [{', '.join([f'*a{level - 1}'] * 10)}]")
    with pytest.raises(BoardError) as fault:
        parse("\n".join(levels).encode(), "b.yaml")
    assert len(fault.value.problems) == 10 + 90
    assert str(fault.value.problems[0]) == (
        "b.yaml:1:5: a0: the anchor &a0; boards know no anchors; leave it out, or put"
        " the text in quotes"
    )
    assert str(fault.value.problems[-1]) == (
        "b.yaml:10:55: a9[10]: the alias *a8; write the value out again, or put the text in quotes"
    )


def test_sixteen_levels_are_deep_enough_and_a_seventeenth_is_refused() -> None:
    assert parse(f"{'[' * 16}{']' * 16}".encode(), "b.yaml").root
    with pytest.raises(BoardError, match="nested too deep; boards are a few levels deep"):
        parse(f"{'[' * 17}{']' * 17}".encode(), "b.yaml")


def test_what_stands_behind_a_refused_depth_is_still_read() -> None:
    with pytest.raises(BoardError) as fault:
        parse(f"a: {'[' * 20}{{b: [c]}}{']' * 20}\nd: &e f\n".encode(), "b.yaml")
    assert [problem.found for problem in fault.value.problems] == [
        "nested too deep",
        "the anchor &e",
    ]


@pytest.mark.parametrize("code", [0, 7, 8, 11, 12, 27, 31, 127, 128, 132, 159, 0xFEFF])
def test_invisible_characters_are_refused_where_they_stand(code: int) -> None:
    with pytest.raises(BoardError) as fault:
        parse(f"a: é\nb: çà{chr(code)}c\n".encode(), "b.yaml")
    assert str(fault.value) == (
        f"b.yaml:2:6: the invisible character U+{code:04X} cannot stand in a board;"
        " delete it and type the text around it anew"
    )


def test_a_board_of_twenty_million_bytes_may_be_read(tmp_path: Path) -> None:
    board = BoardFolder(tmp_path)
    board.photo()
    text = f"{HEAD}panels:\n  - {{shot: 10, photo: a.jpg}}\n# "
    content = board.read(text + "x" * (20_000_000 - len(text))).content
    assert len(content.panels) == 1
