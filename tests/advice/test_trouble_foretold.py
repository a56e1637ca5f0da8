"""What a forecast expected stands in for any tank's water; harm it foretold is no usual water."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from watervane.advice.trouble import find_trouble
from watervane.advice.trouble_foretold import (
    beyond,
    times_as_likely,
    told_by_forecast,
    usual_by_forecast,
    with_forecast,
)
from watervane.records import (
    Band,
    DateQuantiles,
    Diagnostics,
    Forecast,
    Milestone,
    NumberQuantiles,
    Peak,
    Reading,
    ReadingValue,
)
from watervane.records.trouble import Trouble, TroubleAnswers
from watervane.reference.trouble import trouble_tables

MADE = datetime(2026, 5, 8, 21, tzinfo=UTC)
AT = MADE + timedelta(days=2)
TABLES = trouble_tables()
CALM = {
    "ammonia_mg_n_per_l": (0.01, 0.05),
    "free_ammonia_mg_n_per_l": (0.0002, 0.001),
    "nitrite_mg_n_per_l": (0.005, 0.03),
    "nitrate_mg_n_per_l": (5.0, 8.0),
    "kh_dkh": (5.5, 6.5),
    "ph": (7.2, 7.5),
    "temperature_c": (24.5, 25.5),
    "oxygen_mg_per_l": (7.0, 8.0),
}


def forecast(**told: tuple[float, float]) -> Forecast:
    never = DateQuantiles(None, None, None, None, None)
    peak = Peak(never, NumberQuantiles(None, None, None, None, None), 0.0)
    ahead = Milestone(never, 0.0, "ahead")
    times = (MADE, MADE + timedelta(days=4))

    def band(low: float, high: float) -> Band:
        return Band(*((each, each) for each in (low, low, low, high, high)))

    series = {name: band(*ends) for name, ends in {**CALM, **told}.items()}
    made = Diagnostics(300, 300, 200.0, 9, "good", 3.0, "printed", "x", "x")
    return Forecast("Club", "", MADE - timedelta(days=200), MADE, 4, 1, peak, peak, ahead, ahead,
                    times, series, {}, made)  # fmt: skip


def read(quantity: str, value: float, at: datetime = AT) -> Reading:
    basis = "n" if quantity in ("ammonia", "nitrite", "nitrate") else "none"
    return Reading(at, quantity, ReadingValue("exact", value, value, basis))


def found(answers: TroubleAnswers, told: Forecast | None) -> Trouble:
    return find_trouble(answers if told is None else with_forecast(answers, told, AT))


def of(trouble: Trouble, key: str) -> float:
    return next(cause.probability for cause in trouble.causes if cause.key == key)


def test_bands_are_read_at_the_moment_and_nothing_past_the_horizon() -> None:
    told = told_by_forecast(forecast(), AT)
    assert told["kh"] == (5.5, 6.5)
    assert 3.0 < told["co2"][0] < told["co2"][1] < 15.0
    assert 0.8 < told["oxygen_share"][0] < told["oxygen_share"][1] < 1.02
    assert told_by_forecast(forecast(), MADE + timedelta(days=5)) == {}


def test_a_reading_is_odd_where_it_is_odd_for_this_tank() -> None:
    answers = TroubleAnswers(see=("hiding",), readings=(read("kh", 2.0),), age_days=200.0)
    assert of(found(answers, forecast()), "ph-swing") > 2.0 * of(found(answers, None), "ph-swing")
    soft = forecast(kh_dkh=(1.8, 2.3), ph=(6.8, 7.1))
    assert of(found(answers, soft), "ph-swing") < of(found(answers, forecast()), "ph-swing")


def test_harm_foretold_makes_its_cause_likelier_and_is_no_usual_water() -> None:
    peak = forecast(nitrite_mg_n_per_l=(0.8, 2.5))
    told = told_by_forecast(peak, AT)
    assert beyond(told, "nitrite", TABLES) > 0.9
    assert times_as_likely(told, "nitrite", TABLES) == pytest.approx(6.0)
    assert times_as_likely(told_by_forecast(forecast(), AT), "nitrite", TABLES) == 0.2
    usual = {name: (low, high) for name, low, high in usual_by_forecast(told, TABLES)}
    assert usual["nitrite"][1] <= 0.6
    assert all(0.0 < low < high for low, high in usual.values())
    answers = TroubleAnswers(see=("lying",), readings=(read("nitrite", 1.5),), age_days=25.0)
    assert found(answers, peak).causes[0].key == "nitrite"
    assert of(found(answers, peak), "nitrite") > of(found(answers, None), "nitrite")


def test_what_the_forecast_knew_is_not_counted_again() -> None:
    before = (read("gh", 6.0, MADE - timedelta(days=9)), read("kh", 6.0, MADE + timedelta(hours=5)))
    answers = TroubleAnswers(see=("hiding",), before=before)
    kept = with_forecast(answers, forecast(), AT)
    assert kept.before == before[1:]
    assert kept.foretold_at == MADE
    late = replace(forecast(), times=())
    assert with_forecast(answers, late, AT) == answers
