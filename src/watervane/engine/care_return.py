"""The way back of a tank that drifted: searched by chemistry, then run in full."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.chemistry.ammonia import free_ammonia_fraction
from watervane.chemistry.mixing import Water
from watervane.engine.care_lanes import Lane, change_action, side_by_side
from watervane.forecast.harm import course_water
from watervane.forecast.quantiles import number_quantiles
from watervane.limits import Limit, allowed_change, judge
from watervane.limits.limit import Constant
from watervane.planning.returning import (
    CONDUCTIVITY_SHARE,
    DRIFTS,
    KH_RISE_DKH,
    MOST_SHARE,
    Daily,
    PlannedStep,
    StepLimits,
    WayBack,
    conductivity_of,
    drifted,
    moved_by,
    way_back,
)
from watervane.planning.water_of_state import tap_of, water_of
from watervane.process.daily_noise import DailyNoise
from watervane.process.run import Members, simulate
from watervane.process.source_water import MEQ_PER_DKH
from watervane.process.state import TankState
from watervane.process.tending import Deed, after_deeds
from watervane.process.timeline import Timeline
from watervane.records.care import ReturnPlan, ReturnStep

Numbers = NDArray[np.float64]
SEARCHED = 40  # members the search looks at
FAST_DAYS = 4  # without food, to learn what a day brings besides
USUAL_PH_CHANGE = 0.5
LOOKS = 6
NEARLY_ALL = 0.95
HARD_KEYS = ("kh", "ph", "conductivity", "ammonia", "lasting")


@dataclass(frozen=True)
class Returned:
    """The plan, and members and state on the morning after its last step."""

    plan: ReturnPlan | None
    state: TankState
    first: int


def step_limits(limits: tuple[Limit, ...]) -> StepLimits:
    """What one day's change may move, for those in the tank."""
    nitrate = [
        each.level.value
        for each in limits
        if each.subject == "nitrate" and each.tier == "comfort" and isinstance(each.level, Constant)
    ]
    return StepLimits(
        KH_RISE_DKH,
        allowed_change(limits, "ph_change") or USUAL_PH_CHANGE,
        CONDUCTIVITY_SHARE,
        tuple(each for each in limits if each.subject == "ammonia"),
        min(nitrate, default=np.inf),
    )


def returned(
    line: Timeline,
    members: Members,
    state: TankState,
    first: int,
    limits: tuple[Limit, ...],
    usual_share: float,
) -> Returned:
    """Find the way back of a tank, and run it.

    Parameters
    ----------
    line
        What is planned in any case, without changes of its own.
    members, state
        On the morning of the first day.
    first
        Local day.
    limits
        Of those in the tank.
    usual_share
        Of the change that is to be harmless in the end. [-]
    """
    told = step_limits(limits)
    tank, tap = _waters(members, state)
    if not set(drifted(tank, tap, told, usual_share)) & set(DRIFTS):
        return Returned(None, state, first)
    daily = _fasting(line, members, state, first)
    way = way_back(tank, tap, told, usual_share, daily)
    alone = way_back(tank, tap, told, usual_share, daily, soft=False)
    ran, harm = _run(line, members, state, first, way.steps, limits)
    _, without = _run(line, members, state, first, (), limits, days=way.days)
    plan = _plan(line, way, alone, told, (tank, tap), usual_share, (harm, without))
    return Returned(plan, ran, first + way.days)


def _waters(members: Members, state: TankState) -> tuple[Water, Water]:
    count = len(members)
    some = np.unique(np.linspace(0, count - 1, min(SEARCHED, count)).astype(np.int64))
    tank = water_of(state, some)
    return tank, tap_of(members.source[:, some], np.asarray(tank.temperature_c))


def _fasting(line: Timeline, members: Members, state: TankState, first: int) -> Daily:
    """What a day brings to a tank that is not fed, as its members have it."""
    wide, _, _ = side_by_side(members, state, [Lane(0.0, food=0.0)])
    end = simulate(line, wide, state, (first, first + FAST_DAYS), threads=1).final
    (before, _), (after, _) = _waters(members, state), _waters(members, end)
    return Daily(
        *(
            (np.asarray(getattr(after, name)) - np.asarray(getattr(before, name))) / FAST_DAYS
            for name in ("ammonia_mg_n_per_l", "alkalinity_meq_per_l", "nitrate_mg_n_per_l")
        )
    )


def _run(
    line: Timeline,
    members: Members,
    state: TankState,
    first: int,
    steps: tuple[PlannedStep, ...],
    limits: tuple[Limit, ...],
    days: int = 0,
) -> tuple[TankState, float]:
    """The state after the steps, and the chance that an acute limit of ammonia was passed.

    Food is left out while soft water goes in: what is not fed need not be taken out.
    """
    noise = DailyNoise(members.seed, members.numbers, members.told, first + len(steps) + days)
    everyone = np.ones(len(members), dtype=bool)
    hungry, _, _ = side_by_side(members, state, [Lane(0.0, food=0.0)])
    harmed = np.zeros(len(members), dtype=bool)
    acute = [each for each in limits if each.subject == "ammonia" and each.tier == "acute"]
    plan: list[PlannedStep | None] = list(steps) or [None] * days
    for place, step in enumerate(plan):
        day = first + place
        who = members
        if step is not None:
            warm = float(np.median(state.temperature_c))
            deed = Deed(change_action(step.share, step.tap_share, warm), everyone)
            state = after_deeds(members, state, day, noise, [deed])
            who = hungry if step.water == "soft" else members
        begin, end = line.calendar.bounds_d(day)
        stops = [begin + (end - begin) * k / LOOKS for k in range(LOOKS)]
        course = simulate(line, who, state, (day, day + 1), stops_d=stops, threads=1)
        state = course.final
        for judged in judge(acute, course_water(course)).values():
            harmed |= judged.passed.any(axis=0)
    return state, float(harmed.mean())


def _plan(
    line: Timeline,
    way: WayBack,
    alone: WayBack,
    told: StepLimits,
    waters: tuple[Water, Water],
    usual_share: float,
    harm: tuple[float, float],
) -> ReturnPlan:
    tank, tap = waters
    half = moved_by(tank, tap, MOST_SHARE, told)
    careless = {
        name: float(np.quantile(np.asarray(half.ratios[name]), NEARLY_ALL)) for name in HARD_KEYS
    }
    volume = line.geometry["volume_l"]
    return ReturnPlan(
        reasons=drifted(tank, tap, told, usual_share),
        usual_share=usual_share,
        steps=tuple(_step(k + 1, each, volume) for k, each in enumerate(way.steps)),
        reached=way.reached,
        careless=careless,
        harm=harm[0],
        harm_without=harm[1],
        tap_days=alone.days if alone.reached else None,
        limits={
            "kh": told.kh_rise_dkh,
            "ph": told.ph_change,
            "conductivity": told.conductivity_share,
        },
    )


def _step(day: int, step: PlannedStep, volume_l: float) -> ReturnStep:
    after = step.moved.after
    tan = np.asarray(after.ammonia_mg_n_per_l)
    free = tan * np.asarray(free_ammonia_fraction(step.moved.highest_ph, after.temperature_c))
    return ReturnStep(
        day=day,
        share=step.share,
        litres=step.share * volume_l,
        water=step.water,
        tap_share=step.tap_share,
        held_by=step.held_by,
        kh_dkh=number_quantiles(np.asarray(after.alkalinity_meq_per_l) / MEQ_PER_DKH),
        ph=number_quantiles(step.moved.highest_ph),
        ammonia_mg_n_per_l=number_quantiles(tan),
        free_ammonia_mg_n_per_l=float(np.quantile(free, NEARLY_ALL)),
        conductivity_us_per_cm=number_quantiles(conductivity_of(after)),
        nitrate_mg_n_per_l=number_quantiles(np.asarray(after.nitrate_mg_n_per_l)),
    )
