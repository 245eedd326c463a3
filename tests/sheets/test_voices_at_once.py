"""Whose word it is: lines that run on into a shot, and two that are heard at once."""

from __future__ import annotations

import csv
from dataclasses import replace
from io import BytesIO, StringIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from animatic.sheets import cards, exposurepdf
from animatic.sheets.exposure import Heard, Said, exposures, write
from animatic.sheets.exposurewords import mouths, spoken, whole_words
from animatic.sheets.paper import Face
from animatic.sheets.rows import notes
from animatic.timeline import Timeline
from animatic.timeline.mouths import mouth_chart
from tests.boards import HEAD, BoardFolder, panels

LINE = "Something is keeping the water out there"
ROWS = f"""
- {{shot: 10, photo: a.jpg, duration: 24f, dialogue: [{{who: Odd, line: {LINE}, over: next}}]}}
- {{shot: 20, photo: a.jpg, duration: 24f}}
- {{shot: 30, photo: a.jpg, duration: 48f, dialogue: [{{who: Pim, line: Call it now, at: 0f}}]}}
"""


@pytest.fixture
def film(tmp_path: Path) -> Timeline:
    board = BoardFolder(tmp_path)
    board.photo()
    return board.lay_out(panels(ROWS, HEAD))


def words_of(film: Timeline, shot: str) -> list[str]:
    """The dialogue column of a shot's sheet, without the rows that have none."""
    wanted = [one for one in film.shots if one.name == shot]
    rows = csv.DictReader(StringIO(write(film, wanted, mouth_chart(film, {}))))
    return [row["dialogue"] for row in rows if row["dialogue"]]


def test_a_shot_into_which_a_line_runs_on_says_who_speaks(film: Timeline) -> None:
    first, *rest = words_of(film, "20")
    assert first.startswith("Odd: ")
    assert not any(one.startswith("Odd:") for one in rest)
    assert notes(film.shots[1]) == f"goes on: Odd: {LINE}"
    assert notes(film.shots[0]) == ""
    content = exposurepdf.write(film, [film.shots[1]], {}, mouth_chart(film, {}))
    assert "Odd:" in PdfReader(BytesIO(content)).pages[0].extract_text()


def test_while_two_are_heard_each_word_has_its_speaker(film: Timeline) -> None:
    cells = words_of(film, "30")
    begun = [word for cell in cells for word in cell.split(" / ") if word != "|"]
    assert {word.partition(":")[0] for word in begun} == {"Odd", "Pim"}
    assert [word for word in begun if ":" not in word] == []
    # Alone in its own shot a line is named once.
    assert sum("Odd:" in cell for cell in words_of(film, "10")) == 1


def test_while_two_are_heard_each_shape_of_the_mouth_is_of_somebody(film: Timeline) -> None:
    heard = Heard(film, mouth_chart(film, {}))
    shapes = [*mouths(exposures(film, film.shots[2], heard)).values()]
    if not shapes:
        pytest.skip("the words' sounds are not installed")
    assert all(part[:2] in ("O ", "P ") for shape in shapes for part in shape.split(" / "))
    alone = [*mouths(exposures(film, film.shots[0], heard)).values()]
    assert not any(shape.startswith("O ") for shape in alone)


@pytest.mark.parametrize("per_page", [1, 6, 24])
def test_the_foot_of_the_cards_stays_between_two_marks(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, per_page: int
) -> None:
    board = BoardFolder(tmp_path)
    board.photo()
    film = board.lay_out(panels(ROWS, f"{HEAD}title: {'Low Water and the Bell ' * 12}\n"))
    feet: list[tuple[float, float]] = []
    draw = Face.draw

    def noted(face: Face, canvas: object, x: float, y: float, text: str, size: float) -> None:
        if y < cards._MARGIN / 2:
            feet.append((x, x + face.width(text, size)))
        draw(face, canvas, x, y, text, size)

    monkeypatch.setattr(Face, "draw", noted)
    cards.write(film, per_page)
    width = cards._best_grid(film, per_page, cards.PAPERS["a4"]).card[0]
    assert feet
    for first, end in feet:
        before = int((first - cards._MARGIN) // width)
        assert before in (0, 1)
        assert end < cards._MARGIN + (before + 1) * width


def test_a_word_that_goes_on_at_the_cut_has_its_speaker_alone(film: Timeline) -> None:
    row = exposures(film, film.shots[1])[0]
    going = replace(row, said=(Said("Odd", "", True, line=1, speaker="Odd"),))
    assert whole_words([going, row]) == {0: "Odd:"}
    assert spoken([row, going], 24, {"Odd": "O"}, lambda words: len(words) < 3) == {1: "O:"}
