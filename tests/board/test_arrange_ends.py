"""What belongs to a shot stays with it in a new order: its transitions, dressing and pace."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import groupby
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from animatic.board.edits.arrange import arranged
from animatic.board.edits.ends import ends_of
from animatic.board.naming import with_music
from animatic.board.read import board_from_bytes, read_board
from animatic.errors import BoardError
from animatic.timeline import lay_out
from tests.boards import BoardFolder
from tests.strategies import Order, cards_of, orders, untimed, way_back

FILE = "board.yaml"
DEMO = Path(__file__).parents[2] / "demo_board"
BOARD = """\
board: 1
setups: {quay: {}, shed: {}}
panels:
  # the first
  - shot: 10
    photo: a.jpg
    size: WS
    setup: quay
    transition:
      # slowly
      from_black: 4f   # from the sea

    dress: 20m
    poses_per_hour: 12
  - photo: a.jpg
    duration: 2s
    note: |
      goes on

    transition: {to_black: 6f}  # or a cut

  # --- the shed ---
  - {shot: 20, photo: a.jpg, setup: shed, duration: 3s, transition: {from_black: 12f}, dress: 1h}
  - photo: a.jpg   # second
  - {photo: a.jpg, poses_per_hour: 40}
  - shot: 30
    photo: a.jpg
    transition: {dissolve: 8f}
    sounds: []
  - photo: a.jpg
    looks: left
    duration: 36f
"""
HOMES = ("10", "10", "20", "20", "20", "30", "30")
COUNT = len(HOMES)
DRESS = {"10": "20m", "20": "1h"}
RATES = (12, 12, 30, 30, 40, 30, 30)
OPENING = {"10": ("from_black", "4f"), "20": ("from_black", "12f"), "30": ("dissolve", "8f")}
CLOSING = {"10": ("to_black", "6f")}


@untimed
@given(orders(COUNT), st.sampled_from(["\n", "\r\n"]), st.booleans())
def test_the_opposite_order_restores_the_board_byte_for_byte(
    order: Order, newline: str, is_ended: bool
) -> None:
    data = (BOARD if is_ended else BOARD.rstrip("\n")).replace("\n", newline).encode()
    made = arranged(data, cards_of(order), FILE)
    assert arranged(made.data, way_back(order, COUNT), FILE).data == data
    # The same order again changes nothing.
    same = [("panels", index) for index in range(len(order))]
    assert arranged(made.data, same, FILE).data == made.data


@untimed
@given(orders(COUNT), orders(COUNT))
def test_a_second_order_is_as_if_the_first_had_not_been(first: Order, second: Order) -> None:
    one = arranged(BOARD.encode(), cards_of(first), FILE)
    places = dict(enumerate(way_back(first, COUNT)))
    two = arranged(one.data, [places[index] for index in second], FILE)
    straight = arranged(BOARD.encode(), cards_of(second), FILE)
    assert yaml.safe_load(two.data)["panels"] == yaml.safe_load(straight.data)["panels"]


@untimed
@given(orders(COUNT))
def test_every_shot_keeps_what_is_its_own(order: Order) -> None:
    made = arranged(BOARD.encode(), cards_of(order), FILE)
    panels = yaml.load(made.data, yaml.BaseLoader)["panels"]
    homes = [HOMES[index] for index in order]
    names, name = [], ""
    for panel in panels:
        name = panel.get("shot", name)
        names.append(name)
    parts = [[n for n, _ in run] for _, run in groupby(enumerate(names), lambda pair: pair[1])]
    for home in set(homes):
        mine = [n for n, one in enumerate(homes) if one == home]
        # It is dressed once, whatever is parked.
        assert [panels[n]["dress"] for n in mine if "dress" in panels[n]] == (
            [DRESS[home]] if home in DRESS else []
        )
        # It begins and ends once as it did, but that nothing dissolves into the film's start, or
        # out of a shot that has faded out.
        found = [
            (key, value) for n in mine for key, value in panels[n].get("transition", {}).items()
        ]
        wanted = [ends[home] for ends in (OPENING, CLOSING) if home in ends]
        if ("dissolve", home) in {(key, home) for key, _ in wanted} and (
            any(n == 0 or "to_black" in panels[n - 1].get("transition", {}) for n in mine)
        ):
            assert set(found) <= set(wanted)
        else:
            assert sorted(found) == sorted(wanted)
    for part in parts:
        for n in part:
            keys = set(panels[n].get("transition", {}))
            assert not keys & {"dissolve", "from_black"} or n == part[0]
            assert "to_black" not in keys or n == part[-1]
    assert "dissolve" not in panels[0].get("transition", {})


@untimed
@given(orders(COUNT))
def test_the_plan_counts_the_same_poses_an_hour(order: Order) -> None:
    """A rate holds from its panel to the end of the shot; before it, the board's 30."""
    made = arranged(BOARD.encode(), cards_of(order), FILE)
    # A fade out before a dissolve is for the film-maker to settle.
    board = BoardFolder(_FOLDER[-1]).read(re.sub(rb"to_black: 6f(, )?", b"", made.data))
    content = board.content
    for shot in lay_out(board).shots:
        rate = Fraction(30)
        for panel in shot.panels:
            rate = content.panels[panel.index].poses_per_hour or rate
            assert RATES[order[panel.index]] == rate


@pytest.fixture(scope="module", autouse=True)
def folder(tmp_path_factory: pytest.TempPathFactory) -> None:
    board = BoardFolder(tmp_path_factory.mktemp("board"))
    board.photo("a.jpg")
    _FOLDER.append(board.folder)


_FOLDER: list[Path] = []


def test_a_transition_that_is_put_by_is_a_comment_where_it_stood() -> None:
    text = (
        "board: 1\npanels:\n- {shot: 10, photo: a.jpg}\n- shot: 20\n  photo: a.jpg\n"
        "  transition: {dissolve: 12f}  # slow\n- photo: b.jpg\n"
    )
    made = arranged(text.encode(), cards_of((0, 2, 1)), FILE)
    assert made.data.decode() == (
        "board: 1\npanels:\n- {shot: 10, photo: a.jpg}\n"
        "# arranged: from shot 20; added shot, dissolve\n"
        "- photo: b.jpg\n  shot: '20'\n  transition: {dissolve: 12f}\n"
        "- shot: 20\n  photo: a.jpg\n"
        "  # arranged, put by: transition: {dissolve: 12f}  # slow\n"
    ).replace("'20'", "20")
    assert made.given == ((2, ("shot", "dissolve")),)


def test_in_braces_it_is_named_above_the_panel() -> None:
    text = (
        "board: 1\npanels:\n- {shot: 10, photo: a.jpg, transition: {from_black: 1s}}\n"
        "- photo: b.jpg\n"
    )
    made = arranged(text.encode(), cards_of((1, 0)), FILE)
    assert made.data.decode() == (
        "board: 1\npanels:\n# arranged: from shot 10; added shot, from_black\n"
        "- photo: b.jpg\n  shot: 10\n  transition: {from_black: 1s}\n"
        "# arranged: from shot 10; put by from_black 1s\n- {shot: 10, photo: a.jpg}\n"
    )
    assert arranged(made.data, cards_of((1, 0)), FILE).data == text.encode()


def test_of_two_transitions_the_one_that_still_fits_stays() -> None:
    text = (
        "board: 1\npanels:\n- {shot: 10, photo: a.jpg, duration: 2s,"
        " transition: {from_black: 1s, to_black: 6f}}\n- {shot: 20, photo: b.jpg}\n"
    )
    same = arranged(text.encode(), cards_of((1, 0)), FILE).data
    assert b"put by" not in same
    joined = text.replace("{shot: 20, photo", "{photo").replace(", to_black: 6f", "")
    two = joined.replace("photo: b.jpg", "photo: b.jpg, transition: {to_black: 6f}")
    made = arranged(two.encode(), cards_of((1, 0)), FILE).data
    panels = yaml.safe_load(made)["panels"]
    assert [panel["transition"] for panel in panels] == [{"from_black": "1s"}, {"to_black": "6f"}]
    assert arranged(made, cards_of((1, 0)), FILE).data == two.encode()


def test_what_could_not_come_back_is_refused() -> None:
    """In braces with a key out of the usual order: put back, it would stand elsewhere."""
    text = b"board: 1\npanels:\n- {transition: {from_black: 1s}, shot: 10, photo: a.jpg}\n"
    with pytest.raises(BoardError) as fault:
        arranged(text + b"- photo: b.jpg\n", cards_of((1, 0)), FILE)
    assert str(fault.value) == (
        "board.yaml:3:16: panels[1].transition: the transition of card 1 would have to leave it in"
        " this order, and could not come back as it stands; write the panel without braces, with"
        " transition on a line of its own below its photo"
    )


BOTH = {
    "on one line": "transition: {dissolve: 24f, to_black: 3s}  # the end\n",
    "on lines of its own": "transition:\n    dissolve: 24f  # slow\n    to_black: 3s\n",
    "the other way round": "transition: {to_black: 3s, dissolve: 24f}\n",
}


@pytest.mark.parametrize("written", BOTH.values(), ids=BOTH.keys())
def test_of_a_transition_what_still_fits_stays_and_all_comes_back(written: str) -> None:
    text = (
        "board: 1\npanels:\n- shot: 10\n  photo: a.jpg\n- shot: 20\n  photo: b.jpg\n"
        f"  {written}  note: late\n"
    )
    made = arranged(text.encode(), cards_of((1, 0)), FILE).data
    first, second = yaml.safe_load(made)["panels"]
    told = arranged(text.encode(), cards_of((1, 0)), FILE)
    # What stays in its own panel is not told as taken over from another.
    assert (told.given, told.put_by) == ((), ((1, ("dissolve",)),))
    assert (first["transition"], second.get("transition")) == ({"to_black": "3s"}, None)
    assert arranged(made, cards_of((1, 0)), FILE).data == text.encode()


@settings(max_examples=40, deadline=None)
@given(st.permutations(range(24)))
def test_the_demo_takes_any_order_and_the_opposite_restores_it(order: list[int]) -> None:
    data = (DEMO / "board.yaml").read_bytes()
    made = arranged(data, cards_of(order), FILE)
    lay_out(board_from_bytes(with_music(read_board(DEMO), made)[0], DEMO / "board.yaml"))
    back = sorted(range(24), key=order.__getitem__)
    assert arranged(made.data, cards_of(back), FILE).data == data


def test_words_like_ours_in_a_note_are_the_film_makers_own() -> None:
    text = (
        "board: 1\npanels:\n- shot: 10\n  photo: a.jpg\n  note: |\n    so\n"
        "    # arranged, put by: words\n- {shot: 20, photo: b.jpg}\n"
    )
    made = arranged(text.encode(), cards_of((1, 0)), FILE).data
    assert b"    # arranged, put by: words\n" in made
    assert arranged(made, cards_of((1, 0)), FILE).data == text.encode()


def test_a_shot_does_not_begin_in_two_ways() -> None:
    one, other = {"transition": {"dissolve": "4f"}}, {"transition": {"from_black": "6f"}}
    given, leaving = ends_of([one, other], [], ["20", "20"], ["20", "20"], [])
    assert given == [{"from_black": "6f"}, {}]
    assert leaving == [{"dissolve": "4f"}, {"from_black": "6f"}]
