"""The catalogue of animals in a real browser: at any width, by day, by night, without scripts."""

from __future__ import annotations

from collections.abc import Iterator
from urllib.parse import urlsplit

import pytest
from opened_pages import Scheme
from playwright.sync_api import Browser, expect
from served_pages import Served, serving
from test_forecast_page import SMALLEST_LETTERS, broken_rules
from test_served_pages import LEAST_LETTER_PX, SMALL_TARGETS, windows_of

ASKED = ("animals", "animals?gh=12&ph=7.4&kh=6", "animals?name=clown+loach")
REFUSED = ("animals?name=zebra+fsh", "animals?ph=soft")


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with serving(tmp_path_factory.mktemp("looked-up")) as found:
        yield found


@windows_of()
def test_the_catalogue_is_right_at_any_width_by_day_and_by_night(
    chromium: Browser, served: Served, width: int, scheme: Scheme
) -> None:
    told = served.visit(chromium, width, scheme)
    page = told.page
    for path in (*ASKED, *REFUSED):
        page.goto(f"{served.address}/{path}")
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path
        assert page.evaluate(SMALLEST_LETTERS) >= LEAST_LETTER_PX, path
        assert page.evaluate(SMALL_TARGETS) == [], path
        assert page.locator("h1").count() == 1, path
        assert broken_rules(page) == [], path
        if path in ASKED:  # a page that is refused is told as such by the browser
            assert told.complaints == [], path
    hosts = {urlsplit(each).netloc for each in told.requests if not each.startswith("data:")}
    assert hosts == {urlsplit(served.address).netloc}
    page.context.close()


def test_without_scripts_a_mistyped_name_leads_to_its_animal(
    chromium: Browser, served: Served
) -> None:
    told = served.visit(chromium, 360, "light", java_script_enabled=False)
    page = told.page
    page.goto(f"{served.address}/animals")
    page.get_by_label("Scientific or common name").fill("zebra fsh")
    page.get_by_role("button", name="Look it up").click()
    page.get_by_role("link", name="zebrafish").first.click()
    expect(page.locator("h1")).to_contain_text("Danio rerio")
    page.context.close()
