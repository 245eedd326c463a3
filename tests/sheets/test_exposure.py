"""Exposure sheets: every frame to shoot once, its pose, its words, and the camera's steps."""

from __future__ import annotations

import csv
from dataclasses import replace
from io import BytesIO, StringIO
from pathlib import Path

import pytest
from hypothesis import given
from pypdf import PdfReader

from animatic.frames import Rate
from animatic.sheets.exposure import Exposed, Heard, Said, exposures, write
from animatic.sheets.exposurecolumns import rows_a_page
from animatic.sheets.exposurepdf import write as write_pdf
from animatic.sheets.exposurewords import short_names, spoken
from animatic.timeline.model import Box, Cue, Line, Move, Panel, Shot, Timeline
from animatic.timeline.mouths import Word, mouth_chart
from tests.boards import HEAD, BoardFolder, panels
from tests.sheets.test_shot_rows import poses_by_counting
from tests.sheets.timelines import Take, film, low_water
from tests.strategies import timelines, untimed


@untimed
@given(timelines())
def test_the_rows_are_the_frames_to_shoot_and_their_poses(timeline: Timeline) -> None:
    heard = Heard(timeline, mouth_chart(timeline, {}))
    for shot in timeline.shots:
        rows = exposures(timeline, shot, heard)
        assert [row.frame for row in rows] == list(range(1, shot.frames_to_shoot + 1))
        assert sum(row.is_new for row in rows) == rows[-1].pose == poses_by_counting(shot)
        assert [row.part for row in rows].count("handle") == 2 * shot.handles
        overlaps = shot.overlap_head + shot.overlap_tail
        assert [row.part for row in rows].count("overlap") == overlaps
        assert [row.film for row in rows if row.part == "shot"] == list(range(shot.start, shot.end))
        starts = [(row.panel.number, row.film) for row in rows if row.starts_panel]
        assert starts == [(panel.number, panel.start) for panel in shot.panels]


@untimed
@given(timelines())
def test_the_cameras_steps_add_up_to_the_whole_move(timeline: Timeline) -> None:
    for shot in timeline.shots:
        rows = exposures(timeline, shot)
        for panel in shot.panels:
            moved = [row for row in rows if row.panel is panel and row.place and row.step]
            assert len(moved) == (panel.move.last - panel.move.first + 1 if panel.move else 0)
            for axis in range(3) if moved else ():
                way = sum(row.step[axis] for row in moved)
                assert way == moved[-1].place[axis] - moved[0].place[axis]


def moving() -> Timeline:
    move = Move(Box(0.1, 0.1, 0.8, 0.8), "none", 0, 4)
    panel = Panel(0, 1, "10", 0, 5, 2, Path("a.jpg"), (1600, 900), move=move)
    shot = Shot(0, "10", "", (panel,), handles=1)
    gulls = Cue("effects", Path("gulls.wav"), 4000, 9000, "10")
    return Timeline("", Rate.named("24"), (1600, 900), (shot,), cues=(gulls,))


def test_a_sheet_worked_out_by_hand() -> None:
    rows = exposures(moving(), moving().shots[0], Heard(moving(), {}))
    shown = [(r.frame, r.part, r.film, r.pose, r.exposure, r.effects, r.place) for r in rows]
    assert shown == [
        (1, "handle", None, 1, "new", (), (0, 0, 10000)),
        (2, "shot", 0, 1, "held", (), (0, 0, 10000)),
        (3, "shot", 1, 2, "new", (), (250, 250, 9500)),
        # 4000 samples at 48 kHz are two frames of 2000.
        (4, "shot", 2, 2, "held", ("gulls",), (500, 500, 9000)),
        (5, "shot", 3, 3, "new", (), (750, 750, 8500)),
        (6, "shot", 4, 3, "held", (), (1000, 1000, 8000)),
        (7, "handle", None, 4, "new", (), (1000, 1000, 8000)),
    ]
    # In the handles the framing rests where the move begins and ends.
    steps = [None, (0, 0, 0), *[(250, 250, -500)] * 4, None]
    assert [row.step for row in rows] == steps


@untimed
@given(timelines())
def test_every_word_of_the_mouth_chart_is_on_one_sheet_from_cut_to_cut(timeline: Timeline) -> None:
    chart = mouth_chart(timeline, {})
    heard = Heard(timeline, chart)
    shown = sorted(
        (row.film, word)
        for shot in timeline.shots
        for row in exposures(timeline, shot, heard)
        if row.part == "shot"
        for said in row.said
        for word in said.word.split()
    )
    said = ((word.start, word.text) for words in chart.values() for word in words)
    assert shown == sorted((frame, word) for frame, word in said if frame < timeline.frames)


def test_a_sheet_has_the_words_and_mouths_that_it_is_given(folder: BoardFolder) -> None:
    line = Line(1, "Odd", "Map it", 0, 60_000, 0, 30, Path("odd.wav"))
    panel = Panel(0, 1, "10", 0, 30, 2, folder.path("a.jpg"), (160, 90), lines=(line,))
    shot = Shot(0, "10", "", (panel,), handles=2)
    timeline = Timeline("", Rate.named("24"), (160, 90), (shot,))
    shapes = ((9, "closed"), (11, "open wide"))
    chart = {1: (Word("Map", 1, 9, 13, shapes), Word("it", 1, 15, 17))}
    rows = exposures(timeline, shot, Heard(timeline, chart))
    # With two frames of handle, film frame 9 is the twelfth to shoot.
    assert [(r.frame, s.who, s.word, s.goes_on, s.mouth) for r in rows for s in r.said] == [
        (12, "Odd", "Map", False, "closed"),
        (13, "", "", True, "|"),
        (14, "", "", True, "open wide"),
        (15, "", "", True, "|"),
        # Two frames of pause; and the sounds of this word are not known.
        (18, "", "it", False, ""),
        (19, "", "", True, ""),
    ]
    listed = list(csv.DictReader(StringIO(write(timeline, (shot,), chart), newline="")))
    assert [row["dialogue"] for row in listed[11:19]] == ["Odd: Map", *"|||", "", "", "it", "|"]
    assert [row["mouth"] for row in listed[11:17]] == ["closed", "|", "open wide", "|", "", ""]
    (page,) = pages(write_pdf(timeline, (shot,), {}, chart))
    lines = [line.strip() for line in page.split("\n")]
    said = ("Odd: Map", "it", "mouth", "closed", "open wide")
    assert [lines.count(words) for words in said] == [1] * 5


def test_a_line_that_runs_over_the_cut_is_on_both_sheets() -> None:
    takes = [Take("10", [(24, 2, [("Odd", "Hold on now.", 12, 36)])]), Take("20", [(24, 2)])]
    timeline = film(*takes)
    heard = Heard(timeline, mouth_chart(timeline, {}))
    said = [
        [
            (row.film, s.who, s.word, s.goes_on)
            for row in exposures(timeline, shot, heard)
            for s in row.said
        ]
        for shot in timeline.shots
    ]
    assert said[0][0] == (12, "Odd", "Hold", False)
    assert said[0][1] == (13, "", "", True)
    assert [frame for frame, *_ in said[0]] == list(range(12, 24))
    assert [frame for frame, *_ in said[1]] == list(range(24, 36))
    assert [word for _, _, word, _ in said[0] + said[1] if word] == ["Hold", "on", "now."]


def test_the_csv_has_every_row_of_every_shot() -> None:
    timeline = low_water(rate="29.97", drop=True, start=107_892)
    rows = list(
        csv.DictReader(
            StringIO(write(timeline, timeline.shots, mouth_chart(timeline, {})), newline="")
        )
    )
    assert len(rows) == sum(shot.frames_to_shoot for shot in timeline.shots)
    assert rows[8] == {
        "shot": "10",
        "frame": "9",
        "part": "shot",
        "film_frame": "0",
        "timecode": "01:00:00;00",
        "pose": "5",
        "exposure": "new",
        "panel": "1",
        **dict.fromkeys(("mirrored", "dialogue", "mouth", "effects", "notes"), ""),
        **dict.fromkeys(("left_percent", "top_percent", "width_percent"), ""),
        **dict.fromkeys(("left_step_percent", "top_step_percent", "width_step_percent"), ""),
    }
    assert rows[20]["dialogue"] == "Odd: The"
    assert rows[21]["dialogue"] == "|"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> BoardFolder:
    made = BoardFolder(tmp_path_factory.mktemp("sheets"))
    made.photo()
    made.photo("high.jpg", size=(90, 160))
    return made


SETUPS = """setups:
  κάβος: {place: Мыс, lights: [lamp <left>, Ёлка], camera: low & near, lens: 35 mm}
"""
ROWS = """
- {shot: Жук, photo: a.jpg, size: MS, setup: κάβος, duration: 40f, note: Žofie lifts it}
- {photo: high.jpg, duration: 3f, shoot_on: 1}
- {photo: a.jpg, duration: 20f, shoot_on: 3, move: {to: {width: 0.5, height: 0.5}}}
- {shot: 20, photo: a.jpg, duration: 1f}
"""


def pages(data: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(BytesIO(data)).pages]


@pytest.mark.parametrize(("paper", "points"), [("a4", (595, 842)), ("letter", (612, 792))])
def test_the_pdf_says_what_the_rows_say(
    folder: BoardFolder, paper: str, points: tuple[int, int]
) -> None:
    board = folder.read(panels(ROWS, HEAD + "handles: 4f\n" + SETUPS))
    timeline = folder.lay_out(panels(ROWS, HEAD + "handles: 4f\n" + SETUPS))
    data = write_pdf(timeline, timeline.shots, board.content.setups, {}, paper)
    assert data == write_pdf(timeline, timeline.shots, board.content.setups, {}, paper)
    # ISO 216: 210 x 297 mm; letter: 8.5 x 11 inches; a point is 1/72 inch.
    box = PdfReader(BytesIO(data)).pages[0].mediabox
    assert (int(box.width), int(float(box.height) + 0.5)) == points
    first, second, third = pages(data)
    # 4 + 63 + 4 frames, 48 a page; 22 poses on twos, 3 on ones, 8 on threes.
    for text in (first, second):
        assert "33 poses" in text
        assert "71 frames to shoot" in text
        assert "cut 63, handles 4 + 4 · on twos then ones then threes" in text
        assert "κάβος, Мыс" in text
        assert "lamp <left>, Ёлка" in text
        assert "low & near, 35 mm" in text
        assert "Žofie lifts it" in text
    assert "MS · page 1 of 2" in first
    assert "MS · page 2 of 2" in second
    assert "page 1 of 1" in third
    words = second.split("\n")
    assert {"49", "71", "33", "still 3"} <= set(words)
    assert "72" not in words


def test_pages_hold_whole_seconds() -> None:
    assert [rows_a_page(n) % n for n in (12, 15, 24, 25)] == [0, 0, 0, 0]


TALKING = """
- shot: 10
  photo: a.jpg
  size: MS
  setup: κάβος
  duration: 300f
  dialogue: [{who: Odd, line: Something never forgets the water.}]
  sounds: [{file: bell.wav, at: 12f}]
- {photo: high.jpg, duration: 20f, shoot_on: 1}
- {shot: 20, photo: a.jpg, duration: 30f, transition: {dissolve: 8f}}
- {shot: 30, photo: a.jpg, duration: 30f, move: {to: {width: 0.5, height: 0.5}}}
"""
MOVING = "  duration: 300f\n  move: {to: {width: 0.5, height: 0.5}}\n"


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("moved", [False, True])
@pytest.mark.parametrize("rate", ["12", "24", "25", "30"])
def test_all_lettering_is_read_at_arms_length(
    folder: BoardFolder, paper: str, moved: bool, rate: str
) -> None:
    folder.sound("bell.wav")
    text = TALKING.replace("  duration: 300f\n", MOVING) if moved else TALKING
    head = f"{HEAD}rate: {rate}\nhandles: 8f\n{SETUPS}"
    timeline = folder.lay_out(panels(text, head))
    chart = {
        line.number: [replace(word, shapes=((word.start, "teeth together"),)) for word in words]
        for line in timeline.lines
        for words in [mouth_chart(timeline, {})[line.number]]
    }
    setups = folder.read(panels(text, head)).content.setups
    data = write_pdf(timeline, timeline.shots, setups, chart, paper)
    sizes: dict[str, float] = {}
    for page in PdfReader(BytesIO(data)).pages:
        width = float(page.mediabox.width)

        def note(words: str, _: object, at: list[float], __: object, size: float) -> None:
            if words.strip():
                sizes[words.strip()] = size
                assert 0 <= at[4] < width  # noqa: B023

        page.extract_text(visitor_text=note)
    assert {"new", "held", "handle", "overlap", "teeth together", "Odd: Something"} <= set(sizes)
    # Small letters of DejaVu Sans are 0.547 of its size high: at nine points 1.74 mm, which
    # at 60 cm is 10 minutes of arc; normal sight makes out letters of 5 (from memory).
    assert {words: size for words, size in sizes.items() if size < 9} == {}


def written(data: bytes) -> dict[str, float]:
    """Return the size of each piece of lettering, by its words."""
    sizes: dict[str, float] = {}

    def note(words: str, _: object, __: object, ___: object, size: float) -> None:
        sizes[words.strip()] = size

    for page in PdfReader(BytesIO(data)).pages:
        page.extract_text(visitor_text=note)
    return sizes


SPEAKERS = ("Grandmother", "Harbour master")


@pytest.mark.parametrize("moved", [False, True])
@pytest.mark.parametrize("who", SPEAKERS)
def test_the_word_to_animate_is_whole(folder: BoardFolder, who: str, moved: bool) -> None:
    for sound in ("gulls", "bell", "harbour_engine"):
        folder.sound(f"{sound}.wav")
    text = TALKING.replace("  duration: 300f\n", MOVING) if moved else TALKING
    text = text.replace("who: Odd, line: Something never", f"who: {who}, line: Remember the")
    effects = "{file: gulls.wav, at: 12f}, {file: harbour_engine.wav, at: 12f}"
    text = text.replace("{file: bell.wav, at: 12f}", "{file: bell.wav, at: 12f}, " + effects)
    timeline = folder.lay_out(panels(text, HEAD + "handles: 8f\n" + SETUPS))
    chart = {
        line.number: [replace(word, shapes=((word.start, "teeth together"),)) for word in words]
        for line in timeline.lines
        for words in [mouth_chart(timeline, {})[line.number]]
    }
    sizes = written(write_pdf(timeline, timeline.shots[:1], {}, chart))
    assert not [words for words in sizes if "…" in words]
    assert f"{who}: Remember" in sizes or {f"{who}:", "Remember"} <= set(sizes)
    shown = "".join(sizes)
    assert all(part in shown for part in ("bell,", "gulls,", "harbour_", "engine"))
    assert min(sizes.values()) >= 9


def test_a_name_gives_way_where_another_speaks_above() -> None:
    panel = moving().shots[0].panels[0]
    row = Exposed(1, "shot", 0, 1, True, panel, False)
    before = replace(row, said=(Said("", "", goes_on=True),))
    first = replace(row, said=(Said("Harbour master", "Remember"),))
    names = short_names(SPEAKERS)
    assert spoken([row, first], 48, names, lambda words: len(words) < 16) == {
        0: "Harbour master:",
        1: "Remember",
    }
    for rows, a_page in (([before, first], 48), ([row, first], 1)):
        found = spoken(rows, a_page, names, lambda words: len(words) < 16)
        assert found == {1: "HM: Remember"}


def test_a_sheet_that_is_too_wide_lies_across(folder: BoardFolder) -> None:
    folder.sound("bell.wav")
    text = TALKING.replace("  duration: 300f\n", MOVING)
    timeline = folder.lay_out(panels(text, HEAD + "handles: 8f\n" + SETUPS))
    chart = mouth_chart(timeline, {})
    pages = PdfReader(BytesIO(write_pdf(timeline, timeline.shots, {}, chart))).pages
    across = [page.mediabox.width > page.mediabox.height for page in pages]
    # 320 frames, 4 of overlap and two handles of 8 are 340: 15 pages of a second each.
    assert across == [True] * 15 + [False] * 3
