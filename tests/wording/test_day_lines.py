"""What a forecast says of each of its days."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from sample_forecasts import moment, sample_forecast, sample_tank

from watervane.records import Band, Reading, ReadingValue
from watervane.units.conversions import NO3_PER_N
from watervane.wording.day_lines import day_lines

FIRST = date(2026, 3, 1)
HAPPENED = (
    (moment(4.1), "water change 25 %"),
    (moment(4.2), "4 Danio rerio in"),
    (moment(30.0), "water change 25 %"),
)


def test_there_is_one_line_for_every_day_to_the_horizon() -> None:
    forecast = sample_forecast()
    lines = day_lines(forecast, sample_tank().readings, HAPPENED, FIRST)
    last = forecast.as_of + timedelta(days=forecast.horizon_days)
    assert len(lines) == (last.date() - FIRST).days + 1
    assert [line.at.date() for line in lines] == [
        FIRST + timedelta(days=place) for place in range(len(lines))
    ]


@pytest.mark.parametrize("basis", ["usual", "n"])
def test_values_are_those_drawn_nearest_to_noon(basis: str) -> None:
    forecast = sample_forecast()
    line = day_lines(forecast, (), (), FIRST, basis=basis)[9]
    index = forecast.times.index(line.at)
    noon = line.at.replace(hour=12, minute=0)
    assert all(abs(line.at - noon) <= abs(at - noon) for at in forecast.times)
    band = forecast.series["nitrate_mg_n_per_l"]
    factor = NO3_PER_N if basis == "usual" else 1.0
    (told,) = (part for part in line.values.split(", ") if part.startswith("nitrate"))
    for value in (band.p50[index], band.p05[index], band.p95[index]):
        assert f"{factor * value:.2g}" in told
    assert "pH" in line.values


def test_readings_and_events_stand_on_their_days() -> None:
    lines = day_lines(sample_forecast(), sample_tank().readings, HAPPENED, FIRST)
    ninth = next(line for line in lines if line.at.date() == moment(8.8).date())
    assert ninth.happened == "You read ammonia 1.5 mg/L as N, nitrite 0.1 mg/L as N, pH 7.5."
    fourth = next(line for line in lines if line.at.date() == moment(4.1).date())
    assert fourth.happened.endswith("Logged: water change 25 %, 4 Danio rerio in.")
    later = next(line for line in lines if line.at.date() == moment(30.0).date())
    assert later.happened == "Planned: water change 25 %."


def test_the_tap_is_not_told_as_the_tank() -> None:
    value = ReadingValue("exact", 7.7, 7.7, "none")
    tap = Reading(at=moment(3), quantity="ph", value=value, of_source_water=True)
    lines = day_lines(sample_forecast(), (tap,), (), FIRST)
    assert not any(line.happened for line in lines)


def test_a_day_before_the_course_begins_says_so() -> None:
    forecast = sample_forecast()
    begin = next(place for place, at in enumerate(forecast.times) if at >= forecast.as_of)
    short = {
        key: Band(*(getattr(band, each)[begin:] for each in ("p05", "p25", "p50", "p75", "p95")))
        for key, band in forecast.series.items()
    }
    late = replace(forecast, times=forecast.times[begin:], series=short)
    first, *_, last = day_lines(late, (), (), FIRST)
    assert first.values == "Nothing was foretold of this day."
    assert "ammonia" in last.values
