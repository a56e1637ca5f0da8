"""Days that fit no course of a tank: one finding a day, with what was read."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import numpy as np

from watervane.engine.unfitting import unfitting_days
from watervane.records import WHOLE_WATER, Reading, ReadingValue
from watervane.wording import finding_text

START = datetime(2026, 3, 1, 18, tzinfo=UTC)


def reading(day: int, quantity: str, text: str, **told: Any) -> Reading:
    number = float(text.split(maxsplit=1)[0])
    basis = "none" if quantity == "ph" else "n"
    value = ReadingValue("exact", number, number, basis, text)
    return Reading(START + timedelta(days=day), quantity, value, **told)


def test_one_finding_a_day_names_the_readings_that_do_not_fit() -> None:
    readings = [
        reading(2, "ammonia", "0.7 mg/L as N", line=11),
        reading(9, "ammonia", "3 mg/L as N", line=20),
        reading(9, "ph", "8.5", line=21),
        reading(9, "nitrite", "0.1 mg/L as N", line=22),
    ]
    (found,) = unfitting_days(readings, np.array([0.4, 0.002, 0.0004, 0.8]))
    assert found.key == "day-contradicts"
    assert found.severity == "caution"
    assert found.line == 21, "the worst of them"
    assert found.arguments["day"] == date(2026, 3, 10)
    assert found.arguments["chance"] == 3 * 0.0004
    text = finding_text(found)
    assert "on Tuesday 10 March (ammonia 3 mg/L as N and pH 8.5)" in text
    assert "nitrite" not in text


def test_a_day_with_many_readings_is_not_named_for_their_number() -> None:
    readings = [reading(4, q, "1") for q in ("ammonia", "nitrite", "nitrate", "ph")]
    assert not unfitting_days(readings, np.array([0.04, 0.5, 0.5, 0.5]))
    assert unfitting_days(readings[:1], np.array([0.04]))


def test_the_longer_the_log_the_rarer_a_day_must_be_to_be_named() -> None:
    readings = [reading(day, "ammonia", "1") for day in range(20)]
    fit = np.full(20, 0.5)
    fit[7] = 0.02
    assert len(unfitting_days(readings[:4], fit[5:9])) == 1
    assert not unfitting_days(readings, fit)


def test_a_thinned_sample_is_quoted_as_what_the_tank_holds() -> None:
    (found,) = unfitting_days(
        [reading(4, "nitrite", "1.5 mg/L as N", diluted=4.0)], np.array([0.001])
    )
    assert found.arguments["readings"] == [{"quantity": "nitrite", "value": "6 mg/L as N"}]


def test_many_days_are_told_of_at_once() -> None:
    days = range(2, 12)
    readings = [reading(d, "temperature" if d % 2 else "ammonia", "25 C") for d in days]
    fit = np.array([0.001 if d % 2 else 0.5 for d in days])
    (found,) = unfitting_days(readings, fit)
    assert found.key == "log-contradicts"
    assert found.arguments["quantities"] == ["temperature"]
    assert "On 5 of 10 days of tests" in finding_text(found)
    assert len(unfitting_days(readings[:3], fit[:3])) == 1
    assert unfitting_days(readings[:3], fit[:3])[0].key == "day-contradicts"


def test_source_water_and_words_have_sentences_of_their_own() -> None:
    tap = reading(4, "nitrate", "40 mg/L as N", of_source_water=True)
    said = Reading(START, WHOLE_WATER, ReadingValue("fine", None, None, "none", "fine"))
    first, second = unfitting_days([tap, said], np.array([0.001, 0.001]))
    assert "of the source water on" in finding_text(first)
    assert "(water fine)" in finding_text(second)
