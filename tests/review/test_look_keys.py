"""The keys of the page for looking: after clicks of a mouse, after Tab, and in text fields."""

from __future__ import annotations

from typing import Any

import pytest
from looked import STARTS, click, one, stands_on, until

keys = pytest.importorskip("selenium.webdriver.common.keys").Keys
chains = pytest.importorskip("selenium.webdriver.common.action_chains")


def press(browser: Any, *pressed: str) -> None:
    """Press keys on whatever has the focus, as a keyboard does."""
    chains.ActionChains(browser).send_keys(*pressed).perform()


def press_shift(browser: Any, pressed: str) -> None:
    chain = chains.ActionChains(browser)
    chain.key_down(keys.SHIFT).send_keys(pressed).key_up(keys.SHIFT).perform()


def is_paused(browser: Any) -> bool:
    return bool(browser.execute_script("return document.getElementById('video').paused"))


def tab_to(browser: Any, css: str, index: int = 0) -> None:
    """Reach an element by Tab, from the one before it."""
    wanted = browser.find_elements("css selector", css)[index]
    browser.execute_script(
        """
        const reached = "a, input, button:enabled, textarea, summary, .wide";
        const all = [...document.querySelectorAll(reached)];
        all[all.indexOf(arguments[0]) - 1].focus();
        """,
        wanted,
    )
    press(browser, keys.TAB)
    assert browser.switch_to.active_element == wanted


def test_keys_step_and_leave_text_fields_alone(opened: Any) -> None:
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


@pytest.fixture
def noted(opened: Any) -> Any:
    """The page with a note on shot 20; that 10, 20 and 50 leave half a pose is found as well."""
    click(opened, "#strip button", 1)
    one(opened, "#note").send_keys("too quick")
    click(opened, "#note-form button")
    click(opened, "#strip button", 0)
    return opened


# What is clicked, and the shot that the film is then on.
CLICKED = [
    ("#shots tbody button", 2, 3),
    ("#shots tbody td", 4, 1),
    ("#shots h2", 0, 1),
    ("#strip button", 3, 4),
    ("#note-list button", 0, 2),
    ("#note-list p", 0, 1),
    ("#findings button", 1, 2),
    ("#findings li", 0, 1),
    ("#pace", 0, 1),
    ("h1", 0, 1),
    ("#sound", 0, 1),
    ("#video", 0, 1),
]


@pytest.mark.parametrize(("css", "index", "shot"), CLICKED)
def test_the_keys_are_the_films_after_a_click(noted: Any, css: str, index: int, shot: int) -> None:
    click(noted, css, index)
    start = STARTS[shot - 1]
    stands_on(noted, shot, start)
    press(noted, keys.ARROW_RIGHT, keys.ARROW_RIGHT)
    stands_on(noted, shot, start + 2)
    press(noted, keys.ARROW_LEFT)
    stands_on(noted, shot, start + 1)
    press_shift(noted, keys.ARROW_RIGHT)
    assert one(noted, "#frame").text == str(start + 25)
    press(noted, " ")
    until(lambda: not is_paused(noted))
    until(lambda: int(one(noted, "#frame").text) > start + 27)
    press(noted, " ")
    until(lambda: is_paused(noted))
    assert one(noted, "#note").get_attribute("value") == ""


def test_after_a_note_is_kept_by_a_click_the_keys_are_the_films(opened: Any) -> None:
    one(opened, "#note").send_keys("a  b")
    click(opened, "#note-form button")
    press(opened, keys.ARROW_RIGHT)
    stands_on(opened, 1, 1)
    press(opened, " ")
    until(lambda: not is_paused(opened))
    assert one(opened, "#note").get_attribute("value") == ""


def test_after_a_note_is_removed_by_a_click_the_keys_are_the_films(noted: Any) -> None:
    click(noted, "#note-list li button", 1)
    press(noted, keys.ARROW_RIGHT)
    stands_on(noted, 1, 1)
    press(noted, " ")
    until(lambda: not is_paused(noted))
    assert one(noted, "#note").get_attribute("value") == ""


def test_up_and_down_go_by_shots_after_a_click_in_the_film(opened: Any) -> None:
    for css in ("#strip button", '[data-step="1"]', "#slider", "#where"):
        click(opened, "#strip button", 0)
        click(opened, css)
        at = max(n for n, start in enumerate(STARTS) if start <= int(one(opened, "#frame").text))
        press(opened, keys.ARROW_DOWN)
        stands_on(opened, at + 2, STARTS[at + 1])
        press(opened, keys.ARROW_UP)
        stands_on(opened, at + 1, STARTS[at])


@pytest.mark.parametrize("key", [" ", keys.ENTER])
@pytest.mark.parametrize(
    ("css", "index", "frame"),
    [
        ("#shots tbody button", 2, 26),
        ("#strip button", 3, 56),
        ("#findings button", 1, 17),
        ("#note-list button", 0, 17),
        ('[data-shot="1"]', 0, 17),
        ('[data-second="1"]', 0, 24),
    ],
)
def test_a_button_reached_by_tab_is_pressed(
    noted: Any, css: str, index: int, frame: int, key: str
) -> None:
    tab_to(noted, css, index)
    press(noted, key)
    assert one(noted, "#frame").text == str(frame)
    assert is_paused(noted)
    press(noted, keys.ARROW_RIGHT)
    assert one(noted, "#frame").text == str(frame + 1)


def test_the_space_that_plays_presses_nothing_when_it_is_let_go(opened: Any) -> None:
    # Browsers differ in which of the two events presses a button, so both are looked at.
    let_go = """
        const on = document.activeElement;
        const send = (kind) => on.dispatchEvent(
            new KeyboardEvent(kind, {key: " ", bubbles: true, cancelable: true}));
        return [send("keydown"), send("keyup")];
    """
    click(opened, "#sound")
    assert opened.execute_script(let_go) == [False, False]
    assert opened.execute_script(let_go) == [False, False]
    tab_to(opened, "#sound")
    assert opened.execute_script(let_go) == [True, True]


def test_a_button_clicked_and_then_reached_by_tab_is_pressed(opened: Any) -> None:
    click(opened, '[data-shot="-1"]')
    press(opened, keys.TAB)
    press(opened, " ")
    stands_on(opened, 2, 17)
    press(opened, keys.TAB)
    press(opened, " ")
    assert one(opened, "#sound").get_attribute("aria-pressed") == "false"
    assert is_paused(opened)
    press(opened, " ")
    assert one(opened, "#sound").get_attribute("aria-pressed") == "true"


def test_the_slider_and_the_list_reached_by_tab_keep_their_arrows(opened: Any) -> None:
    tab_to(opened, "#slider")
    press(opened, keys.ARROW_UP, keys.ARROW_UP, keys.ARROW_RIGHT)
    stands_on(opened, 1, 3)
    tab_to(opened, ".wide")
    press(opened, keys.ARROW_RIGHT, " ")
    stands_on(opened, 1, 3)
    assert is_paused(opened)


def test_typing_a_note_is_never_taken_for_keys(opened: Any) -> None:
    click(opened, "#shots tbody button", 2)
    click(opened, "#note")
    press(opened, "a b", keys.ARROW_LEFT, keys.ARROW_LEFT, "c ", keys.ARROW_UP, keys.ARROW_DOWN)
    press_shift(opened, keys.ARROW_LEFT)
    assert one(opened, "#note").get_attribute("value") == "ac  b"
    stands_on(opened, 3, 26)
    assert is_paused(opened)


def test_how_notes_are_kept_is_opened_by_space(opened: Any) -> None:
    tab_to(opened, "summary")
    press(opened, keys.SPACE)
    assert one(opened, "details").get_attribute("open")
    assert is_paused(opened)
