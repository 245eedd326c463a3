"""The page for looking where a browser does less than others do: each lack is set up in Chromium.

The lacks were met in WebKitGTK 2.50.6, but for storage that is switched off and scripts that do
not run, which are a person's own settings, or a mail program's preview.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from looked import click, comes, one, open_page, reload, stands_on, until
from test_look_notes import noted, offered, two_tabs, typed

BROKEN = "const whole = URL.createObjectURL; URL.createObjectURL = () => whole.call(URL, %s);"
SILENT = "addEventListener('storage', (event) => event.stopImmediatePropagation(), true);"
FORGETFUL = "Storage.prototype.setItem = () => { throw new Error('full'); };"
NO_STORE = "Object.defineProperty(window, 'localStorage', { get() { throw new Error('off'); } });"


@contextmanager
def lacking(browser: Any, script: str) -> Iterator[None]:
    """Run a script in every page of this tab before the page's own."""
    made = browser.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": script})
    try:
        yield
    finally:
        browser.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", made)


@pytest.mark.parametrize("blob", ["new Blob(['no film'])", "new MediaSource()"])
def test_a_film_that_does_not_come_from_a_blob_comes_otherwise(opened: Any, blob: str) -> None:
    # The one is refused at once. The other is waited for and never comes, without an error.
    with lacking(opened, BROKEN % blob):
        reload(opened)
        click(opened, "#shots tbody button", 4)
        stands_on(opened, 5, 80)
        click(opened, '[data-step="-1"]')
        stands_on(opened, 4, 79)
    assert not one(opened, "#no-film").is_displayed()


def test_where_no_way_gives_a_film_the_page_says_so_and_the_rest_works(
    opened: Any, page: Path, tmp_path: Path
) -> None:
    broken = tmp_path / "broken.html"
    text = page.read_text(encoding="utf-8")
    broken.write_text(re.sub(r'(id="film">)[^<]+', r"\1AAAA", text), encoding="utf-8")
    opened.get(broken.as_uri())
    until(lambda: "cannot show the film" in one(opened, "#no-film").text)
    click(opened, "#shots tbody button", 4)
    assert one(opened, "#frame").text == "80"


@pytest.mark.parametrize(("time", "frame"), [("40.5 / 24", 40), ("1.6666", 40), ("40 / 24", 40)])
def test_a_frame_is_named_whichever_time_within_it_is_told(
    opened: Any, time: str, frame: int
) -> None:
    told = (
        "HTMLVideoElement.prototype.requestVideoFrameCallback = (tell) => { window.tell = tell; }"
    )
    play = f"""
        document.getElementById("video").muted = true;
        document.getElementById("play").click();
        window.tell(0, {{ mediaTime: {time} }});
        return document.getElementById("frame").textContent;
    """
    with lacking(opened, told):
        reload(opened)
        assert opened.execute_script(play) == str(frame)


def _come_back_to(browser: Any) -> str:
    """Come back to a tab, and return what is typed in it: news of another one may come late."""
    browser.execute_script("dispatchEvent(new Event('focus'))")
    return typed(browser)


def test_a_draft_gone_on_with_elsewhere_is_let_go_though_no_tab_hears_of_others(
    opened: Any, page: Path
) -> None:
    with lacking(opened, SILENT):
        reload(opened)
        one(opened, "#note").send_keys("begun")
        first, _ = two_tabs(opened, page)
        click(opened, "#offers button")
        comes(typed, opened, "begun")
        one(opened, "#note").send_keys(" here")
        click(opened, "#note-form button")
        opened.switch_to.window(first)
        comes(_come_back_to, opened, "")
        comes(noted, opened, ["begun here"])
        comes(offered, opened, [])
        reload(opened)
    comes(typed, opened, "")
    drafts = "return Object.keys(localStorage).filter((key) => key.startsWith('animatic draft'))"
    assert opened.execute_script(drafts) == []


def test_a_page_that_comes_back_as_it_was_lets_go_of_a_draft_taken_meanwhile(
    opened: Any, page: Path
) -> None:
    passes = "dispatchEvent(new PageTransitionEvent(arguments[0], { persisted: true }))"
    one(opened, "#note").send_keys("begun")
    opened.execute_script(passes, "pagehide")
    opened.execute_script(passes, "pageshow")
    assert typed(opened) == "begun"
    opened.execute_script(passes, "pagehide")
    with lacking(opened, SILENT):
        first, _ = two_tabs(opened, page)
        comes(typed, opened, "begun")
        click(opened, "#note-form button")
        opened.switch_to.window(first)
        opened.execute_script(passes, "pageshow")
        comes(typed, opened, "")
        comes(noted, opened, ["begun"])
        comes(offered, opened, [])


def test_a_draft_stays_when_the_browser_forgets_it(opened: Any) -> None:
    one(opened, "#note").send_keys("begun")
    opened.execute_script("localStorage.clear(); dispatchEvent(new Event('focus'))")
    assert typed(opened) == "begun"
    reload(opened)
    comes(typed, opened, "begun")


@pytest.mark.parametrize("lack", [FORGETFUL, NO_STORE])
def test_that_nothing_is_kept_is_said_before_anything_is_typed(
    opened: Any, page: Path, lack: str
) -> None:
    assert not one(opened, "#trouble").is_displayed()
    with lacking(opened, lack):
        open_page(opened, page)
        assert "this browser keeps nothing" in one(opened, "#trouble").text
        one(opened, "#note").send_keys("kept as long as the page is open")
        click(opened, "#note-form button")
        comes(noted, opened, ["kept as long as the page is open"])
        click(opened, '#note-list button[aria-label^="Remove"]')


def test_where_scripts_do_not_run_the_page_says_so(opened: Any, page: Path) -> None:
    assert opened.find_elements("css selector", "noscript p") == []
    opened.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    try:
        opened.get(page.as_uri())
        assert "its scripts do not run" in one(opened, "noscript p").text
    finally:
        opened.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})
        open_page(opened, page)
