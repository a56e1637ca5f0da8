"""An invented day of an invented tank."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from sample_forecasts import sample_forecast

from watervane.advice.acts import change, fast
from watervane.records import (
    AllowedRisk,
    Danger,
    Driver,
    NumberQuantiles,
    ReadAlarm,
    Swing,
    Today,
    ToldLimit,
    Verdict,
    WeekPlan,
)

AT = datetime(2026, 3, 10, 18, tzinfo=UTC)
CHANGE = change(AT, 0.35, 60.0)
Q = NumberQuantiles(0.02, 0.04, 0.06, 0.08, 0.12)
LIMIT = ToldLimit(
    key="free_ammonia_chronic_hardy",
    tier="chronic",
    subject="ammonia",
    quantity="free_ammonia_mg_n_per_l",
    side="above",
    level=0.041,
    hours=720.0,
    group="hardy",
    animals=("Danio rerio",),
    source="timmons_ebeling2007",
    where="under 0.05 mg NH3/L for long",
    quality="secondary",
    total_mg_n_per_l=0.8,
)
PLANNED = WeekPlan(
    (),
    0.0,
    0.0,
    {"acute": 0.1, "chronic": 0.6, "comfort": 0.5},
    {"acute": 2.0, "chronic": 40.0, "comfort": 30.0},
    by_subject={"acute/ammonia": 0.1, "chronic/ammonia": 0.6},
)
CHOSEN = WeekPlan(
    (CHANGE, fast(AT, 2.0)),
    26.0,
    21.0,
    {"acute": 0.0, "chronic": 0.04, "comfort": 0.3},
    {"acute": 0.0, "chronic": 1.0, "comfort": 20.0},
)


SWING = Swing("ph", None, "none", 7.6, 8.0, 0.2, 0.8, 0.2, 0.8)


def reading_day() -> Today:
    """A day on which a reading, taken at its word, is worse than all that fits the rest."""
    day = sample_today()
    alarm = ReadAlarm("ammonia", 2.3, LIMIT, 0.9, 0.55)
    said = replace(day.verdict, key="reading-harmful", leading=None, alarm=alarm)
    return replace(day, verdict=said)


def sample_today() -> Today:
    """A day on which free ammonia is too much for long."""
    leading = Danger("chronic", "ammonia", 0.5, 0.7, 0.8, LIMIT, Q)
    drivers = (Driver("free_ammonia_mg_n_per_l", Q), Driver("temperature_c", Q), Driver("ph", Q))
    return Today(
        "Reading room",
        "local",
        AT,
        1,
        AllowedRisk(),
        Verdict("strain-likely", leading, (leading,), drivers, SWING),
        PLANNED,
        CHOSEN,
        None,
        (PLANNED, CHOSEN),
        ("acute", "chronic", "comfort"),
        {"acute": 0.0, "chronic": 0.0, "comfort": 0.1},
        31,
        (),
        (),
        sample_forecast().diagnostics,
    )
