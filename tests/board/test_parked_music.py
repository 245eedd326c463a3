"""Music is parked with its shots by a new order, comes back with them, and nothing is lost."""

from __future__ import annotations

import pytest
import yaml
from hypothesis import assume, given
from hypothesis import strategies as st

from animatic.board.edits.arrange import arranged
from animatic.board.naming import with_music
from animatic.timeline import lay_out
from tests.boards import HEAD, BoardFolder, panels
from tests.strategies import Order, orders, untimed

ROWS = """
- {shot: 10, photo: a.jpg}
- {photo: a.jpg}
- shot: 20
  photo: a.jpg
# the boat
- {shot: 30, photo: a.jpg}
- {photo: a.jpg}
- {shot: 40, photo: a.jpg}
"""
COUNT = 6
FLOW = "music: [{file: a.wav, from: shot 20, until: shot 30, level: -3}, {file: a.wav}]  # two\n"
BRACES = """\
music:
  # low and slow
  - {file: a.wav, from: shot 20, until: shot 30}   # the boat
  - {file: a.wav, until: shot 10,
     level: -6}
"""
SPREAD = """\
music:
  - {
      file: a.wav,   # the tide
      from: shot 20,   # the boat
      until: "shot 30",   # and its end
    }
"""
BLOCK = """\
music:
# low
- file: a.wav
  from: shot 20   # the boat

  until: shot 30
    # and not beyond
  level: -3
- until: 'shot 40'
  from: shot 40
  file: a.wav
"""
STYLES = {"flow": FLOW, "braces": BRACES, "spread": SPREAD, "block": BLOCK}
Ids = tuple[int, ...]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> BoardFolder:
    made = BoardFolder(tmp_path_factory.mktemp("parked"))
    made.photo()
    made.sound()
    return made


class Wall:
    """A board on the wall: orders name its cards by their numbers at the beginning, from 0."""

    def __init__(self, folder: BoardFolder, text: str) -> None:
        self.folder, self.data = folder, text.encode()
        self.film: list[int] = list(range(COUNT))
        self.parked: list[int] = []

    def order(self, ids: Ids) -> list[str]:
        """Put the cards in this order and return what is said of the music."""
        board = self.folder.read(self.data)
        cards = [
            ("panels", self.film.index(one))
            if one in self.film
            else ("parked", self.parked.index(one))
            for one in ids
        ]
        made = arranged(self.data, cards, "board.yaml")
        self.data, told = with_music(board, made)
        self.parked = [one for one in (*self.parked, *self.film) if one not in ids]
        self.film = list(ids)
        # What is written can be read, and laid out.
        lay_out(self.folder.read(self.data))
        return [str(change) for change in told]

    @property
    def music(self) -> list[dict[str, object]]:
        """The pieces as they are written."""
        found: list[dict[str, object]] = yaml.safe_load(self.data)["music"]
        return found

    @property
    def ends(self) -> list[set[object]]:
        """The shots that each piece names."""
        return [{piece.get("from"), piece.get("until")} for piece in self.music]


def wall(folder: BoardFolder, music: str, more: str = "") -> Wall:
    return Wall(folder, panels(ROWS, HEAD + music) + more)


@pytest.mark.parametrize("music", STYLES.values(), ids=STYLES)
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_an_order_and_its_opposite_give_the_board_back(
    folder: BoardFolder, music: str, newline: str
) -> None:
    text = panels(ROWS, HEAD + music).replace("\n", newline)
    on_wall = Wall(folder, text)
    assert on_wall.order((5, 0, 1)) == [
        "music a.wav is parked with its shots 20 and 30; it comes back with them"
    ]
    piece, *_ = on_wall.music
    assert piece["parked"] is True
    assert (piece["from"], piece["until"]) == ("shot 20", "shot 30")
    assert on_wall.order((0, 1, 2, 3, 4, 5)) == ["music a.wav is back with shots 20, 30"]
    assert on_wall.data == text.encode()


def test_the_key_is_written_in_the_style_of_the_piece(folder: BoardFolder) -> None:
    def written(music: str) -> str:
        on_wall = wall(folder, music)
        on_wall.order((5, 0, 1))
        return on_wall.data.decode().removeprefix(HEAD).split("panels:")[0]

    assert written(FLOW) == FLOW.replace("shot 30,", "shot 30, parked: true,")
    assert written(BRACES) == BRACES.replace("shot 30}", "shot 30, parked: true}")
    end = "  until: shot 30\n    # and not beyond\n"
    assert written(BLOCK) == BLOCK.replace(end, f"{end}  parked: true\n")


def pieces() -> st.SearchStrategy[str]:
    """Music of up to three pieces over random shots, in braces or on lines of its own."""
    shots = st.lists(st.sampled_from([10, 20, 30, 40]), min_size=2, max_size=2).map(sorted)

    def piece(pair: list[int], ends: tuple[str, ...], is_block: bool) -> str:
        named = {"from": pair[0], "until": pair[1]}
        keys = [f"{end}: shot {named[end]}" for end in ends] + ["level: -3"]
        if is_block:
            return "- file: a.wav   # a\n" + "".join(f"  {key}   # b\n" for key in keys)
        return f"- {{file: a.wav, {', '.join(keys)}}}   # c\n"

    ends = st.sampled_from([("from", "until"), ("until", "from"), ("from",), ("until",), ()])
    one = st.builds(piece, shots, ends, st.booleans())
    return st.lists(one, min_size=1, max_size=3).map(lambda found: "music:\n" + "".join(found))


@untimed
@given(pieces(), st.lists(orders(COUNT), min_size=1, max_size=3))
def test_after_any_orders_the_full_one_restores_the_board(
    folder: BoardFolder, music: str, some: list[Order]
) -> None:
    on_wall = wall(folder, music)
    text, ends = on_wall.data, on_wall.ends
    for order in some:
        on_wall.order(order)
        # An end whose shot alone is parked is moved, which takes undo.
        assume(on_wall.ends == ends)
    on_wall.order(tuple(range(COUNT)))
    assert on_wall.data == text


def test_a_shot_that_lay_under_a_piece_brings_it_back(folder: BoardFolder) -> None:
    on_wall = wall(folder, "music: [{file: a.wav, from: shot 10, until: shot 30}]\n")
    assert on_wall.order((5,)) == [
        "music a.wav is parked with its shots 10 to 30; it comes back with them"
    ]
    assert on_wall.order((5, 2)) == [
        "music a.wav is back with shot 20",
        "music a.wav: from: shot 10 becomes from: shot 20",
        "music a.wav: until: shot 30 becomes until: shot 20",
    ]
    assert on_wall.music == [{"file": "a.wav", "from": "shot 20", "until": "shot 20"}]


def test_ends_that_come_back_turned_round_change_places(folder: BoardFolder) -> None:
    on_wall = wall(folder, "music: [{file: a.wav, from: shot 20, until: shot 30}]\n")
    on_wall.order((0, 5))
    assert on_wall.order((3, 4, 2, 5)) == [
        "music a.wav is back with shots 30, 20",
        "music a.wav: from: shot 20 becomes from: shot 30",
        "music a.wav: until: shot 30 becomes until: shot 20",
    ]


def test_shots_parked_before_or_later_do_not_bring_a_piece_back(folder: BoardFolder) -> None:
    on_wall = wall(folder, "music: [{file: a.wav, from: shot 20, until: shot 30}]\n")
    on_wall.order((0, 2, 3, 4, 5))
    on_wall.order((0, 5))
    on_wall.order((0,))
    assert on_wall.parked == [1, 2, 3, 4, 5]
    assert on_wall.order((0, 1, 5)) == []
    assert on_wall.music[0]["parked"] is True


@pytest.mark.parametrize(
    ("end", "gone", "back"), [("from: shot 30", (0, 2), 3), ("until: shot 20", (3, 5), 2)]
)
def test_a_piece_with_an_open_end_comes_back_with_the_shot_it_names(
    end: str, gone: Ids, back: int, folder: BoardFolder
) -> None:
    on_wall = wall(folder, f"music: [{{file: a.wav, {end}}}]\n")
    shot = end.split(": ")[1]
    [told] = on_wall.order(gone)
    assert told.endswith(f"; it comes back with {shot}")
    others = tuple(one for one in range(COUNT) if one not in gone and one not in (3, 4, back))
    assert on_wall.order((*gone, *others)) == []
    assert on_wall.order((*gone, back)) == [f"music a.wav is back with {shot}"]


def test_a_piece_parked_by_hand_stays_parked(folder: BoardFolder) -> None:
    on_wall = wall(folder, "music: [{file: a.wav, from: shot 20, until: shot 30, parked: true}]\n")
    text = on_wall.data
    for order in ((5, 4, 3, 2, 1, 0), (2, 0, 3, 5), (3, 2), tuple(range(COUNT))):
        assert not any("back" in words for words in on_wall.order(order))
        assert on_wall.music[0]["parked"] is True
    assert on_wall.data == text


def test_a_piece_parked_by_hand_follows_a_shot_that_is_parked(folder: BoardFolder) -> None:
    on_wall = wall(folder, "music: [{file: a.wav, from: shot 20, until: shot 30, parked: true}]\n")
    assert on_wall.order((3, 4, 5)) == ["music a.wav: from: shot 20 becomes from: shot 30"]
    # So that a shot of its own is still in the film, and what comes back does not unpark it.
    assert on_wall.order(tuple(range(COUNT))) == []
    assert on_wall.music[0]["parked"] is True


def test_a_piece_parked_by_hand_between_the_film_and_the_parked_is_left(
    folder: BoardFolder,
) -> None:
    on_wall = wall(
        folder,
        "music: [{file: a.wav, from: shot 20, until: shot 90, parked: true}]\n",
        "parked:\n- {shot: 90, photo: a.jpg}\n",
    )
    on_wall.parked = [90]
    text = on_wall.data
    assert on_wall.order((90, 0, 1)) == []
    assert on_wall.music[0]["until"] == "shot 90"
    assert on_wall.order((0, 1, 2, 3, 4, 5)) == []
    assert on_wall.data == text


def test_a_part_that_meets_its_shot_again_takes_its_music_along(folder: BoardFolder) -> None:
    """A part of a shot that an order named 10B bears its shot's name wherever it goes then."""
    on_wall = wall(folder, "music: [{file: a.wav}]\n")
    on_wall.order((0, 2, 1, 3, 4, 5))
    assert b"shot: 10B" in on_wall.data
    ours = on_wall.data.replace(b"{file: a.wav}", b"{file: a.wav, from: shot 10B, until: shot 10B}")
    on_wall.data = ours
    follows = [f"music a.wav: {end}: shot 10B becomes {end}: shot 10" for end in ("from", "until")]
    assert on_wall.order(tuple(range(COUNT))) == follows
    on_wall.data, on_wall.film = ours, [0, 2, 1, 3, 4, 5]
    said = ["music a.wav is parked with its shot 10; it comes back with it"]
    assert on_wall.order((2, 3)) == said + follows
    assert on_wall.order((2, 3, 1)) == ["music a.wav is back with shot 10"]


def test_no_part_takes_the_name_of_a_parked_shot(folder: BoardFolder) -> None:
    on_wall = wall(
        folder,
        "music: [{file: a.wav, from: shot 10B, until: shot 10B, parked: true}]\n",
        "parked:\n- {shot: 10B, photo: a.jpg}\n",
    )
    on_wall.parked = [90]
    assert on_wall.order((0, 2, 1)) == []
    assert b"# arranged: shot 10C from shot 10" in on_wall.data
    assert on_wall.order((0, 2, 1, 90)) == ["music a.wav is back with shot 10B"]


def test_of_a_piece_parked_by_hand_nothing_is_said_until_its_shots_come_back(
    folder: BoardFolder,
) -> None:
    """What stays of the film says no longer who parked it."""
    on_wall = wall(folder, "music: [{file: a.wav, from: shot 20, until: shot 30, parked: true}]\n")
    assert on_wall.order((0, 5)) == []
    assert on_wall.music[0]["parked"] is True
    assert on_wall.order((0, 2, 5)) == [
        "music a.wav is back with shot 20",
        "music a.wav: until: shot 30 becomes until: shot 20",
    ]


def test_ends_that_are_turned_round_by_hand_wait_as_well(folder: BoardFolder) -> None:
    on_wall = wall(folder, "music: [{file: a.wav, from: shot 30, until: shot 20, parked: true}]\n")
    text = on_wall.data
    for order in ((3, 0), (5, 0, 2), tuple(range(COUNT))):
        assert on_wall.order(order) == []
    assert on_wall.data == text
    on_wall.order((0, 5))
    assert on_wall.order((0, 3, 5)) == [
        "music a.wav is back with shot 30",
        "music a.wav: until: shot 20 becomes until: shot 30",
    ]


def test_a_shot_between_the_parts_of_another_brings_its_piece_back(folder: BoardFolder) -> None:
    on_wall = wall(folder, "music: [{file: a.wav}]\n")
    on_wall.order((2, 0, 3, 4, 1, 5))
    on_wall.data = on_wall.data.replace(
        b"{file: a.wav}", b"{file: a.wav, from: shot 20, until: shot 10B}"
    )
    assert on_wall.order((5,)) == [
        "music a.wav is parked with its shots 20 to 30; it comes back with them",
        "music a.wav: until: shot 10B becomes until: shot 10",
    ]
    assert on_wall.order((4, 5)) == [
        "music a.wav is back with shot 30",
        "music a.wav: from: shot 20 becomes from: shot 30",
        "music a.wav: until: shot 10 becomes until: shot 30",
    ]
