"""The days of a drawn forecast: moved along and drawn closer, by keys, pointer, finger, buttons."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from opened_pages import Opened
from playwright.sync_api import Browser, Page, expect
from served_pages import Served
from test_forecast_page import broken_rules

# What would be another object if the drawing were made anew.
KEPT = """() => {
  const svg = document.querySelector(".living svg");
  return svg === (window.firstDrawn ??= svg);
}"""
DAYS = """() => [...document.querySelectorAll(".living svg .role-axis-label text")]
  .map(each => each.textContent).filter(each => / [A-Z]/.test(each)).sort()"""
PLOT = """() => { const box = document.querySelector(".living svg .role-scope .background")
  .getBoundingClientRect(); return [box.left, box.top, box.width]; }"""
CHOSEN = """() => [...document.querySelectorAll(".living svg line[stroke-dasharray='1,3']")]
  .map(each => each.getBoundingClientRect().left)"""


@pytest.fixture(scope="module")
def window(chromium: Browser, served: Served) -> Iterator[Opened]:
    """One window for all tests, at the tank."""
    told = served.visit(chromium, 360, "light", has_touch=True)
    told.page.get_by_role("link", name="Study").first.click()
    told.page.wait_for_url("**/tank/*")
    yield told
    told.page.context.close()


@pytest.fixture
def drawn(window: Opened) -> Iterator[Opened]:
    """The tank's page made anew, and nothing remembered of the test before."""
    page = window.page
    page.evaluate("() => { localStorage.clear(); sessionStorage.clear(); }")
    page.set_viewport_size({"width": 360, "height": 900})
    page.mouse.move(0, 0)
    page.goto(page.url.partition("#")[0].partition("?")[0])
    opened(page)
    yield window
    assert window.complaints == []
    assert page.evaluate(KEPT)


def opened(page: Page) -> None:
    page.locator(".living svg .mark-area path").first.wait_for()
    page.locator("[data-days] .told strong", has_text=":").wait_for()
    page.evaluate(KEPT)


def until(page: Page, told: str, wanted: Callable[[Any], bool]) -> None:
    """Waits for what a script tells; the page's policy forbids the usual way."""
    for _ in range(100):
        if wanted(page.evaluate(told)):
            return
        page.wait_for_timeout(50)
    pytest.fail(f"never told as wanted: {told}")


def line(page: Page) -> str:
    return page.locator("[data-days] .told").inner_text()


def test_arrow_keys_tell_the_days_one_by_one(drawn: Opened) -> None:
    page = drawn.page
    slider = page.get_by_role("slider", name="Day")
    slider.focus()
    page.keyboard.press("Home")
    first = line(page)
    page.keyboard.press("ArrowRight")
    assert line(page) != first
    assert "ammonia" in line(page)
    heard = slider.get_attribute("aria-valuetext")
    assert heard is not None
    assert heard.replace(". ", ": ", 1).split() == line(page).split()
    page.keyboard.press("ArrowLeft")
    assert line(page) == first
    page.keyboard.press("End")
    told = json.loads(page.evaluate(
        "fetch(document.querySelector('[data-drawing]').dataset.drawing).then(each => each.text())"
    ))["days"]["days"]  # fmt: skip
    assert line(page).startswith(told[-1]["date"])


def test_pointer_and_finger_tell_the_day_they_are_at(drawn: Opened) -> None:
    page = drawn.page
    page.locator(".living").scroll_into_view_if_needed()
    left, top, width = page.evaluate(PLOT)
    page.mouse.move(left + 0.1 * width, top + 20)
    early = line(page)
    page.mouse.move(left + 0.9 * width, top + 20)
    late = line(page)
    assert early != late
    page.touchscreen.tap(left + 0.1 * width, top + 20)
    assert line(page) == early
    page.mouse.move(left + 0.5 * width, top + 20)
    until(page, CHOSEN, lambda lines: len(lines) == 5)
    day = width / int(page.locator("#day").get_attribute("max") or 0)
    for x in page.evaluate(CHOSEN):
        assert x == pytest.approx(left + 0.5 * width, abs=day)
    knob = page.locator("#day").evaluate(
        "each => { const box = each.getBoundingClientRect(), knob = 1.5 * parseFloat("
        "getComputedStyle(document.documentElement).fontSize);"
        "return box.left + knob / 2 + (each.value - each.min) / (each.max - each.min)"
        " * (box.width - knob); }"
    )
    assert knob == pytest.approx(page.evaluate(CHOSEN)[0], abs=2)


def test_the_drawing_goes_closer_and_back_and_is_never_made_anew(drawn: Opened) -> None:
    page = drawn.page
    whole = page.evaluate(DAYS)
    ahead = page.get_by_role("button", name="Next two weeks")
    ahead.focus()
    page.keyboard.press("Enter")
    expect(ahead).to_have_attribute("aria-pressed", "true")
    expect(page.get_by_role("button", name="All")).to_have_attribute("aria-pressed", "false")
    until(page, DAYS, lambda days: days != whole)
    near = page.evaluate(DAYS)
    told = page.locator("[data-drawn]")
    expect(told).to_contain_text("Drawn from")
    expect(told).to_have_attribute("role", "status")
    page.get_by_role("button", name="Closer").click()
    until(page, DAYS, lambda days: days != near)
    page.get_by_role("button", name="Wider").click()
    page.get_by_role("button", name="All").click()
    until(page, DAYS, lambda days: days == whole)


def test_days_are_chosen_by_their_dates_and_wrong_ones_change_nothing(drawn: Opened) -> None:
    page = drawn.page
    page.get_by_text("Choose the days").click()
    first = page.get_by_label("From", exact=True).input_value()
    last = page.get_by_label("To", exact=True).input_value()
    page.get_by_label("From", exact=True).fill(last)
    page.get_by_label("To", exact=True).fill(first)
    expect(page.locator("[data-wrong]")).to_be_visible()
    expect(page.get_by_label("From", exact=True)).to_have_attribute("aria-invalid", "true")
    assert page.get_by_label("From", exact=True).input_value() == last
    page.get_by_label("From", exact=True).fill(first)
    page.get_by_label("To", exact=True).fill(last)
    expect(page.locator("[data-wrong]")).to_be_hidden()
    assert broken_rules(page) == []


def test_a_day_and_its_stretch_outlast_another_width(drawn: Opened) -> None:
    page = drawn.page
    page.get_by_role("button", name="Next two weeks").click()
    page.locator("#day").focus()
    page.keyboard.press("End")
    before = line(page)
    days = page.evaluate(DAYS)
    page.set_viewport_size({"width": 900, "height": 900})
    until(page, "document.querySelector('.living svg').clientWidth", lambda width: width > 500)
    page.wait_for_timeout(300)
    assert line(page) == before
    assert set(days) <= set(page.evaluate(DAYS))
    page.evaluate("delete window.firstDrawn")  # a window of another width has its drawing anew


def test_without_scripts_nothing_stands_there_that_does_nothing(
    chromium: Browser, served: Served
) -> None:
    told = served.visit(chromium, 360, "light", java_script_enabled=False)
    told.page.get_by_role("link", name="Study").first.click()
    expect(told.page.locator("[data-days]")).to_be_hidden()
    expect(told.page.locator("figure.chart img").first).to_be_visible()
    assert told.page.locator("table").count() >= 2
    told.page.context.close()
