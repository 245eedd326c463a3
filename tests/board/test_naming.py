"""Music whose shots a new order takes away: told beforehand, with a way out that works."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from animatic.board.edits.arrange import arranged
from animatic.board.edits.edit import Change, edited
from animatic.board.naming import misnamed, with_names_that_hold
from animatic.board.read import board_from_bytes
from animatic.errors import BoardError
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
def test_what_is_told_is_what_would_be_at_fault(
    folder: BoardFolder, order: Order, music: list[str]
) -> None:
    board = folder.read(panels(ROWS, f"{HEAD}music: [{', '.join(music)}]\n"))
    made = arranged(board.file.read_bytes(), cards_of(order), "board.yaml").data
    problems = misnamed(board, made)
    try:
        board_from_bytes(made, board.file)
        is_sound = True
    except BoardError:
        is_sound = False
    assert is_sound == (not problems)
    shown = with_names_that_hold(made, problems, "board.yaml") if problems else made
    lay_out(board_from_bytes(shown, board.file))


@untimed
@given(orders(COUNT), ranges())
def test_the_shot_that_is_offered_will_do(folder: BoardFolder, order: Order, music: str) -> None:
    """In an order that leaves shots out but turns none round."""
    order = tuple(sorted(order))
    for _ in range(3):
        board = folder.read(panels(ROWS, f"{HEAD}music: [{music}]\n"))
        made = arranged(board.file.read_bytes(), cards_of(order), "board.yaml").data
        problems = [p for p in misnamed(board, made) if "write " in p.hint]
        if not problems:
            break
        word, shot = problems[0].hint.removeprefix("write ").split(",")[0].split(": ")
        data = edited(board.file.read_bytes(), [Change(("music", 0, word), shot)], "board.yaml")
        music = data.decode().partition("music: [")[2].partition("]")[0]
    assert not problems
    if not misnamed(board, made):
        board_from_bytes(made, board.file)


def test_each_way_to_lose_a_name_has_its_words(folder: BoardFolder) -> None:
    text = panels(ROWS, f"{HEAD}music:\n- {{file: a.wav, from: shot 20, until: shot 30}}\n")
    board = folder.read(text)

    def told(*order: int) -> list[str]:
        made = arranged(text.encode(), cards_of(tuple(n - 1 for n in order)), "board.yaml").data
        return [str(problem).partition("board.yaml:")[2] for problem in misnamed(board, made)]

    assert told(1, 2, 3, 4, 5, 6) == told(6, 3, 5) == []
    assert told(1, 2, 3, 6) == [
        "4:39: music[1].until: this order parks shot 30; write until: shot 20,"
        " or keep one of the cards 4, 5 in the order"
    ]
    assert told(1, 2, 4, 6) == [
        "4:23: music[1].from: this order parks shot 20; write from: shot 30,"
        " or keep card 3 in the order"
    ]
    assert told(1, 2, 6) == [
        "4:3: music[1]: this order parks all shots that a.wav plays under; take the piece out of"
        " the music, or keep a card of them in the order"
    ]
    assert told(4, 3) == [
        "4:39: music[1].until: in this order shot 30 comes before shot 20; write from: shot 30"
        " and until: shot 20, or other shots"
    ]


def test_music_that_names_no_shot_goes_with_any_order(folder: BoardFolder) -> None:
    text = panels(ROWS, f"{HEAD}music: [{{file: a.wav}}]\n")
    board = folder.read(text + "parked:\n- {shot: 90, photo: a.jpg}\n")
    made = arranged(board.file.read_bytes(), [("parked", 0)], "board.yaml").data
    assert misnamed(board, made) == []
    assert board_from_bytes(made, board.file).content.panels[0].shot == "90"
