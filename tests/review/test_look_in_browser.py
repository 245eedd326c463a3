"""The page for looking in a real browser: clicks, playing, and notes saved as a file."""

from __future__ import annotations

from typing import Any

import pytest
from looked import LENGTHS, STARTS, click, one, reload, stands_on, until


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


def test_a_note_is_kept_and_saved_with_its_shot_and_frame(opened: Any) -> None:
    click(opened, "#shots tbody button", 3)
    for _ in range(3):
        click(opened, '[data-step="1"]')
    one(opened, "#note").send_keys("The <boat> is too low & slow.")
    click(opened, "#note-form button")
    reload(opened)
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
    reload(opened)
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
    assert reached[:3] == ["To the film", "To the notes", "To the shot list"]
    assert "Play" in reached
    assert "Next shot" in reached
