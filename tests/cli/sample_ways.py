"""Invented ways to start an invented tank."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from sample_forecasts import sample_forecast

from watervane.records import (
    ChangePlan,
    DosePlan,
    Finding,
    FirstDose,
    NumberQuantiles,
    SeedAmount,
    StartWay,
    WayDeed,
    Ways,
)

AT = datetime(2026, 3, 1, tzinfo=UTC)
NONE = NumberQuantiles(0.0, 0.0, 0.0, 0.0, 0.0)
SEEDS = (
    SeedAmount("media", "sponge", 0.34),
    SeedAmount("media", "ceramic", 1.3),
    SeedAmount("bed", "gravel", 0.37),
    SeedAmount("water", "tank water", 890.0),
)


def around(middle: float) -> NumberQuantiles:
    """A range about a middle."""
    return NumberQuantiles(0.5 * middle, 0.8 * middle, middle, 1.2 * middle, 2.0 * middle)


def sample_plan(substance: str) -> DosePlan:
    """Doses of a salt, or of a solution."""
    doses = (
        FirstDose("ammonium chloride", 0.44, None, 1.0, 0.4),
        FirstDose("ammonia solution", 1.5, 1.6, 0.095, 0.2),
    )
    first, other = doses if substance == "ammonium chloride" else doses[::-1]
    return DosePlan(
        first=first,
        other=other,
        up_to_mg_n_per_l=2.0,
        again_below_mg_n_per_l=0.5,
        stop_above_mg_n_per_l=3.0,
        resume_below_mg_n_per_l=1.0,
        soda_below_dkh=2.0,
        soda_g_per_dkh=1.7,
        test_every_days=2,
        doses=around(4.0),
        dosed_g=around(1.8),
        soda_g=NONE,
        paused=0.8,
    )


def sample_way(key: str, days: float, *, animals: int = 0, hours: float = 0.0) -> StartWay:
    """One way; its animals suffer so many hours."""
    plan = None
    if key in ("dosed-salt", "seeded", "bottled", "lodged"):
        plan = sample_plan("ammonium chloride")
    elif key == "dosed-solution":
        plan = sample_plan("ammonia solution")
    return StartWay(
        key=key,
        animals=animals,
        species="Danio rerio" if animals else None,
        settled_days=around(days),
        settled_within=0.97,
        ready_days=around(0.7 * days),
        ready_within=0.98,
        animal_hours={"acute": NONE, "chronic": around(hours) if hours else NONE},
        mean_animal_hours={"acute": 0.0, "chronic": hours},
        harmed={"acute": 0.0, "chronic": 0.4 if hours else 0.0},
        work_minutes=around(9.0 * days),
        tasks=around(days),
        changed_l=NONE,
        cost="little",
        seed=SEEDS[0] if "seeded" in key else None,
        dose_plan=plan,
        change_plan=None if plan or key == "as-planned" else ChangePlan(0.25, 0.15, 0.33, 0.5, 2),
        middle=(
            WayDeed(AT + timedelta(days=1), "dose", 0.44),
            WayDeed(AT + timedelta(days=9), "pause", 0.0),
            WayDeed(AT + timedelta(days=15), "soda", 3.4),
        )
        if plan
        else (),
    )


def sample_ways(keys: tuple[str, ...] = ()) -> Ways:
    """Ways of an empty tank, the seeded one first; or those asked for."""
    found = tuple(sample_way(key, 20.0) for key in keys) or (
        sample_way("seeded", 10.0),
        sample_way("dosed-salt", 30.0),
        sample_way("dosed-solution", 31.0),
        sample_way("animals-first", 44.0, animals=8, hours=270.0),
    )
    return Ways(
        tank="Reading room",
        owner="local",
        as_of=AT,
        begins=AT + timedelta(days=1),
        horizon_days=84,
        seed=1,
        volume_l=57.0,
        animals_in=0,
        food_g_per_d=0.05,
        food_assumed=True,
        ways=found,
        preferred=found[0].key,
        reasons=(Finding("ways-no-animals-in-it", "info", {"way": found[0].key}),),
        seeds=SEEDS,
        diagnostics=sample_forecast().diagnostics,
    )
