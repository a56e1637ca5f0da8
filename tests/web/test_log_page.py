"""The whole log of a tank: every entry can be reached by links, corrected and undone."""

from __future__ import annotations

import html
import re
from datetime import UTC, datetime, timedelta

import pytest
from fake_ports import FakePorts
from starlette.testclient import TestClient

from watervane.app import Line, add_tank
from watervane.app.log import A_PAGE
from watervane.app.recording import record_lines
from watervane.app.tank_page import LATEST
from watervane.records import Person

WORDS = ("filled=2025-01-01", "volume=57 L", "time_zone=Europe/Lisbon")
FIRST = datetime(2025, 1, 2, 18, tzinfo=UTC)
MEALS, READINGS = LATEST + 20, 3


@pytest.fixture
def tank(fake: FakePorts) -> str:
    ports = fake.ports()
    key = add_tank(Person(), ports, name="Study", words=WORDS).receipt.tank
    meals = [
        Line("feed", (f"{day + 1} pellets",), FIRST + timedelta(days=day)) for day in range(MEALS)
    ]
    readings = [
        Line("reading", ("ph", f"7.{day}"), FIRST + timedelta(days=100 * day, hours=1))
        for day in range(READINGS)
    ]
    record_lines(Person(), key, [*meals, *readings], ports, "all at once")
    return key


def told(page: str) -> list[str]:
    return [html.unescape(each) for each in re.findall(r'<p class="what">([^<]+)<', page)]


def link(page: str, rel: str) -> str | None:
    found = re.search(rf'rel="{rel}" href="([^"]+)"', page)
    return None if found is None else html.unescape(found[1])


def test_links_lead_from_the_tank_to_its_first_day_and_back(keeper: TestClient, tank: str) -> None:
    assert f'href="/tank/{tank}/log"' in keeper.get(f"/tank/{tank}").text
    path: str | None = f"/tank/{tank}/log"
    found, way = [], []
    while path:
        page = keeper.get(path).text
        found += told(page)
        way.append(path)
        path = link(page, "next")
    assert len(found) == MEALS + READINGS
    assert len(set(found)) == len(found)
    assert found[0] == f"fed {MEALS} pellets"
    assert found[-1] == "fed 1 pellets"
    assert len(way) == -(-(MEALS + READINGS) // A_PAGE)
    back = link(keeper.get(way[-1]).text, "prev")
    assert back is not None
    assert told(keeper.get(back).text) == told(keeper.get(way[-2]).text)


def test_entries_are_sifted_by_kind_and_by_day(keeper: TestClient, tank: str) -> None:
    page = keeper.get(f"/tank/{tank}/log?kind=readings").text
    assert told(page) == ["pH 7.2", "pH 7.1", "pH 7.0"]
    assert "1 to 3 of 3" in page
    assert "selected>Test readings" in page
    early = keeper.get(f"/tank/{tank}/log?kind=feed&until=2025-01-04").text
    assert told(early) == ["fed 3 pellets", "fed 2 pellets", "fed 1 pellets"]
    sifted = keeper.get(f"/tank/{tank}/log?kind=feed&until=2025-06-30").text
    assert "kind=feed&until=2025-06-30&page=2" in (link(sifted, "next") or "")
    assert "No entry is like that" in keeper.get(f"/tank/{tank}/log?kind=dose").text


@pytest.mark.parametrize(
    "asked",
    ["page=0", "page=x", "page=99999999999999999999", "kind=<b>", "until=yesterday", "page=%C2%B2"],
)
def test_what_cannot_be_understood_shows_a_page_all_the_same(
    keeper: TestClient, tank: str, asked: str
) -> None:
    answer = keeper.get(f"/tank/{tank}/log?{asked}")
    assert answer.status_code == 200
    assert told(answer.text)
    assert "<b>" not in answer.text
    if "until" in asked:
        assert "is no day" in answer.text


def test_the_oldest_entry_is_corrected_and_undone_like_any(keeper: TestClient, tank: str) -> None:
    first_days = keeper.get(f"/tank/{tank}/log?kind=feed&until=2025-01-03").text
    second, oldest = re.findall(r"/entry/(\d+)/undo", first_days)
    page = keeper.get(f"/tank/{tank}/entry/{oldest}")
    assert page.status_code == 200
    sent = {"amount": "2 pinches", "when": "at", "day": "2025-01-02", "request": "right"}
    answer = keeper.post(f"/tank/{tank}/entry/{oldest}", data=sent)
    assert answer.status_code == 303
    assert "2 pinches" in keeper.get(answer.headers["location"].partition("#")[0]).text
    gone = keeper.post(f"/tank/{tank}/entry/{second}/undo", data={"request": "undone"})
    assert "fed 2 pellets" in keeper.get(gone.headers["location"].partition("#")[0]).text
    early = keeper.get(f"/tank/{tank}/log?kind=feed&until=2025-01-03").text
    fates = re.findall(r"<s>([^<]+)</s> <span class=\"label\">([^<]+)<", early)
    assert sorted(fates) == [("fed 1 pellets", "corrected"), ("fed 2 pellets", "undone")]


def test_an_entry_that_is_not_there_is_not_found(keeper: TestClient, tank: str) -> None:
    for number in (0, 10**9, 10**30):
        assert keeper.get(f"/tank/{tank}/entry/{number}").status_code == 404
    assert keeper.get(f"/tank/{tank}?kept={10**30},7x&undone=,").status_code == 200
    assert keeper.get(f"/tank/{'0' * 32}/log").status_code == 404
