"""Invented rehearsals: the mishap doubles ammonia, halves oxygen and a colony."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from sample_forecasts import FILLED, sample_forecast

from watervane.records import Band, Extreme, Mishap, NumberQuantiles, Rehearsal, Rehearsals
from watervane.records.other_plans import OtherPlan, RehearsedPlan


def _about(middle: float) -> NumberQuantiles:
    return NumberQuantiles(*(middle * share for share in (0.5, 0.8, 1.0, 1.2, 1.5)))


def sample_rehearsals(mishaps: Sequence[Mishap]) -> Rehearsals:
    """One rehearsal for each mishap."""
    begins = FILLED + timedelta(days=12, hours=12)
    rehearsed = tuple(
        Rehearsal(
            mishap,
            begins,
            begins + timedelta(hours=8),
            (
                Extreme("ammonia_mg_n_per_l", True, _about(0.5), _about(1.0)),
                Extreme("oxygen_mg_per_l", False, _about(7.0), _about(3.5)),
                Extreme("temperature_c", True, _about(25.0), _about(25.0)),
                Extreme("ph", False, _about(7.0), NumberQuantiles(None, None, None, None, None)),
            ),
            {"oxygen_below_3_mg_per_l": (0.0, 0.4), "ph_below_6": (0.1, 0.12)},
            {"ammonia": _about(0.5), "nitrite": _about(0.97)},
        )
        for mishap in mishaps
    )
    forecast = sample_forecast(day=11.0)
    return Rehearsals(
        forecast.tank, forecast.owner, forecast.as_of, 21, 1, rehearsed, forecast.diagnostics
    )


def sample_rehearsed_plan(plan: OtherPlan, days: int = 21) -> RehearsedPlan:
    """A plan under which ammonia doubles at its first mishap and the water cools by a degree."""
    one = sample_rehearsals([Mishap("other-plan", 0.0)])
    begins = (one.as_of + timedelta(days=1)).replace(hour=0, minute=0, second=0)
    times = tuple(begins + timedelta(hours=4 * step) for step in range(6 * days))
    first = min((each.days_ahead for each in plan.mishaps), default=days)

    def band(middle: float, jump: float) -> Band:
        levels = [middle + (jump if place >= 6 * first - 3 else 0.0) for place in range(len(times))]
        shares = (0.5, 0.8, 1.0, 1.2, 1.5)
        return Band(*(tuple(level * share for level in levels) for share in shares))

    usual = {
        "ammonia_mg_n_per_l": 0.3,
        "nitrite_mg_n_per_l": 0.6,
        "nitrate_mg_n_per_l": 8.0,
        "oxygen_mg_per_l": 7.5,
        "ph": 7.2,
        "temperature_c": 25.0,
    }
    jumps = {"ammonia_mg_n_per_l": 0.3, "temperature_c": -1.0}
    moved = not plan.as_planned
    return RehearsedPlan(
        tank=one.tank,
        owner=one.owner,
        as_of=one.as_of,
        begins=begins,
        horizon_days=days,
        seed=1,
        plan=plan,
        times=times,
        planned={name: band(middle, 0.0) for name, middle in usual.items()},
        changed={
            name: band(middle, jumps.get(name, 0.0) if moved else 0.0)
            for name, middle in usual.items()
        },
        rehearsal=one.rehearsed[0],
        diagnostics=one.diagnostics,
        known_until=one.as_of,
    )
