"""The forecast document has the published shape and is strict JSON."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from watervane import records as r
from watervane.exchange import dumps, forecast_document

ZONE = ZoneInfo("Europe/Lisbon")
START = datetime(2026, 3, 28, 12, tzinfo=ZONE)
Q = {"p05", "p25", "p50", "p75", "p95"}
SERIES = (
    *("ammonia_mg_n_per_l", "nitrite_mg_n_per_l", "nitrate_mg_n_per_l"),
    *("free_ammonia_mg_n_per_l", "ph", "kh_dkh", "oxygen_mg_per_l", "temperature_c"),
)


def forecast() -> r.Forecast:
    days = tuple(START + timedelta(days=day) for day in range(3))
    dates = r.DateQuantiles(days[0], days[0], days[1], days[2], None)
    numbers = r.NumberQuantiles(0.5, 0.7, 1.0, 1.4, None)
    peak = r.Peak(dates, numbers, 0.97)
    band = r.Band((0.1, 0.2, math.nan), (0.2,) * 3, (0.3,) * 3, (0.4,) * 3, (0.5,) * 3)
    finding = r.Finding(
        "assumed-food",
        "info",
        {"mass": r.Span(0.02, 0.08), "day": date(2026, 3, 1), "names": ("a", "b"), "x": math.inf},
        line=7,
    )
    return r.Forecast(
        tank="Reading room",
        owner="local",
        filled=START,
        as_of=days[1],
        horizon_days=2,
        seed=1,
        ammonia_peak=peak,
        nitrite_peak=peak,
        settled=r.Milestone(dates, 0.6, "ahead", 0.0, {"buffering spent": 0.1}),
        ready=r.Milestone(dates, 0.2, "no food planned", reason="no-food"),
        times=days,
        series=dict.fromkeys(SERIES, band),
        risk={"free-ammonia-chronic": (0.01, 0.02)},
        diagnostics=r.Diagnostics(
            1000, 4000, 312.5, 12, "good", 3.2, "printed", "1", "abc", (finding,)
        ),
        assumptions=(finding,),
    )


def test_the_document_has_the_published_keys() -> None:
    document = forecast_document(forecast())
    assert document["format"] == "watervane-forecast/1"
    published = {"format", "tank", "as_of", "horizon_days", "seed"}
    published |= {"milestones", "series", "risk", "diagnostics"}
    assert published <= document.keys()
    milestones = document["milestones"]
    assert set(milestones) == {"ammonia_peak", "nitrite_peak", "settled", "ready"}
    assert set(milestones["ammonia_peak"]["date"]) == Q
    assert set(milestones["ammonia_peak"]["value_mg_n_per_l"]) == Q
    assert {"date", "probability_within_horizon", "status"} <= milestones["settled"].keys()
    assert set(document["series"]) == {"time", *SERIES}
    for name in SERIES:
        assert set(document["series"][name]) == Q
        assert len(document["series"][name]["p50"]) == len(document["series"]["time"])


def test_dates_carry_their_offset_across_a_clock_change() -> None:
    document = forecast_document(forecast())
    assert document["series"]["time"] == [
        "2026-03-28T12:00:00+00:00",
        "2026-03-29T12:00:00+01:00",
        "2026-03-30T12:00:00+01:00",
    ]


def test_beyond_the_horizon_and_not_a_number_are_null() -> None:
    document = forecast_document(forecast())
    assert document["milestones"]["settled"]["date"]["p95"] is None
    assert document["milestones"]["nitrite_peak"]["value_mg_n_per_l"]["p95"] is None
    assert document["series"]["ph"]["p05"] == [0.1, 0.2, None]


def test_a_peak_some_members_never_see_has_every_height_and_no_late_date() -> None:
    told = forecast()
    peak = replace(
        told.nitrite_peak,
        date=replace(told.nitrite_peak.date, p95=None),
        value_mg_n_per_l=r.NumberQuantiles(0.03, 0.6, 1.4, 2.0, 3.0),
    )
    milestones = forecast_document(replace(told, nitrite_peak=peak))["milestones"]
    assert milestones["nitrite_peak"]["date"]["p95"] is None
    assert list(milestones["nitrite_peak"]["value_mg_n_per_l"].values()) == [0.03, 0.6, 1.4, 2, 3]


def test_the_text_is_strict_json_and_reads_back_the_same() -> None:
    document = forecast_document(forecast())
    text = dumps(document)

    def no_constant(name: str) -> None:
        pytest.fail(f"{name} is not JSON")

    assert json.loads(text, parse_constant=no_constant) == document


def test_findings_keep_their_arguments() -> None:
    (finding,) = forecast_document(forecast())["assumptions"]
    assert finding["arguments"] == {
        "mass": [0.02, 0.08],
        "day": "2026-03-01",
        "names": ["a", "b"],
        "x": None,
    }
    assert finding["line"] == 7


def test_a_date_without_a_zone_is_a_programming_error() -> None:
    import dataclasses

    bad = dataclasses.replace(forecast(), as_of=datetime(2026, 3, 1))
    with pytest.raises(ValueError, match="zone"):
        forecast_document(bad)


def test_the_next_test_stands_in_the_document() -> None:
    test = r.TellingTest(START + timedelta(days=3), "nitrite", "drop", 0.4, 0.03)
    told = r.NextTest("settled", None, 2.1, 0.05, best=test, ranked=(test,), range_now_days=9.0)
    document = json.loads(dumps(forecast_document(replace(forecast(), next_test=told))))
    found = document["next_test"]
    assert found["question"] == "settled"
    assert found["best"] == found["ranked"][0]
    assert found["best"]["at"] == "2026-03-31T12:00:00+01:00"
    assert (found["best"]["gain_bits"], found["range_now_days"]) == (0.4, 9.0)
    assert found["soonest"] is None
    assert json.loads(dumps(forecast_document(forecast())))["next_test"] is None
