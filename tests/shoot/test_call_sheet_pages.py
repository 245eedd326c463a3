"""Call sheets as they lie on the paper: no words over words, none beyond the edge, every page."""

from __future__ import annotations

import pytest

from animatic.shoot import callsheet, plan_shoot
from animatic.shoot.hours import WORKDAYS, dated
from tests.boards import BoardFolder, panels
from tests.sheets.drawn import Drawn, noted

HEAD = """board: 1
title: Low Water
picture: {size: 160x90}
handles: 8f
"""
SPLIT = """
- {shot: 10, photo: a.jpg, duration: 30s}
- {shot: 20, photo: a.jpg, duration: 2s, transition: {dissolve: 12f}}
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> BoardFolder:
    made = BoardFolder(tmp_path_factory.mktemp("calls"))
    made.photo()
    return made


def sheets(folder: BoardFolder, text: str, paper: str = "a4") -> list[Drawn]:
    board, timeline = folder.read(text), folder.lay_out(text)
    plan = plan_shoot(board, timeline)
    with pytest.MonkeyPatch.context() as patch:
        found = noted(patch, callsheet)
        callsheet.write(plan, dated(plan, None, WORKDAYS), timeline, paper)
    return found


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_split_shot_with_an_overlap_has_room_for_all_its_lines(
    folder: BoardFolder, paper: str
) -> None:
    head = f"{HEAD}pace: {{poses_per_hour: 20}}\nday: {{hours: 7}}\n"
    pages = sheets(folder, panels(SPLIT, head), paper)
    assert [page.overprinted() for page in pages] == [[]] * len(pages)
    found = [text for page in pages for text in page.texts]
    for line in ("with 6 of overlap", "shot 1 of 2"):
        assert sum(text.what == line for text in found) >= 2
    assert any("done when the break begins" in text.what for text in found)
