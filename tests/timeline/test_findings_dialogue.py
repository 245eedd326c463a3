"""What looks misspelt in dialogue: speakers, once each where they first speak, and cut lines."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.boards import HEAD, BoardFolder, panels

CAST = f"{HEAD}cast: {{Odd: {{}}, Pim: {{}}}}\n"


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    board = BoardFolder(tmp_path)
    board.photo()
    return board


def said(board: BoardFolder, names: list[str], head: str) -> list[str]:
    """What is found of speakers, one a panel."""
    rows = [
        f"- {{shot: {n}, photo: a.jpg, dialogue: [{{who: {who}, line: Late.}}]}}"
        for n, who in enumerate(names, 1)
    ]
    cut = len(f"{board.file}:")
    found = board.findings(panels("\n".join(rows), head))
    return [str(one)[cut:] for one in found if one.kind == "speaker"]


@pytest.mark.parametrize(
    ("names", "found"),
    [
        (["Odd", "Pim", "Odd"], []),
        (
            ["Odd", "Ood", "Ood"],
            ["6:44: shot 2: Ood is not in the cast; did you mean Odd? In the cast are Odd, Pim"],
        ),
        (
            ["pim", "Odd"],
            ["5:44: shot 1: pim is not in the cast; did you mean Pim? In the cast are Odd, Pim"],
        ),
        (["Keeper"], ["5:44: shot 1: Keeper is not in the cast; in the cast are Odd, Pim"]),
    ],
)
def test_who_speaks_and_is_not_in_the_cast(
    names: list[str], found: list[str], board: BoardFolder
) -> None:
    assert said(board, names, CAST) == found


@pytest.mark.parametrize(
    ("names", "odd"),
    [
        (["Marta", "marta", "Marta"], "marta speaks, and Marta does"),
        (["Marta", "Martha"], "Martha speaks, and Marta does"),
        (["Martha", "Martha", "Marta"], "Marta speaks, and Martha does"),
        (["odd", "Odd", "Odd"], "odd speaks, and Odd does"),
        (["Marta", "Marda", "Marta"], "Marda speaks, and Marta does"),
        # Two people, by all that can be told.
        (["Man 1", "Man 2"], ""),
        (["Tim", "Tom"], ""),
        (["Marta", "Merte"], ""),
        (["Marta", "Ma"], ""),
    ],
)
def test_two_names_that_are_nearly_one(names: list[str], odd: str, board: BoardFolder) -> None:
    found = said(board, names, HEAD)
    assert [one.split(": ")[2].split(";")[0] for one in found] == ([odd] if odd else [])


def test_a_cast_that_has_both_names_is_believed(board: BoardFolder) -> None:
    assert said(board, ["Anna", "Anne"], f"{HEAD}cast: {{Anna: {{}}, Anne: {{}}}}\n") == []
    assert len(said(board, ["Anna", "Anne"], HEAD)) == 1


@pytest.mark.parametrize(
    ("line", "is_found"),
    [
        ("Take #3 now.", True),
        ("Take three.  # or four?", False),
        ('"Take #3 now."', False),
        ("Take A#3 now.", False),
    ],
)
def test_a_text_that_a_hash_cuts_off(line: str, is_found: bool, board: BoardFolder) -> None:
    rows = ("- shot: 10", "  photo: a.jpg", "  dialogue:", "    - who: Odd", f"      line: {line}")
    assert board.found("remark", "\n".join(rows)) == is_found * [
        "8:13: shot 10: the text of line ends before the #: what follows is a remark;"
        " put the text in quotes, if it goes on"
    ]
