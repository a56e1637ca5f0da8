"""The engine end to end on a small tank."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, datetime, timedelta
from importlib import import_module
from zoneinfo import ZoneInfo

import pytest

from watervane.engine import foretell
from watervane.inference.fitting import Fitted, fit_members
from watervane.records import (
    AnimalsIn,
    Feed,
    Forecast,
    Habit,
    Reading,
    ReadingValue,
    Span,
    Tank,
)

UTC = ZoneInfo("UTC")
START = datetime(2026, 3, 1, 18, tzinfo=UTC)


def reading(day: int, mg_n_per_l: float, quantity: str = "ammonia") -> Reading:
    value = ReadingValue("exact", mg_n_per_l, mg_n_per_l, "n", f"{mg_n_per_l} mg/L as N")
    return Reading(START + timedelta(days=day), quantity, value)


TANK = Tank(
    name="small",
    filled=START.date(),
    volume_l=54.0,
    events=(AnimalsIn(at=START + timedelta(days=1), species="Danio rerio", count=6),),
    habits=(
        Habit(
            template=Feed(at=START, mass_g=Span(0.02, 0.08)), every_days=1, start=date(2026, 3, 2)
        ),
    ),
    readings=(reading(5, 0.3), reading(8, 0.7), reading(30, 5.0)),
)
AT = START + timedelta(days=10)


def run(tank: Tank = TANK, **more: object) -> Forecast:
    options = {"as_of": AT, "horizon_days": 14, "members": 60, "accuracy": "sampling"} | more
    return foretell(tank, **options)


@pytest.fixture(scope="module")
def forecast() -> Forecast:
    return run()


@pytest.mark.slow
def test_the_same_seed_gives_the_same_forecast_whatever_the_threads(forecast: Forecast) -> None:
    again = run(threads=1)
    assert again.series == forecast.series
    assert again.settled == forecast.settled
    assert run(seed=2).series != forecast.series


def test_readings_after_the_moment_are_not_used(forecast: Forecast) -> None:
    blind = run(replace(TANK, readings=TANK.readings[:2]))
    assert blind.series == forecast.series
    assert forecast.diagnostics.readings_used == 2


def test_readings_move_the_forecast_towards_them() -> None:
    low = run(replace(TANK, readings=(reading(5, 0.0), reading(8, 0.1))))
    high = run(replace(TANK, readings=(reading(5, 0.5), reading(8, 1.0))))
    at = START + timedelta(days=8)
    stop = min(range(len(low.times)), key=lambda i: abs(low.times[i] - at))
    middle = [f.series["ammonia_mg_n_per_l"].p50[stop] for f in (low, high)]
    assert middle[1] > 2.0 * middle[0]


def test_bands_are_ordered_finite_and_never_negative(forecast: Forecast) -> None:
    for name, band in forecast.series.items():
        for low, middle, high in zip(band.p05, band.p50, band.p95, strict=True):
            assert low <= middle <= high, name
            assert math.isfinite(high)
            assert low >= -1e-6, name
        assert len(band.p50) == len(forecast.times)
    assert all(0.0 <= p <= 1.0 for days in forecast.risk.values() for p in days)


def test_a_tank_without_food_or_animals_has_no_milestone_and_says_why() -> None:
    empty = run(replace(TANK, events=(), habits=(), readings=()))
    assert empty.settled.status == "no food planned"
    assert empty.settled.date.p50 is None
    assert empty.settled.reason


@pytest.mark.slow
def test_a_planted_reading_is_named_by_its_day_and_none_is_without_it() -> None:
    honest = tuple(reading(day, mg) for day, mg in ((3, 0.2), (5, 0.4), (7, 0.7), (9, 1.0)))
    planted = (*honest, reading(6, 30.0))
    keys = [
        [
            (f.key, f.arguments.get("day"))
            for f in run(replace(TANK, readings=r)).diagnostics.findings
        ]
        for r in (honest, planted)
    ]
    named = ("day-contradicts", (START + timedelta(days=6)).date())
    assert named in keys[1]
    assert not any(key == "day-contradicts" for key, _ in keys[0])


def test_what_was_taught_goes_with_the_readings(forecast: Forecast) -> None:
    assert forecast.taught is not None
    assert forecast.taught.about in ("settled", "nitrite_peak", "ammonia_peak")
    assert run(replace(TANK, readings=())).taught is None


def test_a_moment_before_filling_is_refused() -> None:
    with pytest.raises(ValueError, match="fill"):
        run(as_of=START - timedelta(days=9))


@pytest.mark.slow
def test_a_deep_look_forecasts_from_its_own_members_and_tells_whether_the_usual_agree() -> None:
    deep = run(deep_members=240)
    told = deep.diagnostics
    assert told.members == 240
    assert [f.key for f in told.findings if f.key.startswith("deep-fit")] == ["deep-fit-agrees"]


def test_a_quick_fit_that_went_astray_raises_the_alarm(monkeypatch: pytest.MonkeyPatch) -> None:
    def astray(*arguments: object, **more: object) -> Fitted:
        found = fit_members(*arguments, **more)
        assert found.z is not None
        z = found.z.copy()
        z[found.names.index("food_multiplier")] += 4.0
        return replace(found, z=z)

    monkeypatch.setattr(import_module("watervane.engine.foretell"), "fit_members", astray)
    found = run(deep_members=240).diagnostics.findings
    alarm = next(f for f in found if f.key == "deep-fit-disagrees")
    assert alarm.severity == "caution"
    assert alarm.arguments["unknown"] == "food_multiplier"


def test_without_readings_a_deep_look_says_that_it_has_nothing_to_add() -> None:
    found = run(replace(TANK, readings=()), deep_members=240)
    assert found.diagnostics.members == 60
    assert found.diagnostics.findings[0].key == "deep-fit-without-readings"
