"""A tank's page: the verdict, steps that are recorded by one tap, pictures, the record, the why."""

from __future__ import annotations

import json
import re
from datetime import UTC, date, datetime

import pytest
from fake_ports import FakePorts
from sample_today import sample_today
from starlette.testclient import TestClient
from web_club import computed

from watervane.app import Line, add_tank, open_tank, record
from watervane.records import Person, WaterChange
from watervane.wording import verdict_sentences

NAME = "Study"
WORDS = ("filled=2026-03-01", "volume=57 L", "time_zone=Europe/Lisbon")


@pytest.fixture
def tank(fake: FakePorts) -> str:
    ports = fake.ports()
    key = add_tank(Person(), ports, name=NAME, words=WORDS).receipt.tank
    record(Person(), NAME, Line("reading", ("ammonia", "0.7 mg/L as N")), ports)
    return key


@pytest.fixture
def known(fake: FakePorts, tank: str) -> str:
    computed(fake, {NAME: sample_today()})
    return tank


def test_before_anything_is_computed_the_page_is_there(keeper: TestClient, tank: str) -> None:
    page = keeper.get(f"/tank/{tank}").text
    assert "Nothing foretold yet" in page
    assert "ammonia 0.7 mg/L as N" in page
    assert "<img" not in page


def test_the_questions_stand_in_the_keepers_order(keeper: TestClient, known: str) -> None:
    page = keeper.get(f"/tank/{known}").text.replace("\N{NO-BREAK SPACE}", " ")
    assert re.findall(r'class="question" aria-labelledby="([^"]+)"', page) == [
        "wrong-now", "do-today", "coming", "nitrogen", "colonies", "ask",
        "recorded", "why",
    ]  # fmt: skip
    for sentence in verdict_sentences(sample_today())[:1]:
        assert sentence in page
    assert "Change 35 % of the water" in page
    assert page.count("<table>") >= 2
    assert "Judged" in page


def test_a_step_done_is_recorded_by_one_tap_and_once(
    keeper: TestClient, fake: FakePorts, known: str
) -> None:
    page = keeper.get(f"/tank/{known}").text
    form = re.search(
        r'action="(/tank/[^"]+/done)".*?name="request" value="([^"]+)".*?name="kind" '
        r'value="([^"]+)".*?name="words" value="([^"]+)"',
        page,
        re.DOTALL,
    )
    assert form is not None
    sent = {"request": form[2], "kind": form[3], "words": form[4]}
    for _ in range(2):
        assert keeper.post(form[1], data=sent).status_code == 303
    events = open_tank(Person(), NAME, fake.ports()).tank.events
    assert [(type(each), round(each.fraction, 2)) for each in events] == [(WaterChange, 0.35)]


def test_a_step_done_without_a_network_is_what_the_page_showed_dated_by_the_tap(
    keeper: TestClient, fake: FakePorts, known: str
) -> None:
    sent = {"request": "a", "kind": "water-change", "words": "fraction=20%\nconditioner=yes",
            "day": "2026-03-10", "hour": "19:30"}  # fmt: skip
    assert keeper.post(f"/tank/{known}/done", data=sent).status_code == 303
    (change,) = open_tank(Person(), NAME, fake.ports()).tank.events
    assert (round(change.fraction, 2), f"{change.at:%d %H:%M}") == (0.2, "10 19:30")
    other = keeper.post(f"/tank/{known}/done", data={**sent, "request": "b", "kind": "reading"})
    assert other.status_code == 404
    wrong = keeper.post(f"/tank/{known}/done", data={**sent, "request": "c", "words": "size=1"})
    assert wrong.status_code == 422
    assert len(open_tank(Person(), NAME, fake.ports()).tank.events) == 1


def test_what_was_written_since_is_told(keeper: TestClient, fake: FakePorts, known: str) -> None:
    record(Person(), NAME, Line("reading", ("nitrite", "0.2 mg/L as N")), fake.ports())
    assert "one entry written since is not in it yet" in keeper.get(f"/tank/{known}").text


def test_the_forecast_is_drawn_still_and_living(keeper: TestClient, known: str) -> None:
    page = keeper.get(f"/tank/{known}").text
    address = re.search(r'<img src="([^"]+)"', page)
    assert address is not None
    still = keeper.get(address[1].replace("&amp;", "&"))
    assert still.headers["content-type"].startswith("image/svg+xml")
    assert "max-age" in still.headers["cache-control"]
    assert still.text.count("mark-area") == 8
    assert "<script" not in still.text
    living = keeper.get(re.search(r'data-drawing="([^"]+)"', page)[1])
    told = json.loads(living.text)
    assert {"spec", "config", "days"} == set(told)
    bands = {row["t"] for row in told["spec"]["datasets"]["bands"]}
    days = [datetime.fromtimestamp(each["at"] / 1000, UTC) for each in told["days"]["days"]]
    assert all(f"{day:%Y-%m-%dT%H:%M:%SZ}" in bands for day in days)  # what is told is drawn
    unnamed = keeper.get(f"/tank/{known}/forecast.svg?look=dark&narrow=1")
    assert "no-cache" in unnamed.headers["cache-control"]
    assert keeper.get(f"/tank/{known}/forecast.svg?look=green").status_code == 404


def test_an_entry_of_another_tank_is_not_found_here(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    other = add_tank(Person(), fake.ports(), name="Other", words=WORDS).receipt.tank
    (entry,) = open_tank(Person(), NAME, fake.ports()).entries
    assert keeper.get(f"/tank/{other}/entry/{entry.number}").status_code == 404
    assert keeper.post(f"/tank/{other}/entry/{entry.number}/undo", data={}).status_code == 404
    assert len(open_tank(Person(), NAME, fake.ports()).entries) == 1


def test_what_happened_last_is_told_first_whenever_it_was_written(
    keeper: TestClient, fake: FakePorts, tank: str
) -> None:
    for day, amount in (("2026-03-09", "3 pellets"), ("2026-03-05", "1 pinch")):
        line = Line("feed", (amount,), date.fromisoformat(day))
        record(Person(), NAME, line, fake.ports())
    page = keeper.get(f"/tank/{tank}").text
    told = re.findall(r'<p class="what">([^<]+)</p>', page)
    assert told == ["ammonia 0.7 mg/L as N", "fed 3 pellets", "fed 1 pinch"]
    assert 'value="3 pellets"' in keeper.get(f"/tank/{tank}/record/feed").text
