"""A page for looking, and a real browser that opens it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from looked import clear, make_page, open_page

BROWSER = shutil.which("chromium") or shutil.which("google-chrome")
DRIVER = shutil.which("chromedriver")


@pytest.fixture(scope="session")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_page(tmp_path_factory.mktemp("film"))


@pytest.fixture(scope="session")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    webdriver = pytest.importorskip("selenium.webdriver", reason="selenium is not installed")
    if BROWSER is None or DRIVER is None:
        pytest.skip("Chromium and its driver are not installed")
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
def opened(page: Path, browser: Any) -> Iterator[Any]:
    """The page in a browser that has kept nothing yet."""
    first = browser.current_window_handle
    clear(browser, page)
    open_page(browser, page)
    yield browser
    for window in browser.window_handles:
        browser.switch_to.window(window)
        if window != first:
            browser.close()
    browser.switch_to.window(first)
