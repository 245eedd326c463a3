"""The page for looking as a person has it before them: found, clicked, and seen on a frame."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from boards import BoardFolder, panels

from animatic.cli import run

__all__ = [
    "COLOURS",
    "LENGTHS",
    "STARTS",
    "clear",
    "click",
    "comes",
    "go_back",
    "make_page",
    "one",
    "open_page",
    "reload",
    "stands_on",
    "until",
]

COLOURS = [(200, 40, 40), (40, 160, 40), (40, 40, 200), (200, 200, 40), (40, 190, 190)]
LENGTHS = [17, 9, 30, 24, 13]
STARTS = [0, 17, 26, 56, 80]


def make_page(folder: Path, title: str = "Low Water", lengths: list[int] = LENGTHS) -> Path:
    """Write a board of one photo a shot and return the page that `look` makes of it."""
    board = BoardFolder(folder)
    folder.mkdir(exist_ok=True)
    text = ""
    for number, (colour, frames) in enumerate(zip(COLOURS, lengths, strict=False), 1):
        board.photo(f"{number}.jpg", colour, (640, 360), quality=95)
        text += f"- {{shot: {number}0, photo: {number}.jpg, duration: {frames}f}}\n"
    head = f"board: 1\ntitle: {title}\npicture: {{size: 640x360}}\nlettering: {{shot: false}}\n"
    board.write(panels(text, head))
    assert run(["look", str(folder), "--size", "640x360"]) == 0
    return folder / "out" / "look.html"


def until(holds: Any) -> None:
    """Wait until something holds, as a person would look again."""
    end = time.monotonic() + 30
    while not holds():
        assert time.monotonic() < end, "it did not come to hold"
        time.sleep(0.05)


def comes(read: Callable[[Any], Any], browser: Any, wanted: Any) -> None:
    """Wait until the page reads as wanted: what another tab has kept arrives a little later."""
    end = time.monotonic() + 30
    while read(browser) != wanted and time.monotonic() < end:
        time.sleep(0.05)
    assert read(browser) == wanted


def open_page(browser: Any, page: Path) -> None:
    """Open a page anew and wait until its film is there."""
    _load(browser, lambda: browser.get(page.as_uri()))


def reload(browser: Any) -> None:
    """Load the page that is open again, and wait until its film is there."""
    _load(browser, browser.refresh)


def go_back(browser: Any, page: Path) -> None:
    """Go back from another page to this one."""
    browser.back()
    until(lambda: _is_there(browser) and browser.current_url == page.as_uri())


def _load(browser: Any, deed: Callable[[], None]) -> None:
    # A busy browser may call a page loaded before it has run its script, or left the one before.
    browser.execute_script("window.isBefore = true")
    deed()
    until(lambda: _is_there(browser) and not browser.execute_script("return window.isBefore"))


def _is_there(browser: Any) -> bool:
    return bool(browser.execute_script("return document.getElementById('video')?.readyState >= 2"))


def clear(browser: Any, page: Path) -> None:
    """Let the browser forget all that pages of this kind have kept."""
    open_page(browser, page)
    browser.execute_script("document.getElementById('note').value = ''; localStorage.clear()")


def one(browser: Any, css: str) -> Any:
    return browser.find_element("css selector", css)


def click(browser: Any, css: str, index: int = 0) -> None:
    until(lambda: len(browser.find_elements("css selector", css)) > index)
    found = browser.find_elements("css selector", css)[index]
    browser.execute_script("arguments[0].scrollIntoView()", found)
    found.click()


def stands_on(browser: Any, shot: int, frame: int) -> None:
    """The page says this film frame (from 0), and the picture is that shot's."""
    assert one(browser, "#frame").text == str(frame)
    assert one(browser, "#shot").text == f"{shot}0"
    within = frame - STARTS[shot - 1] + 1
    assert one(browser, "#in-shot").text == f"frame {within} of {LENGTHS[shot - 1]}"
    look = """
        const canvas = document.createElement("canvas"), video = document.getElementById("video");
        if (video.seeking) return null;
        canvas.width = canvas.height = 1;
        canvas.getContext("2d").drawImage(video, 300, 150, 8, 8, 0, 0, 1, 1);
        return Array.from(canvas.getContext("2d").getImageData(0, 0, 1, 1).data).slice(0, 3);
    """

    def is_right() -> bool:
        seen = browser.execute_script(look)
        colour = COLOURS[shot - 1]
        return seen is not None and max(abs(a - b) for a, b in zip(seen, colour, strict=True)) < 12

    until(is_right)
