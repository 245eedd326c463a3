"""Long names and long words on paper: made smaller or wrapped, so that none is lost."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from io import BytesIO
from pathlib import Path

import pytest
from PIL import ImageFont
from pypdf import PdfReader

from animatic.board import Board
from animatic.fonts import font_file
from animatic.sheets import cards, exposurepdf, shotpdf
from animatic.shoot import callsheet, plan_shoot
from animatic.shoot.hours import WORKDAYS, dated
from animatic.timeline.model import Timeline
from tests.boards import HEAD, BoardFolder, panels

Paper = Callable[[Board, Timeline], bytes]


@pytest.fixture
def folder(tmp_path: Path) -> BoardFolder:
    return BoardFolder(tmp_path)


def shot_list(board: Board, timeline: Timeline) -> bytes:
    return shotpdf.write(timeline, board.content.setups)


def exposure_sheets(board: Board, timeline: Timeline) -> bytes:
    return exposurepdf.write(timeline, timeline.shots, board.content.setups, {})


def call_sheets(board: Board, timeline: Timeline) -> bytes:
    plan = plan_shoot(board, timeline)
    return callsheet.write(plan, dated(plan, date(2027, 3, 1), WORKDAYS), timeline)


def lettered(data: bytes) -> list[tuple[str, float, float, float]]:
    """Return each piece of lettering: its words, its size, x, and y from the foot of the page."""
    found: list[tuple[str, float, float, float]] = []

    def note(words: str, _: object, at: list[float], __: object, size: float) -> None:
        if words.strip():
            found.append((words.strip(), size, at[4], at[5]))

    for page in PdfReader(BytesIO(data)).pages:
        page.extract_text(visitor_text=note)
    return found


def drawn(paper: Paper, folder: BoardFolder, text: str) -> list[tuple[str, float, float, float]]:
    folder.photo()
    return lettered(paper(folder.read(text), folder.lay_out(text)))


NAMES = ("seq02_sh0100", "seq02_sh0110", "sequence 12, shot 40 b, second unit")


@pytest.mark.parametrize("paper", [shot_list, exposure_sheets, call_sheets])
def test_shots_with_long_names_are_told_apart(folder: BoardFolder, paper: Paper) -> None:
    rows = [f"- {{shot: '{name}', photo: a.jpg, size: MCU, duration: 10f}}" for name in NAMES]
    joined = " ".join(words for words, *_ in drawn(paper, folder, panels("\n".join(rows))))
    assert "…" not in joined
    assert all(name in joined for name in NAMES)
    assert sorted(NAMES, key=joined.index) == list(NAMES)


LONG = """setups:
  quay:
    place: the old fish market on the far side of the harbour behind the second breakwater
    camera: on the mud, 4 cm above the water, tilted up at the lantern, on the long slider
    lens: 35 mm tilted macro
    lights: [soft panel left 60 %, white card right, blue gel in window, lamp post, warm bounce
      from below, hanging bulb, blue panel behind the backdrop]
    opened: [sea wall, quay end, shed front, roof of the net shed, back wall of the fish market]
"""
SPEECH = " ".join(f"word{n:03}" for n in range(60))


def test_what_is_rigged_and_said_is_whole_on_the_shot_list(folder: BoardFolder) -> None:
    row = "- {{shot: {}, photo: a.jpg, setup: quay, duration: 30s{}}}"
    spoken = f", dialogue: [{{who: Odd, line: {SPEECH}}}]"
    rows = [row.format(n, spoken if n % 3 == 0 else "") for n in range(12)]
    found = drawn(shot_list, folder, panels("\n".join(rows), HEAD + LONG))
    joined = " ".join(words for words, *_ in found)
    assert "…" not in joined
    setup = folder.read(panels("\n".join(rows), HEAD + LONG)).content.setups["quay"]
    for words in (setup.place, setup.camera, setup.lens, *setup.lights, *setup.opened):
        assert joined.count(words or "") == 12 or joined.count((words or "").split()[-1]) >= 12
    assert joined.count(SPEECH) == 4
    # A row's words stay over the rule at the page's foot.
    feet = [y for words, _, _, y in found if words.startswith("Film frames count")]
    assert min(y for words, _, _, y in found if words.startswith("word")) > feet[0] + 9


def test_a_speech_longer_than_a_page_goes_on(folder: BoardFolder) -> None:
    speech = " ".join(f"word{n:04}" for n in range(600))
    row = f"- {{shot: 10, photo: a.jpg, duration: 9m, dialogue: [{{who: Odd, line: {speech}}}]}}"
    found = [words for words, *_ in drawn(shot_list, folder, panels(row))]
    said = [word for words in found for word in words.split() if word.startswith("word")]
    assert said == speech.split()


def test_a_long_place_stays_on_the_call_sheet(folder: BoardFolder) -> None:
    long = LONG.replace("second breakwater", "second breakwater, by the steps to the old mill")
    row = "- {shot: 10, photo: a.jpg, setup: quay, duration: 3s}"
    found = drawn(call_sheets, folder, panels(row, HEAD + long))
    title = [(words, size, x) for words, size, x, _ in found if size == 13 and x < 60]
    place = folder.read(panels(row, HEAD + long)).content.setups["quay"].place or ""
    lines = [words for words, *_ in title if words in f"quay: {place}"]
    assert " ".join(lines) == f"quay: {place}"
    # A4 is 595 points wide, less two edges of 12 mm.
    bold = ImageFont.truetype(font_file(None).with_name("DejaVuSans-Bold.ttf"), 130)
    assert all(bold.getlength(line) / 10 < 595 - 2 * 34 for line in lines)


@pytest.mark.parametrize("size", ["a4", "letter"])
def test_what_is_rigged_is_whole_on_every_exposure_sheet(folder: BoardFolder, size: str) -> None:
    folder.photo()
    note = " ".join(f"noted{n:02}" for n in range(20))
    text = panels(
        f"- {{shot: 10, photo: a.jpg, setup: quay, duration: 30f, note: {note}}}", HEAD + LONG
    )
    board, timeline = folder.read(text), folder.lay_out(text)
    setups = board.content.setups
    data = exposurepdf.write(timeline, timeline.shots, setups, {}, size)
    found = lettered(data)
    joined = " ".join(words for words, *_ in found)
    quay, pages = setups["quay"], len(PdfReader(BytesIO(data)).pages)
    assert "…" not in joined
    for words in (quay.place, quay.camera, quay.lens, ", ".join(quay.lights), note):
        assert joined.count(words or "") == pages
    # Letter is 18 mm lower than A4: there the sheet is laid across.
    assert min(points for _, points, *_ in found) >= 9
    # The words stay over the heads of the columns.
    low = min(y for words, _, _, y in found if words == "frame")
    assert min(y for words, _, _, y in found if "noted19" in words) > low + 9


def test_effects_that_begin_close_together_go_on_below(folder: BoardFolder) -> None:
    folder.photo()
    names = ("gulls", "bell_of_the_chapel", "steps_on_the_quay", "wind", "rain_on_the_roof")
    for name in names:
        folder.sound(f"{name}.wav")
    starts = zip(names, ("3f", "3f", "3f", "4f", "9f"), strict=True)
    sounds = ", ".join(f"{{file: {name}.wav, at: {at}}}" for name, at in starts)
    text = panels(f"- {{shot: 10, photo: a.jpg, duration: 10f, sounds: [{sounds}]}}")
    found = lettered(exposure_sheets(folder.read(text), folder.lay_out(text)))
    (column,) = [x for words, _, x, _ in found if words == "effects"]
    joined = "".join(words for words, _, x, _ in found if x == column).replace(" ", "")
    assert "…" not in joined
    assert all(name in joined for name in names)
    # Film frame 4 is frame 5 of a sheet without handles.
    assert "5:wind" in joined
    assert min(size for _, size, *_ in found) >= 7.5


ALIKE = ("seq02_sh0120_harbour_wide_return", "seq02_sh0120_harbour_wide_leave", "日本", "東京")


def test_shots_with_long_names_are_told_apart_on_the_contact_sheet(folder: BoardFolder) -> None:
    folder.photo()
    rows = [f"- {{shot: '{name}', photo: a.jpg, size: MCU, duration: 10f}}" for name in ALIKE]
    text = panels("\n".join(rows), HEAD + f"title: {SPEECH[:95]}\n")
    pages = PdfReader(BytesIO(cards.write(folder.lay_out(text)))).pages
    sheet = "".join(pages[-1].extract_text().split())
    assert "…" not in sheet
    assert all(sheet.count(name) == 1 for name in ALIKE[:2])
    assert sheet.count("".join(SPEECH[:95].split())) == 1


def test_what_a_usual_card_says_is_whole(folder: BoardFolder) -> None:
    folder.photo()
    setups = "setups: {harbour-wall-late-afternoon-rain: {place: Quay}}\n"
    line = "Remember the harbour, unconditionally, incomprehensibilities notwithstanding."
    more = f"setup: harbour-wall-late-afternoon-rain, dialogue: [{{who: Odd, line: '{line}'}}]"
    rows = [f"- {{shot: '{name}', photo: a.jpg, size: MCU, {more}}}" for name in ALIKE[:2]]
    text = panels("\n".join(rows), HEAD + setups)
    first = PdfReader(BytesIO(cards.write(folder.lay_out(text)))).pages[0].extract_text()
    assert "…" not in first
    assert "".join(first.split()).count("".join(f"Odd: {line}".split())) == 2


def test_all_notes_and_lines_of_a_shot_are_on_the_call_sheet(folder: BoardFolder) -> None:
    note = " ".join(f"noted{n:02}" for n in range(60))
    said = f"dialogue: [{{who: Odd, line: {SPEECH}}}]"
    rows = [
        f"- {{shot: '{name}', photo: a.jpg, duration: 30s, note: {note}, {said}}}" for name in ALIKE
    ]
    found = drawn(call_sheets, folder, panels("\n".join(rows)))
    joined = " ".join(words for words, *_ in found)
    assert "…" not in joined
    # A shot that a day's end cuts in two is on two sheets.
    assert joined.count("frames to shoot") >= len(ALIKE)
    assert joined.count(note) == joined.count(SPEECH) == joined.count("frames to shoot")
    for number in range(1, 5):
        assert f"shot {number} of 4" in joined
    # The box at the foot of the page warns of lamps: a row stays over it.
    foot = max(y for words, _, _, y in found if words.startswith("Lamps get hot"))
    assert min(y for words, _, _, y in found if "noted" in words or "word0" in words) > foot + 15


def test_a_note_longer_than_a_page_says_where_it_is_whole(folder: BoardFolder) -> None:
    note = " ".join(f"noted{n:04}" for n in range(1500))
    row = f"- {{shot: 10, photo: a.jpg, duration: 3s, note: {note}}}"
    joined = " ".join(words for words, *_ in drawn(call_sheets, folder, panels(row)))
    assert "noted0100" in joined
    assert "… (whole on the shot list)" in joined


@pytest.mark.parametrize("paper", [shot_list, exposure_sheets, call_sheets])
@pytest.mark.parametrize(
    "start",
    ["seq02_sh0120_harbour_wide_return_take_", "W" * 38, "The old fish market in the rain, take "],
)
def test_the_longest_names_are_whole(folder: BoardFolder, paper: Paper, start: str) -> None:
    names = [f"{start[:38]:x<38}{n}" for n in (10, 11)]
    rows = [f"- {{shot: '{name}', photo: a.jpg, size: MCU, duration: 10f}}" for name in names]
    found = drawn(paper, folder, panels("\n".join(rows)))
    joined = "".join(words for words, *_ in found).replace(" ", "")
    assert "…" not in joined
    assert all(name.replace(" ", "") in joined for name in names)
    if start.startswith("seq"):
        sizes = [size for words, size, *_ in found if words.startswith("seq02")]
        assert min(sizes) >= 7
