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
from animatic.sheets.exposure import Heard, exposures, word_frames, write
from animatic.sheets.exposurepdf import rows_a_page
from animatic.sheets.exposurepdf import write as write_pdf
from animatic.timeline.model import Box, Cue, Line, Move, Panel, Shot, Timeline
from tests.boards import HEAD, BoardFolder, panels
from tests.sheets.test_shot_rows import poses_by_counting
from tests.sheets.timelines import Take, film, low_water
from tests.strategies import timelines, untimed


@untimed
@given(timelines())
def test_the_rows_are_the_frames_to_shoot_and_their_poses(timeline: Timeline) -> None:
    heard = Heard(timeline)
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
    rows = exposures(moving(), moving().shots[0])
    shown = [(r.frame, r.part, r.film, r.pose, r.exposure, r.effects, r.place) for r in rows]
    assert shown == [
        (1, "handle", None, 1, "new", (), None),
        (2, "shot", 0, 1, "held", (), (0, 0, 10000)),
        (3, "shot", 1, 2, "new", (), (250, 250, 9500)),
        # 4000 samples at 48 kHz are two frames of 2000.
        (4, "shot", 2, 2, "held", ("gulls",), (500, 500, 9000)),
        (5, "shot", 3, 3, "new", (), (750, 750, 8500)),
        (6, "shot", 4, 3, "held", (), (1000, 1000, 8000)),
        (7, "handle", None, 4, "new", (), None),
    ]
    assert [row.step for row in rows[1:6]] == [(0, 0, 0), *[(250, 250, -500)] * 4]


def test_words_lie_in_their_line_in_order() -> None:
    line = Line(1, "Odd", "Well - perhaps it forgot, Žofie.", 10_000, 60_000, 5, 30, None)
    found = word_frames(line, Rate.named("24"))
    assert [word for word, _ in found] == ["Well -", "perhaps", "it", "forgot,", "Žofie."]
    # 1, 2, 1, 2 and 2 syllables share 25 frames: 5, 8.125, 14.375, 17.5 and 23.75, half up.
    assert [frame for _, frame in found] == [5, 8, 14, 18, 24]
    assert word_frames(replace(line, text=""), Rate.named("24")) == []


def test_a_line_that_runs_over_the_cut_is_on_both_sheets() -> None:
    takes = [Take("10", [(24, 2, [("Odd", "Hold on now.", 12, 36)])]), Take("20", [(24, 2)])]
    timeline = film(*takes)
    said = [
        [
            (row.film, s.who, s.word, s.goes_on)
            for row in exposures(timeline, shot)
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
    rows = list(csv.DictReader(StringIO(write(timeline, timeline.shots), newline="")))
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
        **dict.fromkeys(("dialogue", "effects", "left", "top", "width"), ""),
        **dict.fromkeys(("left_step", "top_step", "width_step", "notes"), ""),
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
    data = write_pdf(timeline, timeline.shots, board.content.setups, paper)
    assert data == write_pdf(timeline, timeline.shots, board.content.setups, paper)
    # ISO 216: 210 x 297 mm; letter: 8.5 x 11 inches; a point is 1/72 inch.
    box = PdfReader(BytesIO(data)).pages[0].mediabox
    assert (int(box.width), int(float(box.height) + 0.5)) == points
    first, second, third = pages(data)
    # 4 + 63 + 4 frames, 48 a page; 22 poses on twos, 3 on ones, 8 on threes.
    for text in (first, second):
        assert "33 poses" in text
        assert "71 frames to shoot" in text
        assert "cut 63, handles 4 + 4 frames · shot on twos then ones then threes" in text
        assert "κάβος, Мыс" in text
        assert "lamp <left>, Ёлка" in text
        assert "low & near, 35 mm" in text
        assert "Žofie lifts it" in text
    assert "MS · page 1 of 2" in first
    assert "MS · page 2 of 2" in second
    assert "page 1 of 1" in third
    words = second.split("\n")
    assert {"49", "71", "33", "still panel 3"} <= set(words)
    assert "72" not in words


def test_pages_hold_whole_seconds() -> None:
    assert [rows_a_page(n) % n for n in (12, 15, 24, 25)] == [0, 0, 0, 0]
