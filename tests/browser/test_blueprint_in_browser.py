"""The page that plans a tank, in a real browser: live, by keyboard, without scripts, on paper."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from opened_pages import Scheme
from playwright.sync_api import Browser, Page, expect
from served_pages import Served, serving
from test_forecast_page import SMALLEST_LETTERS, broken_rules
from test_served_pages import LEAST_LETTER_PX, SMALL_TARGETS, windows_of

ASKED = (
    "blueprint?name=Study&shape=rectangular&length=60&width=30&height=36&measured=outside&glass=6"
    "&bed=gravel&bed-front=3&bed-back=6&floor=timber&lies=across&tariff=0.30"
    "&species-1=Danio+rerio&count-1=10&kh=11&gh=15&nitrate=30&want-gh=4..8&want-kh=2..4"
    "&membrane=yes"
)
WATER = "source-water?kh=11&gh=15&nitrate=30&want-gh=4..8&want-kh=2..4&membrane=yes"
CHOOSE = (
    "blueprint/choose?length=100&width=40&height=50&kh=1&gh=6&change=30+L&warmest=26"
    "&species-1=neon+tetra&count-1=12&species-2=Corydoras+aeneus&species-3=guppy&species-4=goldfish"
)
UNFOLDED = "document.querySelectorAll('details').forEach(each => { each.open = true; })"
WRONG = "blueprint?length=60&width=30&height=36&water-depth=50&kh=soft"


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with serving(tmp_path_factory.mktemp("planned")) as found:
        yield found


def lead(page: Page, text: str) -> None:
    expect(page.locator('[data-told="lead"]')).to_contain_text(text)


@windows_of()
def test_the_page_is_right_at_any_width_by_day_and_by_night(
    chromium: Browser, served: Served, width: int, scheme: Scheme
) -> None:
    told = served.visit(chromium, width, scheme)
    page = told.page
    for path in ("blueprint", ASKED, "source-water", WATER, "blueprint/choose", CHOOSE, WRONG):
        page.goto(f"{served.address}/{path}")
        page.evaluate(UNFOLDED)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path
        assert page.evaluate(SMALLEST_LETTERS) >= LEAST_LETTER_PX, path
        assert page.evaluate(SMALL_TARGETS) == [], path
        assert page.locator("h1").count() == 1, path
        assert broken_rules(page) == [], path
        if path != WRONG:  # a page that is refused is told as such by the browser
            assert told.complaints == [], path
    hosts = {urlsplit(each).netloc for each in told.requests if not each.startswith("data:")}
    assert hosts == {urlsplit(served.address).netloc}
    page.context.close()


def test_the_plan_follows_what_is_typed(chromium: Browser, served: Served) -> None:
    told = served.visit(chromium, 1440, "light")
    page = told.page
    page.goto(f"{served.address}/blueprint")
    page.get_by_label("Length, cm").fill("60")
    page.get_by_label("Width, cm").fill("30")
    expect(page.locator("#problems")).to_contain_text("needs its height")
    page.get_by_label("Height, cm").fill("36")
    lead(page, "blueprint of a tank of 52 L")
    expect(page.locator("#problems")).to_have_count(0)
    page.get_by_label("Length, cm").fill("120")
    lead(page, "blueprint of a tank of 103 L")
    assert "length=120" in page.url
    assert "live" not in page.url
    page.locator(".whys > summary").first.click()
    page.get_by_label("Thickness of the glass, mm").fill("4")
    lead(page, "stand")
    expect(page.locator("#plan-glass").locator("..")).to_contain_text("looks too thin")
    assert page.locator(".whys").first.evaluate("each => each.open")
    page.get_by_label("Length, cm").fill("long")
    expect(page.locator("#length-wrong")).to_be_visible()
    assert page.locator("#length").get_attribute("aria-invalid") == "true"
    assert page.locator("[data-old]").is_visible()
    assert page.locator('[data-told="plan"] figure').count() == 1  # the one before stays
    assert broken_rules(page) == []
    page.get_by_label("Length, cm").fill("80")
    expect(page.locator("#length-wrong")).to_have_count(0)
    expect(page.locator("[data-stale]")).to_have_count(0)
    page.get_by_label("Shape").select_option("cylinder")
    expect(page.get_by_label("Width, cm")).to_be_hidden()
    lead(page, "blueprint of a tank of")
    page.wait_for_url(lambda url: "width" not in url)
    assert told.complaints == []
    page.context.close()


def test_without_scripts_a_button_gives_the_whole_plan(chromium: Browser, served: Served) -> None:
    page = served.visit(chromium, 360, "dark", java_script_enabled=False).page
    page.goto(f"{served.address}/blueprint")
    for label, value in (("Length, cm", "60"), ("Width, cm", "30"), ("Height, cm", "36")):
        page.get_by_label(label, exact=True).fill(value)
    page.get_by_role("button", name="Work it out").click()
    for heading in ("Will floor and stand carry it?", "Is the glass thick enough?",
                    "Which heater, and what does warmth cost?"):  # fmt: skip
        assert page.get_by_role("heading", name=heading).count() == 1
    assert page.locator("figure.section svg:visible").count() == 1
    page.get_by_label("Height, cm", exact=True).fill("high")
    page.get_by_role("button", name="Work it out").click()
    assert page.get_by_label("Height, cm", exact=True).input_value() == "high"
    assert page.locator("#height-wrong").inner_text()
    page.context.close()


def test_a_tank_is_planned_taken_along_and_started_by_keyboard_alone(
    chromium: Browser, served: Served, tmp_path: Path
) -> None:
    told = served.visit(chromium, 768, "light")
    page = told.page
    page.goto(f"{served.address}/blueprint")
    page.get_by_label("What do you call it?").focus()
    for keys in ("Hall", "", "60", "30", "36"):  # name, shape as it is, three sizes
        page.keyboard.type(keys)
        page.keyboard.press("Tab")
    lead(page, "Hall: blueprint of a tank of 52 L")
    page.get_by_role("button", name="Download the tank file").focus()
    with page.expect_download() as loaded:
        page.keyboard.press("Enter")
    kept = tmp_path / loaded.value.suggested_filename
    loaded.value.save_as(kept)
    assert kept.name == "hall.tank.toml"
    assert tomllib.loads(kept.read_text(encoding="utf-8"))["tank"]["name"] == "Hall"
    page.get_by_role("button", name="Start this tank").focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/tank/*?begun=1")
    assert page.get_by_role("heading", level=1).inner_text() == "Hall"
    assert told.complaints == []
    page.context.close()


def test_on_paper_stand_the_drawing_and_every_answer_and_no_form(
    chromium: Browser, served: Served
) -> None:
    page = served.visit(chromium, 768, "dark").page
    page.goto(f"{served.address}/{ASKED}")
    page.emulate_media(media="print")
    assert page.locator("#plan-form").is_hidden()
    assert page.get_by_role("button", name="Start this tank").is_hidden()
    assert page.locator("figure.section svg:visible").count() == 1
    why = page.locator("#plan-floor").locator("..").locator(".whys li").first
    assert why.evaluate("each => each.getBoundingClientRect().height") > 0
    page.context.close()


def test_a_water_is_judged_while_it_is_typed(chromium: Browser, served: Served) -> None:
    told = served.visit(chromium, 360, "light")
    page = told.page
    page.goto(f"{served.address}/source-water")
    page.get_by_label("KH, dKH").fill("11")
    page.get_by_label("GH, dGH").fill("15")
    lead(page, "kinds of the catalogue")
    page.get_by_text("If you want other water").first.click()
    page.get_by_label("KH wanted").fill("2..4")
    lead(page, "cannot be mixed")
    page.get_by_label("Reverse-osmosis water").check()
    lead(page, "can be mixed from it")
    assert told.complaints == []
    page.context.close()


def test_animals_are_chosen_while_they_are_typed_and_go_over_into_a_tank(
    chromium: Browser, served: Served
) -> None:
    told = served.visit(chromium, 360, "dark")
    page = told.page
    page.goto(f"{served.address}/blueprint/choose")
    page.get_by_label("Which?, row 1", exact=True).focus()
    page.keyboard.type("Danio rerio")
    for label, value in (("Length, cm", "100"), ("Width, cm", "40"), ("Height, cm", "50")):
        page.get_by_label(label, exact=True).fill(value)
    lead(page, "Every wish can be met")
    page.get_by_label("Which?, row 2", exact=True).fill("Corydorus aenus")
    expect(page.locator("#species-2-wrong")).to_contain_text("Corydoras aeneus")
    page.get_by_label("Which?, row 2", exact=True).fill("goldfish")
    expect(page.locator("#plan-left")).to_be_visible()
    expect(page.locator("#species-2-wrong")).to_have_count(0)
    lead(page, "Not every wish can be met")
    page.get_by_role("link", name="Plan the tank for these animals").focus()
    page.keyboard.press("Enter")
    lead(page, "blueprint of a tank of")
    assert page.locator("#species-1").input_value() == "Danio rerio"
    assert page.locator("#species-2").input_value() == ""
    page.get_by_role("button", name="Start this tank").click()
    page.wait_for_url("**/tank/*?begun=1")
    assert told.complaints == []
    page.context.close()


def test_animals_are_chosen_without_scripts(chromium: Browser, served: Served) -> None:
    page = served.visit(chromium, 360, "light", java_script_enabled=False).page
    page.goto(f"{served.address}/{CHOOSE}")
    assert page.get_by_role("heading", name="What would help: any one of these").count() == 1
    page.get_by_label("Which?, row 4", exact=True).fill("")
    page.get_by_role("button", name="Choose", exact=True).click()
    assert "neon tetra (12)" in page.locator("#plan-numbers").locator("..").inner_text()
    page.context.close()
