"""An invented tank and an invented forecast of it, for tests of words and pictures."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo

from watervane.records import (
    AnimalsIn,
    Band,
    DateQuantiles,
    Diagnostics,
    Dose,
    Feed,
    Finding,
    Forecast,
    Habit,
    Kit,
    KitScale,
    Milestone,
    NumberQuantiles,
    Peak,
    Reading,
    ReadingValue,
    Span,
    Tank,
    WaterChange,
)

ZONE = ZoneInfo("Europe/Lisbon")
FILLED = datetime(2026, 3, 1, 11, tzinfo=ZONE)
OFFSETS = {"p05": -1.64, "p25": -0.67, "p50": 0.0, "p75": 0.67, "p95": 1.64}


def moment(day: float) -> datetime:
    """A moment some days after filling, by the clock on the wall."""
    return FILLED + timedelta(days=day)


def sample_tank() -> Tank:
    """A 52 L tank started with four small fish, tested with a drop kit."""
    kit = Kit(
        "drop",
        "drop",
        (
            KitScale("ammonia", (0.0, 0.3, 0.7, 1.5, 3.0, 6.0), "n"),
            KitScale("nitrite", (0.0, 0.1, 0.3, 0.7, 1.5, 3.0), "n"),
            KitScale("nitrate", (0.0, 1.0, 2.5, 5.0, 10.0, 25.0), "n"),
            KitScale("ph", (6.0, 6.5, 7.0, 7.5, 8.0, 8.5), "none"),
        ),
    )
    told = [
        (4, "ammonia", 0.3),
        (7, "ammonia", 0.7),
        (9, "ammonia", 1.5),
        (9, "nitrite", 0.1),
        (9, "ph", 7.5),
        (11, "ammonia", 1.5),
        (11, "nitrite", 0.3),
        (11, "nitrate", 2.5),
        (16, "ammonia", 0.7),
        (16, "nitrite", 1.6),
        (20, "nitrite", 3.3),
    ]
    readings = tuple(
        Reading(
            at=moment(day - 0.2),
            quantity=quantity,
            value=ReadingValue("exact", value, value, "none" if quantity == "ph" else "n"),
            kit="drop",
        )
        for day, quantity, value in told
    )
    return Tank(
        name="Reading room",
        filled=date(2026, 3, 1),
        time_zone="Europe/Lisbon",
        volume_l=52.0,
        kits={"drop": kit},
        events=(
            Dose(at=moment(0), substance="conditioner"),
            AnimalsIn(at=moment(1.3), species="Danio rerio", count=4, length_cm=2.5),
            WaterChange(at=moment(11), fraction=0.25),
        ),
        habits=(
            Habit(
                template=Feed(at=moment(1.3), mass_g=Span(0.02, 0.05)),
                every_days=1,
                start=date(2026, 3, 2),
            ),
            Habit(
                template=WaterChange(at=moment(15), fraction=0.2),
                every_days=7,
                start=date(2026, 3, 16),
            ),
        ),
        readings=readings,
    )


@cache
def sample_forecast(*, day: float = 11.0, horizon_days: int = 35, sharp: float = 1.0) -> Forecast:
    """A forecast as it might stand on a day; ``sharp`` under one narrows it."""
    as_of = moment(day)
    hours = range(0, int((day + horizon_days) * 24) + 1, 6)
    times = tuple(moment(hour / 24) for hour in hours)

    def band(curve: object, spread: float, *, relative: bool) -> Band:
        columns = {}
        for key, offset in OFFSETS.items():
            column = []
            for hour in hours:
                age = hour / 24
                width = spread * sharp * min(1.0, 0.25 + abs(age - day) / 12)
                middle = curve(age)
                wide = middle * math.exp(offset * width) if relative else middle + offset * width
                column.append(wide)
            columns[key] = tuple(column)
        return Band(**columns)

    def hump(peak_day: float, height: float, width: float) -> object:
        return lambda age: height * math.exp(-(((age - peak_day) / width) ** 2)) + 0.01

    series = {
        "ammonia_mg_n_per_l": band(hump(11.5, 1.5, 5.5), 0.5, relative=True),
        "nitrite_mg_n_per_l": band(hump(23, 3.2, 6.5), 0.6, relative=True),
        "nitrate_mg_n_per_l": band(
            lambda age: 1.0 + 9.0 / (1 + math.exp((22 - age) / 5)), 0.3, relative=True
        ),
        "ph": band(lambda age: 7.6 - 0.4 / (1 + math.exp((20 - age) / 6)), 0.15, relative=False),
    }

    def dates(middle: float, spread: float) -> DateQuantiles:
        ages = {key: middle + offset * spread * sharp for key, offset in OFFSETS.items()}
        last = day + horizon_days
        return DateQuantiles(
            **{key: moment(age) if age <= last else None for key, age in ages.items()}
        )

    return Forecast(
        tank="Reading room",
        owner="local",
        filled=FILLED,
        as_of=as_of,
        horizon_days=horizon_days,
        seed=1,
        ammonia_peak=Peak(dates(11.5, 1.2), NumberQuantiles(0.8, 1.2, 1.5, 1.9, 2.4), 0.99),
        nitrite_peak=Peak(dates(23, 3.0), NumberQuantiles(1.1, 2.2, 3.2, 4.4, 7.1), 0.97),
        settled=Milestone(dates(33, 4.5), 0.94, "ahead", causes={"buffering-spent": 0.06}),
        ready=Milestone(dates(37, 5.0), 0.86, "ahead"),
        times=times,
        series=series,
        risk={
            "nitrite_above_0.6_mg_n_per_l": tuple(
                min(1.0, 0.02 + 0.11 * ahead) for ahead in range(horizon_days)
            ),
            "ph_below_6": (0.0,) * horizon_days,
        },
        diagnostics=Diagnostics(
            members=1000,
            prior_members=8000,
            effective_members=412.3,
            readings_used=8,
            health="good",
            seconds=3.2,
            accuracy="printed",
            model_version="0.1.0",
            parameter_digest="0" * 12,
        ),
        assumptions=(
            Finding("assumed-chloramine", "info", {"mg_per_l": 1.0}),
            Finding("assumed-filter", "info", {"media_l": 0.3}),
        ),
    )


def sample_poor() -> Forecast:
    """The same forecast where hardly any member agrees with the readings."""
    forecast = sample_forecast()
    poor = replace(
        forecast.diagnostics,
        effective_members=6.4,
        health="poor",
        findings=(Finding("few-members-agree", "caution", {"effective": 6.4, "members": 8000}),),
    )
    return replace(forecast, diagnostics=poor)
