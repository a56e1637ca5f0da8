"""Invented care of an invented tank."""

from __future__ import annotations

from datetime import UTC, datetime

from sample_forecasts import sample_forecast
from sample_ways import around

from watervane.records import AllowedRisk, Span
from watervane.records.care import (
    BoundRisk,
    CareSchedule,
    CleaningPortion,
    FoodLevel,
    FoodSearch,
    Heat,
    Neglect,
    ReturnPlan,
    ReturnStep,
    Routine,
    RoutineTried,
    SteadyLevel,
    TestWorth,
)

NITRATE = BoundRisk(
    "comfort", "nitrate", "nitrate_comfort", "above", 10.0, ("Danio rerio",), 0.1, 0.55, 0.2, False
)
KEPT = BoundRisk(
    "comfort", "nitrate", "nitrate_comfort", "above", 10.0, ("Danio rerio",), 0.0, 0.05, 0.2, True
)


def sample_routine(share: float = 0.3, every: int = 14, top_off: str = "tap") -> Routine:
    return Routine(share, every, top_off, 60.0 * share, 1000.0 * share / every)


def sample_food(held_by: str = "need", *times: float) -> FoodSearch:
    """Half of what is planned would still feed those in the tank."""
    levels = tuple(
        FoodLevel(
            each, 0.2 * each, 0.12 * each, 0.74 * each, 0.4 * each, sample_routine(0.3 * each)
        )
        for each in times or (1.0, 0.75, 0.5)
    )
    need = None if held_by == "no-need-known" else Span(0.045, 0.1)
    return FoodSearch(0.2, around(1.1), need, held_by, levels)


def sample_return() -> ReturnPlan:
    steps = tuple(
        ReturnStep(
            day=day,
            share=share,
            litres=60.0 * share,
            water=water,
            tap_share=1.0 if water == "tap" else 0.1,
            held_by="kh" if water == "tap" else "conductivity",
            kh_dkh=around(0.3 + day),
            ph=around(6.2 + 0.1 * day),
            ammonia_mg_n_per_l=around(3.0 / day),
            free_ammonia_mg_n_per_l=0.01,
            conductivity_us_per_cm=around(600.0 - 50.0 * day),
            nitrate_mg_n_per_l=around(30.0 - day),
        )
        for day, share, water in ((1, 0.15, "soft"), (2, 0.1, "tap"), (3, 0.2, "tap"))
    )
    return ReturnPlan(
        reasons=("kh", "ph"),
        usual_share=0.25,
        steps=steps,
        reached=True,
        careless={
            "kh": 2.5, "ph": 2.6, "conductivity": 1.4, "ammonia": 1.2, "lasting": 3.1,
        },
        harm=0.0,
        harm_without=0.05,
        tap_days=None,
        limits={"kh": 1.0, "ph": 0.5, "conductivity": 0.15},
    )  # fmt: skip


def sample_care(
    bound: BoundRisk | None = None, returning: ReturnPlan | None = None
) -> CareSchedule:
    """A third every fortnight, where a quarter a month is not enough."""
    chosen = RoutineTried(sample_routine(), "candidate", True, KEPT)
    worst = bound or NITRATE
    return CareSchedule(
        tank="Reading room",
        owner="local",
        as_of=datetime(2026, 3, 12, 19, tzinfo=UTC),
        seed=1,
        allowed=AllowedRisk(),
        volume_l=60.0,
        animals_in=8,
        chosen=chosen,
        practice=RoutineTried(sample_routine(0.25, 28), "practice", False, worst),
        as_planned=RoutineTried(sample_routine(0.25, 21), "as-planned", False, worst),
        tried=(
            chosen,
            RoutineTried(sample_routine(0.2, 14), "candidate", False, worst),
            RoutineTried(sample_routine(0.5, 28, "pure"), "candidate", True, KEPT),
        ),
        bounds=(KEPT,),
        steady=tuple(
            SteadyLevel(name, around(gain), 5.0, around(8.0), around(8.1), bound_of)
            for name, gain, bound_of in (
                ("nitrate", 0.1, 10.0),
                ("kh", -0.02, 1.0),
                ("gh", 0.05, None),
                ("conductivity", 3.0, 600.0),
            )
        ),
        food=sample_food(),
        neglect=(
            Neglect("half-share", False, worst, 16),
            Neglect("every-second", True, KEPT, None),
        ),
        heat=Heat(6, 5.0, 1.6, 1.3, around(25.5), None),
        cleaning=(
            CleaningPortion("filter", 1.0, 0.02, True, 11),
            CleaningPortion("filter", 0.5, 0.0, True, 4),
            CleaningPortion("bed", 1.0, 0.2, False, None),
            CleaningPortion("bed", 0.5, 0.1, False, 9),
            CleaningPortion("both", 1.0, 0.3, False, None),
        ),
        tests=(TestWorth("nitrate", 63), TestWorth("kh", None)),
        returning=returning,
        findings=(),
        diagnostics=sample_forecast().diagnostics,
    )
