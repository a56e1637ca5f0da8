"""The first page: the most urgent tank first, in a sentence, and a way in where there is none."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import UTC, datetime

from fake_ports import FakePorts
from sample_forecasts import sample_forecast
from sample_today import LIMIT, sample_today
from starlette.testclient import TestClient
from web_club import calm_day, computed

from watervane.app import add_tank
from watervane.exchange.forecast_json import dumps, forecast_document
from watervane.records import Forecast, KeptForecast, Person

NO_BREAK = "\N{NO-BREAK SPACE}"
WORDS = ("filled=2026-03-01", "volume=57 L", "time_zone=Europe/Lisbon")


def add(fake: FakePorts, name: str) -> str:
    return add_tank(Person(), fake.ports(), name=name, words=WORDS).receipt.tank


def keep(fake: FakePorts, key: str, forecast: Forecast) -> None:
    document = json.dumps(json.loads(dumps(forecast_document(forecast))))
    kept = KeptForecast(
        as_of=forecast.as_of,
        horizon_days=forecast.horizon_days,
        newest_entry=10_000,
        seed=1,
        members=100,
        model_version="1",
        parameter_digest="x",
        document=document,
    )
    with fake.ports().journal.open() as journal, journal.writing(Person(), what="forecast") as work:
        work.keep_forecast(key, kept)


def names(page: str) -> list[str]:
    return re.findall(r'<h2 id="tank-\d+"><a href="[^"]+">([^<]+)</a>', page)


def at_risk(day: int, chance: float, tier: str = "acute") -> Forecast:
    days = tuple(chance if each >= day else 0.0 for each in range(7))
    limit = replace(LIMIT, tier=tier)
    return replace(
        sample_forecast(), risk={f"nitrite_{tier}": days}, limits={f"nitrite_{tier}": limit}
    )


def test_without_a_tank_the_way_to_the_first_is_shown(keeper: TestClient) -> None:
    page = keeper.get("/").text
    assert "No tank yet" in page
    body = page[page.index("<h1") :]
    assert "Animals in trouble now?" in body
    for path in ("/first-aid", "/trouble", "/dose"):  # none of them needs a tank
        assert f'href="{path}"' in body
    assert 'href="/new"' in page


def test_the_tank_that_could_lose_animals_soonest_stands_first(
    keeper: TestClient, fake: FakePorts
) -> None:
    for name in ("Fine", "Slowly"):
        add(fake, name)
    computed(fake, {"Fine": calm_day(), "Slowly": sample_today()})
    add(fake, "Unknown")
    page = keeper.get("/").text.replace(NO_BREAK, " ")
    assert names(page) == ["Unknown", "Slowly", "Fine"]
    assert "Change 35 % of the water" in page


def test_each_tank_has_its_sentence_its_marks_and_its_age(
    keeper: TestClient, fake: FakePorts
) -> None:
    key = add(fake, "Study")
    keep(fake, key, at_risk(0, 0.5))
    page = keeper.get("/").text.replace(NO_BREAK, " ")
    assert f'href="/tank/{key}"' in page
    assert "Free ammonia" in page
    assert page.count('class="struck"') == 7
    assert page.count("10 of 20") >= 7
    assert "Foretold" in page


def test_names_are_never_markup(keeper: TestClient, fake: FakePorts) -> None:
    add(fake, "<b>Study</b> & co")
    page = keeper.get("/").text
    assert "<b>Study" not in page
    assert "&lt;b&gt;Study" in page


def test_an_unreadable_forecast_spoils_nothing(keeper: TestClient, fake: FakePorts) -> None:
    key = add(fake, "Study")
    forecast = sample_forecast()
    keep(fake, key, forecast)
    with fake.ports().journal.open() as journal, journal.writing(Person(), what="forecast") as work:
        (kept,) = work.forecasts(key)
        later = datetime(2030, 1, 1, tzinfo=UTC)
        work.keep_forecast(key, replace(kept, as_of=later, document='{"format": "other/9"}'))
    answer = keeper.get("/")
    assert answer.status_code == 200
    assert "Nothing foretold yet" in answer.text


def test_marks_and_sentence_tell_of_one_limit_and_count_alike(
    keeper: TestClient, fake: FakePorts
) -> None:
    add(fake, "Slowly")
    grave, named = replace(LIMIT, tier="acute", subject="nitrite"), LIMIT
    risk = {"nitrite_acute": (0.9,) * 7, "ammonia_chronic": (0.7,) * 7}
    limits = {"nitrite_acute": grave, "ammonia_chronic": named}
    computed(fake, {"Slowly": sample_today()}, replace(sample_forecast(), risk=risk, limits=limits))
    page = keeper.get("/").text.replace(NO_BREAK, " ")
    assert "in 14 of 20 of the imagined tanks" in page
    assert page.count('<span class="share">14 of 20') == 7
    assert "harm over time: free ammonia over 0.041 mg N/L" in page
    assert "The reason is ammonia: harm at once within a week in 2 of 20" in page
