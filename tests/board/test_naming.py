"""Music whose shots a new order takes away or turns round: it goes on playing, and says so."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from animatic.board.edits.arrange import arranged
from animatic.board.naming import with_music
from animatic.board.read import board_from_bytes
from animatic.timeline import lay_out
from tests.boards import HEAD, BoardFolder, panels
from tests.strategies import Order, cards_of, orders, untimed

ROWS = """
- {shot: 10, photo: a.jpg}
- {photo: a.jpg}
- {shot: 20, photo: a.jpg}
- {shot: 30, photo: a.jpg}
- {photo: a.jpg}
- {shot: 40, photo: a.jpg}
"""
COUNT = 6
SHOTS = ("10", "10", "20", "30", "30", "40")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> BoardFolder:
    made = BoardFolder(tmp_path_factory.mktemp("naming"))
    made.photo()
    made.sound()
    return made


def ranges() -> st.SearchStrategy[str]:
    """The shots that a piece of music plays under, in the order of the film."""
    pairs = st.lists(st.sampled_from([10, 20, 30, 40]), min_size=2, max_size=2).map(sorted)
    ends = st.tuples(pairs, st.booleans(), st.booleans())
    return ends.map(
        lambda found: (
            "{file: a.wav"
            + (f", from: shot {found[0][0]}" if found[1] else "")
            + (f", until: shot {found[0][1]}" if found[2] else "")
            + "}"
        )
    )


@untimed
@given(orders(COUNT), st.lists(ranges(), min_size=1, max_size=3))
def test_music_plays_in_any_order_unless_all_its_shots_are_parked(
    folder: BoardFolder, order: Order, music: list[str]
) -> None:
    board = folder.read(panels(ROWS, f"{HEAD}music: [{', '.join(music)}]\n"))
    made = arranged(board.file.read_bytes(), cards_of(order), "board.yaml")
    data, changes = with_music(board, made)
    after = board_from_bytes(data, board.file)
    lay_out(after)
    assert (data != made.data) == bool(changes)
    kept = {SHOTS[index] for index in order}
    for was, now in zip(board.content.music, after.content.music, strict=True):
        first, last = was.from_ or "10", was.until or "40"
        under = {shot for shot in SHOTS if first <= shot <= last}
        assert now.parked == (not under & kept and bool(was.from_ or was.until))
        assert not now.parked or (now.from_, now.until) == (was.from_, was.until)


@untimed
@given(st.permutations(range(COUNT)), ranges())
def test_the_opposite_of_an_order_of_all_cards_restores_the_music(
    folder: BoardFolder, order: list[int], music: str
) -> None:
    board = folder.read(panels(ROWS, f"{HEAD}music: [{music}]\n"))
    text = board.file.read_bytes()
    made, _ = with_music(board, arranged(text, cards_of(order), "board.yaml"))
    after = folder.read(made)
    back = sorted(range(COUNT), key=order.__getitem__)
    found, _ = with_music(after, arranged(made, cards_of(back), "board.yaml"))
    assert found == text


def test_each_change_of_music_is_told(folder: BoardFolder) -> None:
    text = panels(ROWS, f"{HEAD}music:\n- {{file: a.wav, from: shot 20, until: shot 30}}\n")
    board = folder.read(text)

    def told(*order: int) -> list[str]:
        made = arranged(text.encode(), cards_of(tuple(n - 1 for n in order)), "board.yaml")
        return [str(change) for change in with_music(board, made)[1]]

    assert told(1, 2, 3, 4, 5, 6) == told(6, 3, 5) == []
    assert told(1, 2, 3, 6) == ["music a.wav: until: shot 30 becomes until: shot 20"]
    assert told(1, 2, 4, 6) == ["music a.wav: from: shot 20 becomes from: shot 30"]
    assert told(4, 3) == [
        "music a.wav: from: shot 20 becomes from: shot 30",
        "music a.wav: until: shot 30 becomes until: shot 20",
    ]
    assert told(1, 2, 6) == [
        "music a.wav is parked with its shots 20 and 30; it comes back with them"
    ]


def test_music_that_names_no_shot_goes_with_any_order(folder: BoardFolder) -> None:
    text = panels(ROWS, f"{HEAD}music: [{{file: a.wav}}]\n")
    board = folder.read(text + "parked:\n- {shot: 90, photo: a.jpg}\n")
    made = arranged(board.file.read_bytes(), [("parked", 0)], "board.yaml")
    assert with_music(board, made) == (made.data, [])
    assert board_from_bytes(made.data, board.file).content.panels[0].shot == "90"
