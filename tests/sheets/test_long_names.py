"""Long names and long words on paper: made smaller or wrapped, so that none is lost."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from animatic.board import Board
from animatic.sheets import exposurepdf, shotpdf
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
    words = [words for words, *_ in drawn(paper, folder, panels("\n".join(rows)))]
    assert [name for name in words if name in NAMES] == list(NAMES)
