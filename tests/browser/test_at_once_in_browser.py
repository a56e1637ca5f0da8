"""Set up a tank, record what alarms, and read what to do: nobody waits for a forecast."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest
from opened_pages import Opened
from playwright.sync_api import Browser, expect
from served_pages import Served, serving
from test_forecast_page import broken_rules


@pytest.fixture(scope="module")
def alone(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A keeper without a tank; a job that was asked for is never taken, so no forecast comes."""
    with serving(tmp_path_factory.mktemp("at-once")) as found:
        yield found


@pytest.fixture
def phone(chromium: Browser, alone: Served) -> Iterator[Opened]:
    found = alone.visit(chromium, 360, "light", service_workers="block")
    yield found
    found.page.context.close()


def test_what_to_do_comes_with_the_answer_that_the_reading_is_kept(
    phone: Opened, alone: Served
) -> None:
    page = phone.page
    page.goto(f"{alone.address}/new")
    page.get_by_label("What do you call it?").fill("Sill")
    page.get_by_label("How large is it?").fill("60 L")
    page.locator("[name=filled]").fill(str(datetime.now(UTC).date() - timedelta(days=8)))
    page.locator("[name=species-1]").fill("zebra danio")
    page.locator("[name=count-1]").fill("6")
    page.get_by_role("button", name="Set it up").click()
    page.wait_for_url("**/tank/**")
    tank = page.url.partition("?")[0].partition("#")[0]
    for read in ({"ammonia": "4", "ph": "8.1"}, {"temperature": "34"}):
        page.goto(f"{tank}/record/readings")
        for name, value in read.items():
            page.locator(f"[name={name}]").fill(value)
        with page.expect_response(lambda each: "kept=" in each.url and each.ok) as answer:
            page.get_by_role("button", name="Keep", exact=True).click()
        page.wait_for_url("**kept=*")
        told = f"You read {next(iter(read))}"
        assert told in answer.value.text(), "in the page as it came, before anything follows"
        expect(page.locator("section[data-live='wrong-now']")).to_contain_text(told)
    now = page.locator("section[data-live='wrong-now']")
    expect(now).to_contain_text("Within the hour")
    expect(now).to_contain_text("A forecast of this tank")
    steps = page.locator("section[data-live='do-today'] .steps > li")
    expect(steps.first).to_contain_text("Act as if it were right: change about")
    expect(steps).to_have_count(2)
    steps.first.get_by_role("button", name="Done").click()
    expect(page.locator("#kept")).to_contain_text("water change")
    assert broken_rules(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert not [each for each in phone.complaints if "Service Worker" not in each]
