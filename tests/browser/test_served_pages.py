"""The pages in a real browser: every page, narrow to wide, by day and by night."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from opened_pages import Opened, Scheme
from playwright.sync_api import Browser, Page, expect
from served_pages import Served
from test_forecast_page import SMALLEST_LETTERS, broken_rules

sys.path.insert(0, str(Path(__file__).parents[1] / "web"))

WIDTHS = (360, 768, 1440)
SCHEMES: tuple[Scheme, ...] = ("light", "dark")
USUAL: tuple[tuple[int, Scheme], ...] = (
    (360, "light"),
    (1440, "dark"),
)  # the others take long, and differ least from these


def windows_of(*usual: tuple[int, Scheme]) -> pytest.MarkDecorator:
    """All windows, of which these are no slow ones."""
    return pytest.mark.parametrize(
        ("width", "scheme"),
        [
            pytest.param(width, scheme, marks=() if (width, scheme) in usual else pytest.mark.slow)
            for width in WIDTHS
            for scheme in SCHEMES
        ],
    )


windows = windows_of(*USUAL)
LEAST_LETTER_PX = 11
LEAST_TARGET_PX = 24  # WCAG 2.2, success criterion 2.5.8
Visit = Callable[[int, Scheme], Opened]
SMALL_TARGETS = """() => [...document.querySelectorAll("a, button, input, select, summary")]
  .filter(each => each.type !== "hidden" && !each.closest("p:not(.trail), li:not(.entries li)"))
  .map(each => [each.outerHTML.slice(0, 80), (each.closest("label") ?? each)
    .getBoundingClientRect()])
  .filter(([, box]) => box.width && box.top >= 0 && (box.height < 24 || box.width < 24))
  .map(([told]) => told)"""


def pages(page: Page, address: str) -> Iterator[str]:
    """Every page, one after the other, at rest."""
    page.goto(f"{address}/")
    tanks = {
        link.inner_text(): link.get_attribute("href") for link in page.locator(".rounds h2 a").all()
    }
    study, cellar = tanks["Study"], tanks["Cellar"]
    kinds = (
        "readings",
        "week",
        "feed",
        "change",
        "animals",
        "dose",
        "seed",
        "clean",
        "outage",
        "note",
    )
    paths = ["/", study, cellar, f"{study}/log", "/record", f"{study}/record", "/new",
             "/settings", f"{study}/settings", f"{study}/put-away", "/nowhere",
             "/first-aid?see=marks", "/trouble", f"{study}/trouble?see=gasping&ph=7.2",
             *(f"{study}/record/{kind}" for kind in kinds)]  # fmt: skip
    for path in paths:
        page.goto(address + str(path))
        page.wait_for_load_state("load")
        if page.locator("figure[data-drawing]").count():
            page.locator(".living svg .mark-area path").first.wait_for()
        yield str(path)


@windows_of((360, "light"))
def test_every_page_is_right_at_any_width_by_day_and_by_night(
    visit: Visit, served: Served, width: int, scheme: Scheme
) -> None:
    told = visit(width, scheme)
    page = told.page
    for path in pages(page, served.address):
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path
        assert page.evaluate(SMALLEST_LETTERS) >= LEAST_LETTER_PX, path
        assert page.evaluate(SMALL_TARGETS) == [], path
        assert page.locator("h1").count() == 1, path
        assert broken_rules(page) == [], path
        lost = path == "/nowhere"
        assert [each for each in told.complaints if not (lost and "404" in each)] == [], path
        told.complaints.clear()
    hosts = {urlsplit(each).netloc for each in told.requests if not each.startswith("data:")}
    assert hosts == {urlsplit(served.address).netloc}


def test_a_form_that_came_back_breaks_no_rule_either(visit: Visit, served: Served) -> None:
    page = visit(360, "light").page
    page.goto(f"{served.address}/new")
    page.get_by_label("How large is it?").fill("huge")
    page.get_by_role("button", name="Set it up").click()
    expect(page.locator("#problems")).to_be_focused()
    expect(page.get_by_label("How large is it?")).to_have_value("huge")
    assert "Not kept yet" in page.title()
    assert broken_rules(page) == []


def test_a_tank_is_set_up_and_a_reading_kept_and_undone_by_keyboard_alone(
    chromium: Browser, served: Served
) -> None:
    told = served.visit(chromium, 768, "light")
    page = told.page

    def tab_to(label: str) -> None:
        for _ in range(80):
            page.keyboard.press("Tab")
            name = page.evaluate(
                "() => { const e = document.activeElement; const l = e.labels?.[0]?.innerText;"
                " return (l ?? e.innerText ?? '').trim(); }"
            )
            if name.startswith(label):
                assert (
                    page.evaluate("getComputedStyle(document.activeElement).outlineStyle") != "none"
                )
                return
        pytest.fail(f"no way to {label}")

    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    tab_to("New tank")
    page.keyboard.press("Enter")
    page.wait_for_url("**/new")
    tab_to("What do you call it?")
    page.keyboard.type("By keys")
    tab_to("How large is it?")
    page.keyboard.type("40 L")
    tab_to("If you do not know the day")
    page.keyboard.type("some w")
    tab_to("Set it up")
    page.keyboard.press("Enter")
    page.wait_for_url("**/tank/*")
    tab_to("Record")
    tab_to("Record")
    page.keyboard.press("Enter")
    page.wait_for_url("**/record")
    tab_to("Test readings")
    page.keyboard.press("Enter")
    page.wait_for_url("**/readings")
    tab_to("pH")
    page.keyboard.type("7.4")
    tab_to("Keep")
    page.keyboard.press("Enter")
    page.wait_for_url("**kept=*")
    assert "pH 7.4" in page.locator("#kept").inner_text()
    tab_to("Undo: pH 7.4")
    page.keyboard.press("Enter")
    page.wait_for_url("**undone=*")
    assert "pH 7.4" not in page.locator("#recorded ~ .answer").inner_text()
    page.context.close()


@windows
def test_looks_inside_a_tank_are_drawn_to_the_window(
    visit: Visit, served: Served, width: int, scheme: Scheme
) -> None:
    page = visit(width, scheme).page
    page.goto(f"{served.address}/")
    page.get_by_role("link", name="Study").first.click()
    for name in ("nitrogen", "colonies"):
        drawing = page.locator(f"section[aria-labelledby={name}] img")
        drawing.scroll_into_view_if_needed()
        expect(drawing).to_have_js_property("complete", True)
        shown = drawing.evaluate("each => [each.naturalWidth, each.currentSrc]")
        assert shown[0] == pytest.approx(310 if width < 640 else 730, abs=25)
        assert f"look={scheme}" in shown[1]
        assert drawing.bounding_box()["width"] <= width


def test_without_scripts_every_page_works(chromium: Browser, served: Served) -> None:
    told = served.visit(chromium, 360, "dark", java_script_enabled=False)
    page = told.page
    page.locator(".rounds h2 a", has_text="Study").click()
    drawing = page.locator("figure.chart img").first
    assert drawing.evaluate("each => each.decode().then(() => each.naturalWidth)") > 200
    assert "dark" in drawing.evaluate("each => each.currentSrc")
    assert "narrow" in drawing.evaluate("each => each.currentSrc")
    page.locator(".title .button").click()
    page.get_by_role("button", name="A usual week").click()
    assert "usual week" in page.locator("#kept").inner_text()
    page.context.close()


def test_a_look_that_was_chosen_outlasts_what_the_device_says(
    chromium: Browser, served: Served
) -> None:
    told = served.visit(chromium, 768, "light")
    page = told.page

    def paper() -> str:
        return str(page.evaluate("getComputedStyle(document.body).backgroundColor"))

    page.goto(f"{served.address}/settings")
    day = paper()
    page.get_by_label("Dark", exact=True).check()
    with page.expect_navigation():
        page.get_by_role("button", name="Keep").first.click()
    assert paper() != day
    page.emulate_media(media="print")
    assert paper() == "rgb(255, 255, 255)"
    page.context.close()


@pytest.mark.slow
def test_at_four_hundred_per_cent_nothing_is_cut_off(chromium: Browser, served: Served) -> None:
    """WCAG 2.2, success criterion 1.4.10: 1280 px at 400 % are 320."""
    told = served.visit(chromium, 320, "light")
    for path in pages(told.page, served.address):
        assert told.page.evaluate("document.documentElement.scrollWidth") <= 320, path
    told.page.context.close()


def test_another_browser_without_the_token_sees_nothing(chromium: Browser, served: Served) -> None:
    context = chromium.new_context()
    page = context.new_page()
    answer = page.goto(f"{served.address}/")
    assert answer is not None
    assert answer.status == 403
    assert "Study" not in page.content()
    context.close()


def test_what_a_worker_finds_out_takes_its_place_by_itself(
    chromium: Browser, served: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    from fake_ports import FakePorts
    from web_club import calm_day, computed

    from watervane.app import Line, record
    from watervane.records import Person

    monkeypatch.setenv("WATERVANE_JOURNAL", str(served.folder / "journal.sqlite"))
    told = served.visit(chromium, 768, "light")
    page = told.page
    page.locator(".rounds h2 a", has_text="Hall").click()
    lead = page.locator("#wrong-now + .answer .lead")
    assert "Nothing measured" not in lead.inner_text()
    page.locator("summary", has_text="The dates").click()
    page.evaluate("window.neverReloaded = true")
    fresh = served.visit(chromium, 360, "dark").page  # of a tank of which nothing is known yet
    fresh.locator(".rounds h2 a", has_text="Cellar").click()
    page.wait_for_timeout(2500)  # so that the stream has told how things stood
    fake = FakePorts()
    record(Person(), "Hall", Line("reading", ("nitrite", "0.1 mg/L")), fake.ports())
    names = ("Study", "Hall", "Cellar", "By keys")
    computed(fake, dict.fromkeys(names, calm_day()))
    expect(lead).to_contain_text("Nothing measured")
    assert page.evaluate("window.neverReloaded")
    assert page.locator("details[open] > summary", has_text="The dates").count() == 1
    page.locator(".living svg .mark-area path").first.wait_for()
    assert told.complaints == []
    fresh.locator(".living svg .mark-area path").first.wait_for()
    fresh.context.close()
    page.context.close()
