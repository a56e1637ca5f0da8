"""Pages that answer, in a real browser, with the real model behind them in its own process."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from opened_pages import Opened, Scheme
from playwright.sync_api import Browser, Page, expect
from served_pages import Served, serving
from test_forecast_page import SMALLEST_LETTERS, broken_rules
from test_served_pages import LEAST_LETTER_PX, SMALL_TARGETS, windows_of

PATIENCE_MS = 240_000  # a shared machine with nothing compiled
TRIP = "bring-home?species=Danio+rerio&count=6&hours=3&water=1&gas-l=2&gas=air&ph=7.1&gh=4"


@dataclass(frozen=True)
class AskedTank:
    """A server, and the path of its one tank."""

    served: Served
    path: str

    def visit(self, chromium: Browser, width: int, scheme: Scheme, **more: object) -> Opened:
        return self.served.visit(chromium, width, scheme, **more)

    def at(self, page: str) -> str:
        return f"{self.served.address}{self.path}/{page}"


@pytest.fixture(scope="module")
def tank(tmp_path_factory: pytest.TempPathFactory) -> Iterator[AskedTank]:
    """A young tank with animals, meals and changes; a process that answers begins when asked."""
    from watervane.app import Line, add_tank, record
    from watervane.bootstrap import real_ports
    from watervane.records import Person

    folder: Path = tmp_path_factory.mktemp("asked")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WATERVANE_JOURNAL", str(folder / "journal.sqlite"))
        ports, me = real_ports(), Person()
        filled = ports.journal.now() - timedelta(days=5)
        words = (f"filled={filled.date()}", "volume=57 L", "heater.set_point=25 degC")
        key = add_tank(me, ports, name="Study", words=words).receipt.tank
        for line in (
            Line("animals-in", ("6", "Danio rerio", "length=4 cm"), filled + timedelta(days=1)),
            Line("feed", ("mass=0.1 g", "every=1 d"), filled + timedelta(days=1)),
            Line("water-change", ("25 %", "every=7 d"), filled + timedelta(days=3)),
        ):
            record(me, "Study", line, ports)
    with serving(folder) as served:
        yield AskedTank(served, f"/tank/{key}")


def at_rest(page: Page) -> None:
    page.locator("[data-waiting]").wait_for(state="detached", timeout=PATIENCE_MS)
    if page.locator("form[data-plan]").count():
        page.locator(".living svg .mark-area path").first.wait_for(timeout=PATIENCE_MS)
        page.locator('[data-told="rest"] p').first.wait_for()
        expect(page.locator("[data-told][aria-busy]")).to_have_count(0, timeout=PATIENCE_MS)


@windows_of((1440, "dark"))
def test_pages_that_answer_are_right_at_any_width_by_day_and_by_night(
    chromium: Browser, tank: AskedTank, width: int, scheme: Scheme
) -> None:
    told = tank.visit(chromium, width, scheme)
    page = told.page
    plan = "rehearsal?food=150&change=40&every=3&what-1=power-cut&size-1=12&day-1=4"
    for path in (plan, "limits", "limits?every=1", "bring-home", TRIP, "ask/headroom", "ask/ways"):
        page.goto(tank.at(path))
        at_rest(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path
        assert page.evaluate(SMALLEST_LETTERS) >= LEAST_LETTER_PX, path
        assert page.evaluate(SMALL_TARGETS) == [], path
        assert page.locator("h1").count() == 1, path
        assert broken_rules(page) == [], path
        assert told.complaints == [], path
    hosts = {urlsplit(each).netloc for each in told.requests if not each.startswith("data:")}
    assert hosts == {urlsplit(tank.served.address).netloc}
    page.context.close()


@pytest.mark.slow
def test_a_slider_moves_the_living_view_and_never_rebuilds_it(
    chromium: Browser, tank: AskedTank
) -> None:
    told = tank.visit(chromium, 1440, "light")
    page = told.page
    page.goto(tank.at("rehearsal"))
    at_rest(page)
    page.evaluate("document.querySelector('.living svg').neverRebuilt = true")
    line = page.locator(".living svg .mark-line path").last
    before = page.locator('[data-told="first"]').inner_text()
    slider = page.get_by_role("slider", name="Food, of what is planned")
    slider.focus()
    for _ in range(12):  # by keyboard, quicker than answers come: the newest wins
        page.keyboard.press("ArrowRight")
    first = page.locator('[data-told="first"]')
    expect(first).to_contain_text("160 % of the planned food", timeout=PATIENCE_MS)
    assert before != first.inner_text()
    assert page.evaluate("document.querySelector('.living svg').neverRebuilt")
    assert page.locator("#food").input_value() == "160"
    assert "food=160" in page.url
    assert line.count() == 1
    page.get_by_label("What happens").first.select_option("food-spilt")
    assert page.locator("#size-1").input_value() == "20"
    expect(first).to_contain_text("20 g of food fall in", timeout=PATIENCE_MS)
    assert broken_rules(page) == []
    page.locator("#size-1").fill("lots")
    expect(first).to_contain_text("'lots' is not a number", timeout=PATIENCE_MS)
    assert page.locator("#size-1").get_attribute("aria-invalid") == "true"
    page.locator("#size-1").fill("5")
    expect(first).to_contain_text("5 g of food fall in", timeout=PATIENCE_MS)
    page.set_viewport_size({"width": 500, "height": 800})
    page.wait_for_function("document.querySelector('.living svg').clientWidth <= 500")
    assert told.complaints == []
    page.reload()
    at_rest(page)
    expect(first).to_contain_text("5 g of food fall in")
    page.context.close()


def test_without_scripts_the_form_is_sent_and_comes_back_with_its_answer(
    chromium: Browser, tank: AskedTank
) -> None:
    page = tank.visit(chromium, 360, "dark", java_script_enabled=False).page
    page.goto(tank.at("rehearsal"))
    page.locator("#food").fill("50")
    page.get_by_label("Change water as planned").uncheck()
    page.locator("#change").fill("50")
    page.get_by_role("button", name="Rehearse it").click()
    end = time.monotonic() + PATIENCE_MS / 1000
    while not page.locator('[data-told="rest"] p').count() and time.monotonic() < end:
        page.wait_for_timeout(500)  # the page looks again by itself
    words = page.locator('[data-told="first"]').inner_text()
    assert "50 % of the planned food" in words.replace("\N{NO-BREAK SPACE}", " ")
    assert "50 % of the water" in words.replace("\N{NO-BREAK SPACE}", " ")
    drawing = page.locator("figure.chart img")
    assert drawing.evaluate("each => each.decode().then(() => each.naturalWidth)") > 200
    page.locator("#food").fill("a lot")
    page.get_by_role("button", name="Rehearse it").click()
    assert page.locator("#food").input_value() == "a lot"
    assert page.locator("#change").input_value() == "50"
    assert "is not a number" in page.locator("#food-wrong").inner_text()
    page.context.close()
