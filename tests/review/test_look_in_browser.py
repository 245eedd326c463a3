"""The page for looking in a real browser: clicks, keys, notes, and the file they are saved in."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from boards import BoardFolder, panels

from animatic.cli import run

webdriver = pytest.importorskip("selenium.webdriver", reason="selenium is not installed")
BROWSER = shutil.which("chromium") or shutil.which("google-chrome")
DRIVER = shutil.which("chromedriver")
pytestmark = pytest.mark.skipif(
    BROWSER is None or DRIVER is None, reason="Chromium and its driver are not installed"
)

COLOURS = [(200, 40, 40), (40, 160, 40), (40, 40, 200), (200, 200, 40), (40, 190, 190)]
LENGTHS = [17, 9, 30, 24, 13]
STARTS = [0, 17, 26, 56, 80]


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    board = BoardFolder(tmp_path_factory.mktemp("film"))
    text = ""
    for number, (colour, frames) in enumerate(zip(COLOURS, LENGTHS, strict=True), 1):
        board.photo(f"{number}.jpg", colour, (640, 360), quality=95)
        text += f"- {{shot: {number}0, photo: {number}.jpg, duration: {frames}f}}\n"
    head = "board: 1\ntitle: Low Water\npicture: {size: 640x360}\nlettering: {shot: false}\n"
    board.write(panels(text, head))
    assert run(["look", str(board.folder), "--size", "640x360"]) == 0
    return board.folder / "out" / "look.html"


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    options = webdriver.ChromeOptions()
    options.binary_location = BROWSER
    for argument in ("--headless=new", "--no-sandbox", "--disable-dev-shm-usage", "--mute-audio"):
        options.add_argument(argument)
    saved = tmp_path_factory.mktemp("saved")
    options.add_experimental_option("prefs", {"download.default_directory": str(saved)})
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    driver = webdriver.Chrome(options=options, service=webdriver.ChromeService(DRIVER))
    driver.set_window_size(1200, 1400)
    driver.saved = saved
    yield driver
    driver.quit()


@pytest.fixture
def opened(page: Path, browser: Any) -> Any:
    browser.get(page.as_uri())
    browser.execute_script("localStorage.clear()")
    browser.get(page.as_uri())
    until(lambda: browser.execute_script("return document.getElementById('video').readyState") >= 2)
    return browser


def until(holds: Any) -> None:
    """Wait until something holds, as a person would look again."""
    end = time.monotonic() + 30
    while not holds():
        assert time.monotonic() < end, "it did not come to hold"
        time.sleep(0.05)


def one(browser: Any, css: str) -> Any:
    return browser.find_element("css selector", css)


def click(browser: Any, css: str, index: int = 0) -> None:
    browser.execute_script(
        "arguments[0].scrollIntoView()", browser.find_elements("css selector", css)[index]
    )
    browser.find_elements("css selector", css)[index].click()


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


def test_clicking_shot_five_shows_its_first_frame(opened: Any) -> None:
    click(opened, "#shots tbody button", 4)
    stands_on(opened, 5, 80)
    click(opened, '[data-step="-1"]')
    stands_on(opened, 4, 79)
    current = opened.find_elements("css selector", "[aria-current]")
    assert [element.tag_name for element in current] == ["button", "tr"]
    assert opened.get_log("browser") == []


def test_every_shot_is_cut_to_on_its_first_frame_and_left_on_its_last(opened: Any) -> None:
    for shot, (start, length) in enumerate(zip(STARTS, LENGTHS, strict=True), 1):
        click(opened, "#strip button", shot - 1)
        stands_on(opened, shot, start)
        if start + length < sum(LENGTHS):
            click(opened, '[data-shot="1"]')
            click(opened, '[data-step="-1"]')
            stands_on(opened, shot, start + length - 1)


def test_keys_step_and_leave_text_fields_alone(opened: Any) -> None:
    keys = pytest.importorskip("selenium.webdriver.common.keys").Keys
    body = one(opened, "body")
    body.send_keys(keys.ARROW_RIGHT)
    stands_on(opened, 1, 1)
    body.send_keys(keys.SHIFT + keys.ARROW_RIGHT)
    stands_on(opened, 2, 25)
    body.send_keys(keys.ARROW_LEFT)
    stands_on(opened, 2, 24)
    opened.execute_script("document.getElementById('player').focus()")
    one(opened, "#player").send_keys(keys.ARROW_DOWN)
    stands_on(opened, 3, 26)
    one(opened, "#note").send_keys("a b", keys.ARROW_LEFT, keys.ARROW_LEFT, "c ")
    assert one(opened, "#note").get_attribute("value") == "ac  b"
    stands_on(opened, 3, 26)


def test_a_note_is_kept_and_saved_with_its_shot_and_frame(opened: Any) -> None:
    click(opened, "#shots tbody button", 3)
    for _ in range(3):
        click(opened, '[data-step="1"]')
    one(opened, "#note").send_keys("The <boat> is too low & slow.")
    click(opened, "#note-form button")
    opened.refresh()
    named = "shot 40, frame 4 of the shot, film frame 59, 01:00:02:11"
    assert one(opened, "#note-list li button").text == named
    click(opened, "#note-list li button")
    stands_on(opened, 4, 59)
    click(opened, "#save")
    file = opened.saved / "Low_Water_notes.txt"
    until(file.exists)
    assert file.read_text(encoding="utf-8") == (
        "Low Water: notes\n5 shots, 93 frames at 24, 0:03.875\n"
        "Frames of a shot count from 1, film frames from 0.\n\n"
        f"{named}\nThe <boat> is too low & slow.\n"
    )
    click(opened, '#note-list button[aria-label^="Remove"]')
    opened.refresh()
    assert opened.find_elements("css selector", "#note-list li") == []


def test_played_to_a_stop_the_page_names_the_frame_that_is_seen(opened: Any) -> None:
    click(opened, "#play")
    until(lambda: int(one(opened, "#frame").text) > 30)
    click(opened, "#play")
    until(lambda: opened.execute_script("return document.getElementById('video').paused"))
    frame = int(one(opened, "#frame").text)
    shot = max(n for n, start in enumerate(STARTS, 1) if start <= frame)
    stands_on(opened, shot, frame)


def test_it_fits_a_phone_and_is_reached_by_tab(opened: Any) -> None:
    keys = pytest.importorskip("selenium.webdriver.common.keys").Keys
    phone = {"width": 360, "height": 740, "deviceScaleFactor": 2, "mobile": True}
    opened.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", phone)
    try:
        assert opened.execute_script("return document.documentElement.scrollWidth") <= 360
        small = "return [...document.querySelectorAll('button')].filter(b => b.offsetHeight < 44)"
        assert opened.execute_script(small) == []
    finally:
        opened.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    reached = []
    for _ in range(14):
        opened.switch_to.active_element.send_keys(keys.TAB)
        reached.append(opened.switch_to.active_element.text)
        outline = "return getComputedStyle(document.activeElement).outlineStyle"
        assert opened.execute_script(outline) == "solid"
    assert reached[:3] == ["To the film", "To the shot list", "To the notes"]
    assert "Play" in reached
    assert "Next shot" in reached
