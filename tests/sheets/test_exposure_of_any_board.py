"""Exposure sheets of boards as people write them: whatever lays out gives both papers."""

from __future__ import annotations

import csv
from io import BytesIO, StringIO
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from pypdf import PdfReader

from animatic.board import read_board
from animatic.errors import BoardError
from animatic.sheets import exposure, exposurepdf
from animatic.sheets.exposurewords import flowed
from animatic.timeline import Timeline, lay_out
from animatic.timeline.mouths import Chart, Word, mouth_chart
from tests.boards import BoardFolder
from tests.strategies import untimed

SAID = ("Wait.", "Something never forgets the water.", "a " * 12, "Où est la clé — là-bas?")
WHO = ("Odd", "Harbour master")
SHAPES = ("closed", "teeth together", "open wide")


@st.composite
def panel(draw: st.DrawFn, number: int, begins: bool) -> str:
    """A panel as it stands in a board, which may have a line over the cut, a sound, a move."""
    frames = draw(st.sampled_from([1, 2, 3, 7, 24, 60]))
    keys = [f"shot: {number}"] if begins else []
    keys += ["photo: a.jpg", f"duration: {frames}f", f"shoot_on: {draw(st.integers(1, 3))}"]
    if begins and number and (dissolve := draw(st.sampled_from([0, 0, 1, 2, 9]))):
        keys.append(f"transition: {{dissolve: {dissolve}f}}")
    if frames > 1 and draw(st.booleans()):
        keys.append("move: {to: {left: 0.25, width: 0.5, height: 0.5}}")
    keys += ["mirror: true"] * draw(st.booleans())
    keys += ["sounds: [{file: bell.wav}]"] * draw(st.booleans())
    if draw(st.booleans()):
        line = f"line: '{draw(st.sampled_from(SAID))}', who: '{draw(st.sampled_from(WHO))}'"
        over = draw(st.sampled_from(["", ", over: next", ", over: next, voice: bell.wav"]))
        keys.append(f"dialogue: [{{{line}{over}}}]")
    return f"- {{{', '.join(keys)}}}"


@st.composite
def boards(draw: st.DrawFn) -> str:
    """A small board; not every one lays out."""
    begins = [True, *draw(st.lists(st.booleans(), max_size=5))]
    rows = [draw(panel(number, new)) for number, new in enumerate(begins)]
    rate, handles = draw(st.sampled_from(["12", "24", "25", "29.97"])), draw(st.integers(0, 9))
    speech = draw(st.sampled_from(["lead: 0f", "lead: 8f"]))
    head = f"board: 1\npicture: {{size: 160x90}}\nrate: {rate}\nhandles: {handles}f\n"
    return "\n".join([f"{head}speech: {{{speech}, tail: 0f}}", "panels:", *rows, ""])


@st.composite
def mouthed(draw: st.DrawFn, timeline: Timeline) -> Chart:
    """The film's mouth chart, with shapes in some of its words."""

    def shaped(word: Word) -> Word:
        frames = range(word.start, word.end)
        chosen = sorted(draw(st.sets(st.sampled_from(frames)))) if frames else []
        shapes = tuple((at, draw(st.sampled_from(SHAPES))) for at in chosen)
        return Word(word.text, word.syllables, word.start, word.end, shapes)

    words = mouth_chart(timeline, {}).items()
    return {number: tuple(map(shaped, every)) for number, every in words}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> BoardFolder:
    made = BoardFolder(tmp_path_factory.mktemp("any"))
    made.photo()
    made.sound("bell.wav", 96_000)
    return made


def made(file: Path) -> Timeline | None:
    try:
        return lay_out(read_board(file))
    except BoardError:
        return None


@untimed
@given(text=boards(), data=st.data(), paper=st.sampled_from(["a4", "letter"]))
def test_a_board_that_lays_out_gives_sheets(
    folder: BoardFolder, text: str, data: st.DataObject, paper: str
) -> None:
    timeline = made(folder.write(text))
    assume(timeline is not None)
    assert timeline is not None
    chart = data.draw(mouthed(timeline))
    frames = sum(shot.frames_to_shoot for shot in timeline.shots)
    listed = list(csv.DictReader(StringIO(exposure.write(timeline, timeline.shots, chart))))
    assert len(listed) == frames
    pages = PdfReader(BytesIO(exposurepdf.write(timeline, timeline.shots, {}, chart, paper))).pages
    ends = [page.extract_text().split("\n").count("end of the shot") for page in pages]
    assert sum(ends) == len(timeline.shots)


def test_only_the_rest_of_a_word_runs_into_a_shot(folder: BoardFolder) -> None:
    rows = (
        "- {shot: 10, photo: a.jpg, duration: 14f,"
        " dialogue: [{who: Odd, line: Remembering, over: next, voice: bell.wav}]}\n"
        "- {shot: 20, photo: a.jpg, duration: 24f}\n"
    )
    timeline = folder.lay_out(f"board: 1\npicture: {{size: 160x90}}\npanels:\n{rows}")
    chart = {1: (Word("Remembering", 1, 8, 30, ((8, "closed"), (12, "open wide"))),)}
    rows_of = [
        list(exposure.exposures(timeline, shot, exposure.Heard(timeline, chart)))
        for shot in timeline.shots
    ]
    rest = [said for row in rows_of[1] for said in row.said]
    assert [said.goes_on for said in rest] == [True] * 16
    data = exposurepdf.write(timeline, timeline.shots, {}, chart)
    assert len(PdfReader(BytesIO(data)).pages) == 2


def test_no_words_flow_into_no_rows() -> None:
    assert flowed({}, 3, str.split) == {}
    assert flowed({}, 3, str.split, lambda at, words: words) == {}
