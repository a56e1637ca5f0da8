"""One real browser and one page for all tests of it."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from opened_pages import Opened, Scheme, browser_program, opened_page
from playwright.sync_api import Browser, expect, sync_playwright
from served_pages import Served, serving

PATIENCE_MS = 20_000  # of patience on a machine that others keep busy
sys.path.insert(0, str(Path(__file__).parents[1] / "cli"))
sys.path.insert(0, str(Path(__file__).parents[1] / "web"))


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    program = browser_program()
    expect.set_options(timeout=PATIENCE_MS)
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


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A keeper with a tank of which everything is known, and one of which nothing is."""
    from fake_ports import FakePorts
    from sample_forecasts import sample_forecast
    from sample_inside import sample_colonies, sample_ledger
    from sample_today import sample_today
    from web_club import computed

    from watervane.app import Line, add_tank, record
    from watervane.records import Person

    folder = tmp_path_factory.mktemp("served")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WATERVANE_JOURNAL", str(folder / "journal.sqlite"))
        fake = FakePorts()
        words = ("filled=2026-03-01", "volume=57 L", "time_zone=Europe/Lisbon")
        steps = "kits.drop.ammonia.steps=['0', '0.3', '0.7', '1.5']"
        kit = (steps, "kits.drop.ammonia.unit=mg/L as N")
        for name in ("Study", "Hall"):
            add_tank(Person(), fake.ports(), name=name, words=(*words, *kit))
        told = (
            ("reading", ("ammonia", "0.7 mg/L", "kit=drop")),
            ("water-change", ("25 %",)),
            ("animals-in", ("4", "Danio rerio")),
            ("note", ("text=A very long note " + "about the water " * 6,)),
        )
        for kind, line in told:
            record(Person(), "Study", Line(kind, line), fake.ports())
        inside = {"ledger": sample_ledger(), "colonies": sample_colonies()}
        foretold = replace(sample_forecast(), **inside)
        computed(fake, {"Study": sample_today(), "Hall": sample_today()}, foretold)
        add_tank(Person(), fake.ports(), name="Cellar", words=words)
    with serving(folder) as found:
        yield found


@pytest.fixture(scope="module")
def visit(chromium: Browser, served: Served) -> Iterator[Callable[[int, Scheme], Opened]]:
    """A window at a width, by day or by night; each is opened once."""
    kept: dict[tuple[int, str], Opened] = {}

    def window(width: int, scheme: Scheme) -> Opened:
        if (width, scheme) not in kept:
            kept[width, scheme] = served.visit(chromium, width, scheme)
        return kept[width, scheme]

    yield window
    for each in kept.values():
        each.page.context.close()


@pytest.fixture
def told(chromium: Browser, served: Served) -> Iterator[Opened]:
    """A phone at the keeper's pages, without their shell; each test opens its own."""
    found = served.visit(chromium, 360, "light", service_workers="block")
    yield found
    found.page.context.close()
