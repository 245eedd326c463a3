"""Notes on the page for looking: none is lost between tabs, on leaving, or to another board."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from looked import click, comes, go_back, make_page, one, open_page, reload, stands_on, until

keys = pytest.importorskip("selenium.webdriver.common.keys").Keys


def keep(browser: Any, words: str) -> None:
    one(browser, "#note").send_keys(words)
    click(browser, "#note-form button")


def noted(browser: Any) -> list[str]:
    """The words of the notes as the page lists them."""
    return _shown(browser, "#note-list p")


def offered(browser: Any) -> list[str]:
    return _shown(browser, "#offers p")


def _shown(browser: Any, css: str) -> list[str]:
    # In one step: the page may draw a list anew between two.
    look = """
        return Array.from(document.querySelectorAll(arguments[0]))
            .filter((one) => one.checkVisibility()).map((one) => one.innerText);
    """
    return list(browser.execute_script(look, css))


def typed(browser: Any) -> str:
    return str(one(browser, "#note").get_attribute("value"))


def two_tabs(browser: Any, page: Path) -> tuple[str, str]:
    """Open the page in a second tab, and return both."""
    first = browser.current_window_handle
    browser.switch_to.new_window("tab")
    open_page(browser, page)
    return first, browser.current_window_handle


def close(browser: Any, other: str) -> None:
    """Close a tab with a note begun, and go to another one once that has heard of it."""
    browser.close()
    browser.switch_to.window(other)
    heard = "return Object.values(localStorage).some((text) => text.includes('\"isLeft\":true'))"
    until(lambda: browser.execute_script(heard))


def test_two_tabs_have_the_notes_of_both(opened: Any, page: Path) -> None:
    first, second = two_tabs(opened, page)
    keep(opened, "from the second")
    opened.switch_to.window(first)
    keep(opened, "from the first")
    until(lambda: sorted(noted(opened)) == ["from the first", "from the second"])
    reload(opened)
    assert sorted(noted(opened)) == ["from the first", "from the second"]
    opened.switch_to.window(second)
    until(lambda: sorted(noted(opened)) == ["from the first", "from the second"])


def test_a_note_removed_in_one_tab_does_not_come_back_from_another(opened: Any, page: Path) -> None:
    keep(opened, "to go")
    first, second = two_tabs(opened, page)
    comes(noted, opened, ["to go"])
    opened.switch_to.window(first)
    click(opened, '#note-list button[aria-label^="Remove"]')
    opened.switch_to.window(second)
    comes(noted, opened, [])
    keep(opened, "to stay")
    reload(opened)
    comes(noted, opened, ["to stay"])
    opened.switch_to.window(first)
    reload(opened)
    comes(noted, opened, ["to stay"])


def test_a_note_of_another_tab_leaves_the_focus_where_it_is(opened: Any, page: Path) -> None:
    click(opened, "#strip button", 2)
    keep(opened, "here")
    first, second = two_tabs(opened, page)
    opened.execute_script("document.querySelector('#note-list button').focus()")
    opened.switch_to.window(first)
    click(opened, "#strip button", 0)
    keep(opened, "before it")
    opened.switch_to.window(second)
    comes(noted, opened, ["before it", "here"])
    assert opened.switch_to.active_element.text.startswith("shot 30, frame 1")


@pytest.mark.parametrize("way", ["reload", "leave", "back", "close"])
def test_a_note_not_kept_yet_is_there_again(opened: Any, page: Path, way: str) -> None:
    first, _ = two_tabs(opened, page)
    click(opened, "#strip button", 3)
    one(opened, "#note").send_keys("The boat\nis too low")
    for _ in range(3):
        click(opened, '[data-step="1"]')
    if way == "reload":
        reload(opened)
    elif way == "leave":
        opened.get("about:blank")
        open_page(opened, page)
    elif way == "back":
        opened.get("about:blank")
        go_back(opened, page)
    else:
        close(opened, first)
        open_page(opened, page)
    comes(typed, opened, "The boat\nis too low")
    assert one(opened, "#begun").text == "You began this note before and have not kept it yet."
    stands_on(opened, 4, 59)
    click(opened, "#note-form button")
    assert not one(opened, "#begun").is_displayed()
    reload(opened)
    comes(typed, opened, "")
    comes(noted, opened, ["The boat\nis too low"])
    assert one(opened, "#note-list button").text.startswith("shot 40, frame 4 of the shot")


def test_a_note_rubbed_out_does_not_come_back(opened: Any) -> None:
    one(opened, "#note").send_keys("no", keys.BACKSPACE, keys.BACKSPACE)
    reload(opened)
    comes(typed, opened, "")
    assert not one(opened, "#begun").is_displayed()
    comes(offered, opened, [])


def test_two_tabs_have_a_draft_each_and_none_is_lost(opened: Any, page: Path) -> None:
    one(opened, "#note").send_keys("first")
    first, _ = two_tabs(opened, page)
    comes(typed, opened, "")
    one(opened, "#note").send_keys("second")
    reload(opened)
    comes(typed, opened, "second")
    close(opened, first)
    reload(opened)
    # The one left last goes on, the other is offered.
    comes(typed, opened, "first")
    begun = "A note was begun in another tab, or before, and not kept: "
    comes(offered, opened, [f"{begun}“second”"])
    click(opened, "#offers button")
    comes(typed, opened, "second")
    comes(offered, opened, [f"{begun}“first”"])
    click(opened, "#note-form button")
    click(opened, "#offers button")
    comes(typed, opened, "first")
    assert not one(opened, "#offers").is_displayed()


def test_a_draft_that_another_tab_goes_on_with_is_in_that_one_alone(
    opened: Any, page: Path
) -> None:
    one(opened, "#note").send_keys("begun")
    first, _ = two_tabs(opened, page)
    click(opened, "#offers button")
    comes(typed, opened, "begun")
    click(opened, "#note-form button")
    opened.switch_to.window(first)
    comes(typed, opened, "")
    reload(opened)
    comes(typed, opened, "")
    comes(noted, opened, ["begun"])


def test_a_copied_board_of_one_title_has_notes_of_its_own(
    opened: Any, page: Path, tmp_path: Path
) -> None:
    keep(opened, "of the first board")
    one(opened, "#note").send_keys("begun")
    folder = Path(shutil.copytree(page.parents[1], tmp_path / "copy"))
    copy = make_page(folder)
    open_page(opened, copy)
    comes(noted, opened, [])
    comes(typed, opened, "")
    comes(
        offered,
        opened,
        ["1 note is kept in this browser for another board of this title: “of the first board”"],
    )
    keep(opened, "of the copy")
    open_page(opened, page)
    comes(noted, opened, ["of the first board"])
    comes(typed, opened, "begun")
    open_page(opened, copy)
    click(opened, "#offers button")
    comes(noted, opened, ["of the first board", "of the copy"])
    assert not one(opened, "#offers").is_displayed()


def test_a_later_cut_finds_the_notes_under_a_new_title_in_a_moved_folder(
    opened: Any, tmp_path: Path
) -> None:
    page = make_page(tmp_path / "film")
    open_page(opened, page)
    for strip, words in ((1, "goes on"), (4, "is gone")):
        click(opened, "#strip button", strip)
        keep(opened, words)
    one(opened, "#note").send_keys("begun on a shot that goes")
    moved = Path(shutil.move(tmp_path / "film", tmp_path / "renamed"))
    later = make_page(moved, "High Water", [30, 12, 8])
    open_page(opened, later)
    comes(noted, opened, ["goes on", "is gone"])
    names = [b.text for b in opened.find_elements("css selector", "#note-list button[data-go]")]
    assert names == [
        "shot 20, frame 1 of the shot, film frame 30, 01:00:01:06 (written for an earlier cut)"
    ]
    comes(typed, opened, "begun on a shot that goes")
    assert "shot 50, which is gone from the film" in one(opened, "#begun").text


OLD = [
    {"shot": "30", "frame": 4, "film": 30, "words": "from before", "edition": "0" * 12},
    {"shot": "10", "frame": 0, "film": 0, "words": "as well", "edition": "0" * 12},
]


def test_notes_kept_under_the_title_alone_are_offered_and_stay_where_they_are(
    opened: Any, page: Path
) -> None:
    text, place = json.dumps(OLD), "animatic notes: Low Water"
    opened.execute_script("localStorage.setItem(arguments[0], arguments[1])", place, text)
    reload(opened)
    comes(noted, opened, [])
    comes(
        offered,
        opened,
        [
            "2 notes are kept in this browser by an older page of this title, which did not say"
            " for which board: “from before” and more"
        ],
    )
    click(opened, "#offers button")
    comes(noted, opened, ["as well", "from before"])
    assert "written for an earlier cut" in one(opened, "#note-list button").text
    click(opened, '#note-list button[aria-label^="Remove"]')
    reload(opened)
    comes(noted, opened, ["from before"])
    assert not one(opened, "#offers").is_displayed()
    assert opened.execute_script("return localStorage.getItem(arguments[0])", place) == text


def test_a_note_copied_to_a_third_board_is_offered_from_where_it_was_written(opened: Any) -> None:
    note = {"shot": "30", "frame": 4, "film": 30, "words": "low", "title": "Low Water"}
    for board, more in (("1a", {}), ("2b", {"isBrought": True})):
        text = json.dumps(note | more)
        opened.execute_script(
            f"localStorage.setItem('animatic note {board} 3c', arguments[0])", text
        )
    reload(opened)
    comes(
        offered, opened, ["1 note is kept in this browser for another board of this title: “low”"]
    )


def test_a_tab_that_is_come_back_to_offers_what_was_begun_meanwhile(
    opened: Any, page: Path
) -> None:
    first, _ = two_tabs(opened, page)
    one(opened, "#note").send_keys("begun")
    opened.switch_to.window(first)
    opened.execute_script("dispatchEvent(new Event('focus'))")
    comes(offered, opened, ["A note was begun in another tab, or before, and not kept: “begun”"])


def test_what_is_damaged_in_the_store_stands_in_no_way(opened: Any) -> None:
    board = opened.execute_script("return JSON.parse(document.getElementById('data').text).board")
    junk = {
        "animatic notes: Low Water": '{"a": 1}',
        f"animatic note {board} x": "{",
        f"animatic note {board} y": '{"words": 3}',
        f"animatic draft {board} z": "[]",
    }
    for key, text in junk.items():
        opened.execute_script("localStorage.setItem(arguments[0], arguments[1])", key, text)
    reload(opened)
    keep(opened, "works")
    comes(noted, opened, ["works"])
    assert opened.get_log("browser") == []


def test_where_nothing_is_kept_the_page_says_so_and_asks_before_it_is_left(opened: Any) -> None:
    def asks() -> bool:
        return not opened.execute_script(
            "return dispatchEvent(new Event('beforeunload', {cancelable: true}))"
        )

    opened.execute_script("Storage.prototype.setItem = () => { throw new Error('full'); }")
    assert not asks()
    one(opened, "#note").send_keys("begun")
    assert asks()
    click(opened, "#note-form button")
    comes(noted, opened, ["begun"])
    assert "this browser keeps nothing" in one(opened, "#trouble").text
    assert asks()
    click(opened, '#note-list button[aria-label^="Remove"]')
    assert not asks()
