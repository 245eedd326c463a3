"""A new order of the panels: lines move as they stand, and the way back is exact."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from animatic.board.edits.arrange import arranged, read_order
from animatic.errors import BoardError, UsageError
from animatic.timeline import lay_out
from tests.boards import BoardFolder
from tests.strategies import Order, cards_of, orders, untimed, way_back

FILE = "board.yaml"
BOARD = """\
board: 1
title: Low Water   # working title
shoot_on: 2
setups:
  quay: {place: Quay}
  shed: {place: Shed}

panels:        # as on the wall
  # --- the quay ---

  - shot: 10               # opens the film
    photo: a.jpg
    setup: quay
    # inside the first panel
    size: WS
    note: >-
      a long
      note
    # further in: still the first panel
  # above the second
  - photo: a.jpg
    duration: 2s

  - {photo: a.jpg, shoot_on: 1}   # in braces
  # --- the shed ---
  #
  - shot: '20'
    photo: a.jpg
    setup: shed
    dialogue:
      - {who: Odd, line: Late., note: "not # loud"}
  -
    photo: a.jpg   # dash alone
    size: CU
  - photo: a.jpg

  - shot: 30
    photo: a.jpg
    shoot_on: 3
"""
TAIL = "# the end\nhandles: 8f  # each\n"
COUNT = 7


ENDS = st.sampled_from(["", TAIL, None])
BREAKS = st.sampled_from(["\n", "\r\n"])


def board_bytes(tail: str | None, newline: str) -> bytes:
    text = BOARD + (tail or "")
    text = text.rstrip("\n") if tail is None else text
    return text.replace("\n", newline).encode()


@untimed
@given(orders(COUNT), ENDS, BREAKS)
def test_the_opposite_order_restores_the_board_byte_for_byte(
    order: Order, tail: str | None, newline: str
) -> None:
    data = board_bytes(tail, newline)
    made = arranged(data, cards_of(order), FILE)
    again = arranged(made.data, way_back(order, COUNT), FILE)
    assert again.data == data


@untimed
@given(orders(COUNT), orders(COUNT), ENDS)
def test_two_orders_and_the_way_back_lose_nothing(
    first: Order, second: Order, tail: str | None
) -> None:
    data = board_bytes(tail, "\n")
    one = arranged(data, cards_of(first), FILE)
    # The second order is said of all cards by what they were in the first board.
    cards = {index: ("panels", n) for n, index in enumerate(first)}
    left = [index for index in range(COUNT) if index not in first]
    cards |= {index: ("parked", n) for n, index in enumerate(left)}
    two = arranged(one.data, [cards[index] for index in second], FILE)
    places = {index: ("panels", n) for n, index in enumerate(second)}
    # Those that were parked before stay in front of those that are parked now.
    rest = [i for i in left if i not in second]
    rest += [i for i in first if i not in second]
    places |= {index: ("parked", n) for n, index in enumerate(rest)}
    assert arranged(two.data, [places[index] for index in range(COUNT)], FILE).data == data


@untimed
@given(orders(COUNT), ENDS)
def test_every_line_is_there_once_and_comments_stay_above_their_panel(
    order: Order, tail: str | None
) -> None:
    data = board_bytes(tail, "\n")
    made = arranged(data, cards_of(order), FILE).data.decode()
    lines = made.splitlines()
    added = ("# arranged:", "parked:", "shot: ", "setup: ", "size: ", "shoot_on: ")
    kept = [line for line in lines if not line.strip(" -").startswith(added)]
    was = [line for line in data.decode().splitlines() if not line.strip(" -").startswith(added)]
    # A key in braces is added inside its line.
    braces = [line for line in kept if "# in braces" in line]
    assert len(braces) == 1
    others = sorted(line for line in kept if line not in braces)
    assert others == sorted(line for line in was if "# in braces" not in line)

    def below(words: str) -> str:
        at = next(n for n, line in enumerate(lines) if words in line)
        rest = lines[at + 1 :]
        return next(line for line in rest if line.strip() and line.strip()[0] != "#")

    assert below("--- the quay").strip().startswith("- shot: 10")
    assert below("# above the second").strip() == "- photo: a.jpg"
    assert below("--- the shed").strip().startswith("- shot: '20")
    text = "    # further in: still the first panel"
    assert lines[lines.index(text) - 1] == "      note"


@untimed
@given(orders(COUNT))
def test_panels_keep_what_they_took_over_from_their_shot(order: Order) -> None:
    def told(text: str) -> list[tuple[str, str, int, str]]:
        """What lay_out makes of each panel: setup, size, shoot_on, and the shot's old name."""
        content = lay_out(BoardFolder(_FOLDER[-1]).read(text))
        return [
            (shot.setup, panel.size, panel.shoot_on, shot.name.rstrip("BCDEF"))
            for shot in content.shots
            for panel in shot.panels
        ]

    made = arranged(BOARD.encode(), cards_of(order), FILE)
    before = told(BOARD)
    assert told(made.data.decode()) == [before[index] for index in order]
    assert made.cards == tuple(str(index + 1) for index in order)


@pytest.fixture(scope="module", autouse=True)
def folder(tmp_path_factory: pytest.TempPathFactory) -> None:
    board = BoardFolder(tmp_path_factory.mktemp("board"))
    board.photo("a.jpg")
    _FOLDER.append(board.folder)


_FOLDER: list[Path] = []


def test_a_panel_that_leaves_its_shot_says_where_it_comes_from() -> None:
    head = "board: 1\npanels:\n- {shot: 10, photo: a.jpg}\n- photo: b.jpg\n"
    text = f"{head}- shot: 20\n  photo: c.jpg\n"
    made = arranged(text.encode(), cards_of((0, 2, 1)), FILE)
    assert made.data.decode() == (
        "board: 1\npanels:\n- {shot: 10, photo: a.jpg}\n- shot: 20\n  photo: c.jpg\n"
        "# arranged: shot 10B from shot 10; added shot\n- photo: b.jpg\n  shot: 10B\n"
    )
    assert made.renamed == (("10", "10B"),)
    assert made.given == ((3, ("shot",)),)
    parked = arranged(text.encode(), cards_of((2,)), FILE)
    assert parked.data.decode() == (
        "board: 1\npanels:\n- shot: 20\n  photo: c.jpg\n"
        "parked:\n- {shot: 10, photo: a.jpg}\n"
        "# arranged: from shot 10; added shot\n- photo: b.jpg\n  shot: 10\n"
    )
    assert (parked.cards, parked.parked) == (("3",), ("1", "2"))


def test_a_name_given_by_hand_since_is_kept() -> None:
    head = b"board: 1\npanels:\n- {shot: 10, photo: a.jpg}\n- photo: b.jpg\n"
    text = head + b"- {shot: 20, photo: c.jpg}\n"
    made = arranged(text, cards_of((0, 2, 1)), FILE).data.replace(b"shot: 10B", b"shot: 15")
    again = arranged(made, cards_of((0, 2, 1)), FILE).data
    panels = yaml.safe_load(again)["panels"]
    assert [panel["shot"] for panel in panels] == [10, 15, 20]


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["8"], "8: there is no such card; the board has cards 1 to 7, and none is parked"),
        (["0"], "0: there is no such card; the board has cards 1 to 7, and none is parked"),
        (["p1"], "p1: there is no such card; the board has cards 1 to 7, and none is parked"),
        (["1", "3-1"], "card 1 stands in the order twice; name each card once"),
        (["x"], "x: no card; allowed: a number, a range as 5-9, or p1 for parked"),
        ([","], "no card is named; name at least one, as: 3 1 2"),
    ],
)
def test_an_order_that_is_none_is_refused(words: list[str], message: str) -> None:
    with pytest.raises(UsageError) as fault:
        read_order(words, COUNT)
    assert str(fault.value) == message


def test_panels_that_are_no_lines_of_their_own_are_refused() -> None:
    with pytest.raises(BoardError) as fault:
        arranged(b"board: 1\npanels: [{photo: a.jpg}, {photo: b.jpg}]\n", cards_of((1, 0)), FILE)
    assert str(fault.value) == (
        "board.yaml:2:1: panels: these panels stand between brackets, so they cannot be moved"
        " line by line; write each panel on lines of its own, with a dash before it"
    )


def test_a_text_that_keeps_its_empty_lines_moves_with_them_or_is_refused() -> None:
    text = b"board: 1\npanels:\n- photo: a.jpg\n  note: |+\n    a\n\n\n- photo: b.jpg\n  note: b"
    made = arranged(text + b"\n", cards_of((1, 0)), FILE).data
    assert [p["note"] for p in yaml.safe_load(made)["panels"]] == ["b", "a\n\n\n"]
    # Without a line break at the end of the file the text would lose its own.
    with pytest.raises(BoardError) as fault:
        arranged(text, cards_of((1, 0)), FILE)
    assert str(fault.value) == (
        "board.yaml:4:9: panels[1].note: a text of card 1 would change with the empty lines or"
        " comments around it; put this text (| or >) on one line, then arrange again"
    )


EMPTY = {
    "at the end": BOARD + "parked: []   # none yet\n",
    "without a last line break": BOARD + "handles: 8f\nparked: []",
    "before the panels": BOARD.replace("setups:", "parked: [ ]\nsetups:"),
    "over lines": BOARD + "parked:\n  [\n    # none yet\n  ]\nhandles: 8f\n",
    "with its key in quotes": BOARD + '"parked": []\n# the end\n',
}


@pytest.mark.parametrize("text", EMPTY.values(), ids=EMPTY.keys())
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_an_empty_list_of_parked_panels_takes_cards_and_comes_back(text: str, newline: str) -> None:
    data = text.replace("\n", newline).encode()
    made = arranged(data, cards_of((2, 1)), FILE)
    assert made.parked == ("1", "4", "5", "6", "7")
    assert len(yaml.safe_load(made.data)["parked"]) == 5
    assert arranged(made.data, way_back((2, 1), COUNT), FILE).data == data
    # Only where nothing is parked it stands as it was.
    fewer = arranged(made.data, [("panels", 1), ("panels", 0), ("parked", 0)], FILE)
    assert len(yaml.safe_load(fewer.data)["parked"]) == 4
    assert arranged(data, cards_of(tuple(range(COUNT))), FILE).data == data


@pytest.mark.parametrize("text", ["note: |\n    go slowly\n", "note: >\n    go\n    slowly\n"])
@pytest.mark.parametrize("last", ["note: later", "note: |\n    later", "note: >-\n    later"])
@pytest.mark.parametrize("order", [(1, 0), (1,), (0,)])
def test_a_text_may_come_to_stand_at_the_end_of_a_file_without_a_last_break(
    text: str, last: str, order: Order
) -> None:
    head = "board: 1\npanels:\n- shot: 1\n  photo: a.jpg\n  "
    data = f"{head}{text}- shot: 2\n  photo: a.jpg\n  {last}".encode()
    made = arranged(data, cards_of(order), FILE)
    assert not made.data.endswith(b"\n")
    board = yaml.safe_load(made.data)
    words = [panel["note"].split() for panel in (*board["panels"], *board.get("parked", ()))]
    assert sorted(words) == [["go", "slowly"], ["later"]]
    assert arranged(made.data, way_back(order, 2), FILE).data == data


@pytest.mark.parametrize("end", ["", "\n"])
def test_a_board_that_stands_indented_takes_parked_cards(end: str) -> None:
    rows = "".join(f"\n   - {{shot: {n}, photo: {n}.jpg}}" for n in range(1, 4))
    data = f"   board: 1\n   panels:{rows}{end}".encode()
    away = arranged(data, read_order(["3", "1"], 3), FILE).data
    assert b"\n   parked:\n   - {shot: 2, photo: 2.jpg}" in away
    back = arranged(away, read_order(["2", "p1", "1"], 2, 1), FILE).data
    assert back == data
