"""Mirrored panels: the camera is told what it sees, and every paper says so."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from io import BytesIO, StringIO
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from PIL import Image, ImageOps
from pypdf import PdfReader

from animatic.sheets import FORMATS, exposure, exposurepdf, page, shotpdf
from animatic.sheets.exposure import exposures
from animatic.sheets.thumbs import thumbnail
from animatic.shoot import callsheet, plan_shoot
from animatic.shoot.hours import WORKDAYS, dated
from animatic.timeline.model import Timeline
from tests.boards import HEAD, BoardFolder, panels
from tests.strategies import timelines, untimed

MOVE = "move: {to: {left: 0.5, top: 0.1, width: 0.4, height: 0.4}, ease: none}"
ROWS = f"""
- {{shot: 10, photo: a.png, duration: 12f, note: lantern lit}}
- {{photo: a.png, duration: 12f, mirror: true, {MOVE}}}
- {{shot: 20, photo: a.png, duration: 12f, mirror: true}}
- {{shot: 30, photo: a.png, duration: 12f}}
"""


@pytest.fixture
def folder(tmp_path: Path) -> BoardFolder:
    """A folder with a photo that is dark at the left and light at the right."""
    across, down = np.meshgrid(np.linspace(0, 250, 640), np.linspace(0, 250, 360))
    pixels = np.stack([across, down, across * 0], axis=-1).astype("uint8")
    Image.fromarray(pixels).save(tmp_path / "a.png")
    return BoardFolder(tmp_path)


def test_the_camera_stands_where_it_sees_the_picture(folder: BoardFolder) -> None:
    timeline = folder.lay_out(panels(ROWS))
    (shot, *_) = timeline.shots
    photo = ImageOps.mirror(Image.open(folder.path("a.png")))
    rows = [row for row in exposures(timeline, shot) if row.step]
    assert len(rows) == 12
    for row in rows:
        assert row.place is not None
        left, top, width = (part / 10_000 for part in row.place)
        high = photo.width * width * 9 / 16 / photo.height
        box = (left * 640, top * 360, (left + width) * 640, (top + high) * 360)
        seen = np.asarray(photo.resize((160, 90), Image.Resampling.BOX, box), float)
        assert row.film is not None
        small = thumbnail(row.panel, timeline.size, 160, row.film - row.panel.start)
        assert np.abs(seen - np.asarray(small, float)).mean() < 1.5
    # It goes right on the photo, from 0 to 50 %, and is 40 % wide: in the picture it goes to 10 %.
    assert [row.place[0] for row in (rows[0], rows[-1]) if row.place] == [0, 1000]
    assert sum(row.step[0] for row in rows if row.step) == 1000


@untimed
@given(timelines(sound=False))
def test_a_mirrored_film_has_the_same_way_from_the_other_side(timeline: Timeline) -> None:
    for shot in timeline.shots:
        other = replace(shot, panels=tuple(replace(p, mirror=True) for p in shot.panels))
        for row, mirrored in zip(
            exposures(timeline, shot), exposures(timeline, other), strict=True
        ):
            if row.place is None:
                assert mirrored.place is None
                continue
            assert mirrored.place is not None
            assert mirrored.place[1:] == row.place[1:]
            # Left, width and what is left over at the right are rounded each by itself.
            assert abs(mirrored.place[0] + row.place[0] + row.place[2] - 10_000) <= 1


def text_of(data: bytes) -> list[str]:
    pages = PdfReader(BytesIO(data)).pages
    return [line.strip() for page in pages for line in page.extract_text().split("\n")]


def test_every_paper_says_what_is_mirrored(folder: BoardFolder) -> None:
    board, timeline = folder.read(panels(ROWS, HEAD)), folder.lay_out(panels(ROWS, HEAD))
    sheets = text_of(exposurepdf.write(timeline, timeline.shots, {}, {}))
    plan = plan_shoot(board, timeline)
    calls = text_of(callsheet.write(plan, dated(plan, None, WORKDAYS), timeline))
    shots = text_of(shotpdf.write(timeline, {}))
    for lines, before in ((sheets, ""), (calls, ""), (shots, "note: ")):
        assert lines.count(f"{before}panel 2 mirrored / lantern lit") == 1
        assert lines.count(f"{before}mirrored") == 1
        assert sum("mirrored" in line for line in lines) == 2 + (lines is sheets)
    assert any(line.startswith("Camera, in % of the mirrored photo:") for line in sheets)
    assert ">panel 2 mirrored / lantern lit<" in page.write(timeline, {})
    notes = [shot["notes"] for shot in json.loads(FORMATS["json"](timeline))["shots"]]
    listed = csv.DictReader(StringIO(FORMATS["csv"](timeline), newline=""))
    # The list's last row is the sums.
    assert [*notes, ""] == [row["notes"] for row in listed]
    assert notes == ["panel 2 mirrored / lantern lit", "mirrored", ""]
    rows = csv.DictReader(StringIO(exposure.write(timeline, timeline.shots, {}), newline=""))
    said = [row["mirrored"] for row in rows]
    assert said == [""] * 12 + ["mirrored"] * 24 + [""] * 12


def test_steps_of_both_kinds_on_a_sheet_are_told_apart(folder: BoardFolder) -> None:
    both = ROWS.replace("note: lantern lit", MOVE)
    timeline = folder.lay_out(panels(both))
    lines = text_of(exposurepdf.write(timeline, timeline.shots[:1], {}, {}))
    start = "Camera, in % of the photo as seen:"
    assert any(line.startswith(start) for line in lines)
