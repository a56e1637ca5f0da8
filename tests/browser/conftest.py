"""One real browser and one page for all tests of it."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from opened_pages import Opened, Scheme, browser_program, opened_page
from playwright.sync_api import Browser, sync_playwright

sys.path.insert(0, str(Path(__file__).parents[1] / "cli"))


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    program = browser_program()
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page of an invented forecast: no model is run for it."""
    from sample_forecasts import sample_forecast, sample_tank

    from watervane.app.pictures import picture_of
    from watervane.charts import write_picture

    path = tmp_path_factory.mktemp("pages") / "forecast.html"
    write_picture(picture_of(sample_forecast(), sample_tank()), path)
    return path


@pytest.fixture(scope="session")
def opened(chromium: Browser, page_file: Path) -> Iterator[Callable[[int, Scheme], Opened]]:
    """The page at a width, by day or by night; each is opened once."""
    kept: dict[tuple[int, str], Opened] = {}

    def open_page(width: int, scheme: Scheme) -> Opened:
        if (width, scheme) not in kept:
            kept[width, scheme] = opened_page(chromium, page_file, width, scheme)
        return kept[width, scheme]

    yield open_page
    for each in kept.values():
        each.page.context.close()
