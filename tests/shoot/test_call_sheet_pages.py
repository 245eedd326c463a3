"""Call sheets as they lie on the paper: no words over words, none beyond the edge, every page."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from animatic.shoot import callsheet, plan_shoot
from animatic.shoot.hours import WORKDAYS, breaks, dated, said
from tests.boards import BoardFolder, panels
from tests.sheets.drawn import Drawn, noted
from tests.strategies import untimed

HEAD = """board: 1
title: Low Water
picture: {size: 160x90}
handles: 8f
"""
SPLIT = """
- {shot: 10, photo: a.jpg, duration: 30s}
- {shot: 20, photo: a.jpg, duration: 2s, transition: {dissolve: 12f}}
"""
TITLE = (
    "The long and winding tale of the bell that would not ring until the tide came back to the"
    " old quay again."
)


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


def words(page: Drawn) -> list[str]:
    return [text.what for text in page.texts]


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


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("every", ["1h", "20m"])
def test_all_breaks_and_the_whole_title_are_in_the_head(
    folder: BoardFolder, paper: str, every: str
) -> None:
    assert len(TITLE) == 105
    day = f"day: {{hours: 8, break_every: {every}, break_length: 10m}}\n"
    head = HEAD.replace("Low Water", TITLE) + "pace: {poses_per_hour: 20}\n" + day
    text = panels(SPLIT, head)
    plan = plan_shoot(folder.read(text), folder.lay_out(text))
    pages = sheets(folder, text, paper)
    assert len(pages) == len(plan.days)
    for page, each in zip(pages, plan.days, strict=True):
        assert page.overprinted() == []
        edge = 12 * 72 / 25.4
        assert all(text.right <= page.width - edge + 0.01 for text in page.texts)
        joined = " ".join(words(page))
        assert f"{TITLE}: call sheet" in joined
        pauses = [f"{said(a)} to {said(b)}" for a, b in breaks(each)]
        assert f"breaks: {', '.join(pauses)}" in joined
        assert "…" not in joined
    assert max(len(breaks(each)) for each in plan.days) >= (6 if every == "1h" else 15)


def test_a_long_day_says_which_page_it_is_and_what_is_rigged(folder: BoardFolder) -> None:
    rows = [
        f"- {{shot: {n}, photo: a.jpg, setup: {'quay' if n < 12 else 'shed'}, duration: 8f}}"
        for n in range(60)
    ]
    setups = (
        "setups:\n  quay: {place: Quay, lights: [sun]}\n"
        "  shed: {place: Net shed, camera: low, note: The bulb gets hot., after: [quay]}\n"
    )
    head = f"{HEAD}pace: {{poses_per_hour: 400}}\nday: {{hours: 16}}\n{setups}"
    pages = sheets(folder, panels("\n".join(rows), head))
    assert len(pages) > 5
    seen = []
    for number, page in enumerate(pages, 1):
        said_here = words(page)
        assert page.overprinted() == []
        assert said_here.count(f"page {number} of {len(pages)}") == 1
        assert said_here.count("Day 1 of 1") == 1
        # Whatever the page begins with, it says of which setup that is, and what to mind.
        heads = [text for text in page.texts if text.what in ("quay: Quay", "shed: Net shed")]
        assert min(text.low for text in heads) < page.height / 5
        assert ("note: The bulb gets hot." in said_here) == ("shed: Net shed" in said_here)
        seen += [(head.what, "goes on" in said_here) for head in heads]
    assert seen[0] == ("quay: Quay", False)
    assert seen.count(("shed: Net shed", False)) <= 1
    assert {head for head, _ in seen} == {"quay: Quay", "shed: Net shed"}
    assert "Low Water: call sheet goes on" in words(pages[-1])


NOTES = ("", "Lift the lid", "Remember the rope. " * 12, "Do not touch the water. " * 300)


@st.composite
def boards(draw: st.DrawFn) -> str:
    """A board with long and short names, notes, shots, overlaps, and days of all lengths."""
    many = st.integers(1, 8)
    rows = []
    for number in range(draw(many)):
        name = draw(st.sampled_from(["", " of the second unit, by night", "_" + "x" * 38]))
        keys = [f"shot: '{number}{name}'", "photo: a.jpg"]
        keys.append(f"duration: {draw(st.sampled_from([2, 30, 400, 2000]))}f")
        keys.append(f"size: {draw(st.sampled_from(['MS', 'CU INSERT', 'OTS MCU']))}")
        if setup := draw(st.sampled_from(["", "quay", "shed"])):
            keys.append(f"setup: {setup}")
        if number and draw(st.booleans()):
            keys.append("transition: {dissolve: 2f}")
        if note := draw(st.sampled_from(NOTES)):
            keys.append(f"note: '{note}'")
        keys += ["dress: 20m"] * draw(st.booleans())
        rows.append(f"- {{{', '.join(keys)}}}")
    pace = draw(st.sampled_from([5, 20, 60, 900]))
    hours, every = draw(st.sampled_from([2, 7, 8, 16])), draw(st.sampled_from(["1h", "7m", "3h"]))
    note = draw(st.sampled_from(NOTES[1:]))
    setups = f"setups:\n  quay: {{place: Quay, rig: 1h}}\n  shed: {{note: '{note}', lens: long}}\n"
    title = draw(st.sampled_from(["Low Water", TITLE, "long " * 300]))
    head = HEAD.replace("Low Water", title)
    return panels(
        "\n".join(rows),
        f"{head}{setups}pace: {{poses_per_hour: {pace}}}\n"
        f"day: {{hours: {hours}, break_every: {every}}}\n",
    )


@settings(untimed, max_examples=40)
@given(text=boards(), paper=st.sampled_from(["a4", "letter"]))
def test_no_words_lie_over_others(folder: BoardFolder, text: str, paper: str) -> None:
    for page in sheets(folder, text, paper):
        assert page.overprinted() == []
        caution = min(text.top for text in page.texts if text.what.startswith("Lamps get hot"))
        rows = [text for text in page.texts if text.top < caution]
        assert max(text.low for text in rows) < caution - 8
