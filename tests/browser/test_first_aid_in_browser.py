"""First aid in a real browser: two touches for a stranger, kept offline, and as a file alone."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from opened_pages import NARROW, WIDE, Scheme, listened_to
from playwright.sync_api import Browser, expect
from served_pages import Served
from test_forecast_page import SMALLEST_LETTERS, broken_rules
from test_served_pages import LEAST_LETTER_PX, SMALL_TARGETS

sys.path.insert(0, str(Path(__file__).parents[1] / "cli"))

from fake_ports import FakePorts

from watervane.app.first_aid_page import write_page

windows = pytest.mark.parametrize(
    ("width", "scheme"),
    [(NARROW, "light"), pytest.param(WIDE, "dark", marks=pytest.mark.slow)],
)


@windows
def test_a_stranger_is_two_touches_from_the_first_step_without_scripts(
    chromium: Browser, served: Served, width: int, scheme: Scheme
) -> None:
    context = chromium.new_context(
        viewport={"width": width, "height": 800}, color_scheme=scheme, java_script_enabled=False
    )
    page = context.new_page()
    page.goto(f"{served.address}/first-aid")
    page.get_by_text("They gasp at the surface").first.click()
    page.locator(".aid details[open]").get_by_text("I do not know").click()
    expect(page.locator(".aid details[open] > ol > li").nth(1)).to_contain_text(
        "Move the surface, now."
    )

    expect(page.locator(".aid details[open] details[open] ol")).to_have_attribute("start", "6")
    context.close()


def test_an_answer_opened_at_the_foot_of_the_screen_comes_into_view(
    chromium: Browser, served: Served
) -> None:
    context = chromium.new_context(viewport={"width": 768, "height": 1024})
    page = context.new_page()
    page.goto(f"{served.address}/first-aid")
    page.get_by_text("They gasp at the surface").first.click()
    fold = page.locator(".aid details[open] > details").filter(has_text="No water was changed")
    fold.locator("summary").evaluate("each => each.scrollIntoView({block: 'end'})")
    fold.locator("summary").click()
    expect(fold.locator("ol > li").first).to_be_in_viewport(ratio=0.9)
    context.close()


@windows
def test_its_answers_are_right_at_any_width(
    chromium: Browser, served: Served, width: int, scheme: Scheme
) -> None:
    context = chromium.new_context(viewport={"width": width, "height": 800}, color_scheme=scheme)
    told = listened_to(context.new_page())
    for query in ("", "?see=gasping&done=none&ph=low", "?see=x&done=none&done=heat"):
        told.page.goto(f"{served.address}/first-aid{query}")
        for fold in told.page.locator(".aid > details > summary").all()[:1]:
            fold.click()
        assert told.page.evaluate("document.documentElement.scrollWidth") <= width, query
        assert told.page.evaluate(SMALLEST_LETTERS) >= LEAST_LETTER_PX, query
        assert told.page.evaluate(SMALL_TARGETS) == [], query
        assert broken_rules(told.page) == [], query
    refused = [each for each in told.complaints if "422" not in each]
    assert refused == []
    assert all(each.startswith(served.address) for each in told.requests)
    context.close()


def test_a_browser_that_was_let_in_keeps_it(chromium: Browser, served: Served) -> None:
    page = served.visit(chromium, NARROW, "light").page
    page.evaluate("navigator.serviceWorker.ready.then(() => undefined)")
    page.wait_for_function("async () => Boolean(await caches.match('/first-aid'))")
    page.context.set_offline(offline=True)
    page.goto(f"{served.address}/first-aid?see=gasping")
    page.get_by_text("They look as usual").first.click()
    page.locator(".aid details[open]").get_by_text("Much food fell in").click()
    steps = page.locator(".aid details[open] details[open] ol > li")
    expect(steps.first).to_contain_text("Out with what rots")
    page.context.close()


@windows
def test_the_file_works_by_itself(
    chromium: Browser, tmp_path: Path, width: int, scheme: Scheme
) -> None:
    file = tmp_path / "aid.html"
    write_page(file, FakePorts().ports())
    context = chromium.new_context(
        viewport={"width": width, "height": 800}, color_scheme=scheme, offline=True
    )
    told = listened_to(context.new_page())
    told.page.goto(file.as_uri())
    told.page.get_by_text("They look as usual").click()
    told.page.locator("details[open]").get_by_text("Tap water went in").click()
    steps = told.page.locator("details[open] details[open] ol > li")
    expect(steps.nth(1)).to_contain_text("Dose conditioner")
    assert told.page.evaluate("document.documentElement.scrollWidth") <= width
    assert broken_rules(told.page) == []
    assert told.complaints == []
    assert told.requests == [file.as_uri()]
    context.close()
