"""Run a tank under another plan beside the one it has: food, water changes, mishaps on days."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from watervane.engine.composed import SERIES
from watervane.engine.mishaps import (
    KINDS,
    CannotRehearse,
    Scene,
    meals_times,
    missed,
    rewritten,
    under,
)
from watervane.engine.rehearse import BEGINS, compared, future_of, harm_of
from watervane.engine.stage import LOOKS_PER_DAY, Stage
from watervane.forecast.quantiles import band
from watervane.process.run import Course
from watervane.process.timeline import Timeline, timeline
from watervane.records import Band, Feed, Mishap, Tank, WaterChange
from watervane.records.other_plans import OtherPlan, RehearsedPlan

WHOLE_PLAN = "other-plan"  # the kind of mishap that stands for all that is done otherwise
DRAWN = (
    *("ammonia_mg_n_per_l", "nitrite_mg_n_per_l", "nitrate_mg_n_per_l"),
    *("oxygen_mg_per_l", "ph", "temperature_c"),
)


def rehearse_plan(
    stage: Stage,
    plan: OtherPlan,
    *,
    threads: int = 2,
    progress: Callable[[float], None] | None = None,
) -> RehearsedPlan:
    """Set another plan beside the one the tank has.

    Parameters
    ----------
    stage
        The tank's members, stood ready.
    plan
        What is done otherwise, for the whole horizon.
    threads, progress
        See `simulate`; what ``progress`` raises goes through it.

    Raises
    ------
    CannotRehearse
        Where the tank has nothing for a part of the plan to work on.
    """
    line = stage.line
    other = _line_under(stage, plan)
    changed = stage.planned
    if not plan.as_planned:
        changed = future_of(
            other, stage.run, stage.state, stage.days, threads, LOOKS_PER_DAY, progress
        )
    harmed = stage.harmed if plan.as_planned else harm_of(other, changed)
    begins = line.calendar.moment(line.calendar.bounds_d(stage.days[0])[0])
    told = compared(
        Mishap(WHOLE_PLAN, 0.0),
        (begins, _ends(stage, plan, begins)),
        line.calendar,
        (stage.planned, stage.harmed),
        (changed, harmed),
    )
    return RehearsedPlan(
        tank=stage.known.tank.name,
        owner=stage.known.tank.owner,
        as_of=line.calendar.moment(line.calendar.days(stage.known.as_of)),
        begins=begins,
        horizon_days=stage.horizon_days,
        seed=stage.seed,
        plan=plan,
        times=tuple(line.calendar.moment(float(at)) for at in stage.planned.stops_d),
        planned=_bands(stage.planned),
        changed=_bands(changed),
        rehearsal=replace(told, warmth_change_c_per_h=stage.gentle_c_per_h),
        diagnostics=stage.diagnostics,
        known_until=stage.known_until,
    )


def _line_under(stage: Stage, plan: OtherPlan) -> Timeline:
    """The tank under the plan: food first, then changes, then what happens on days."""
    line, last = stage.line, stage.days[1]
    begins = _noon(stage, 1)
    if plan.food_times != 1.0:
        scene = Scene(line, begins, stage.horizon_days)
        tank = rewritten(scene, Feed, meals_times(plan.food_times), stage.horizon_days)
        if tank is None:
            raise CannotRehearse(Mishap("food", plan.food_times), "no-meals-planned")
        line = timeline(tank, last)
    if plan.change_fraction is not None:
        scene = Scene(line, begins, stage.horizon_days)
        line = timeline(_changed_every(scene, plan, plan.change_fraction), last)
    for each in plan.mishaps:
        scene = Scene(line, _noon(stage, each.days_ahead), stage.horizon_days)
        line = timeline(under(scene, each.mishap), last)
    return line


def _changed_every(scene: Scene, plan: OtherPlan, fraction: float) -> Tank:
    """Water changes of one size at one distance in place of those that are planned."""
    tank = rewritten(scene, WaterChange, missed, scene.days) or scene.tank
    told = [each for each in scene.tank.events if isinstance(each, WaterChange)]
    told += [h.template for h in scene.tank.habits if isinstance(h.template, WaterChange)]
    usual = told[-1] if told else WaterChange(at=scene.begins, fraction=fraction)
    if fraction == 0.0:
        return tank
    every = range(0, scene.days, plan.change_every_days)
    changes = tuple(
        replace(usual, at=scene.begins + timedelta(days=day), fraction=fraction) for day in every
    )
    return replace(tank, events=(*tank.events, *changes))


def _noon(stage: Stage, days_ahead: int) -> datetime:
    calendar = stage.line.calendar
    return calendar.moment(calendar.at_clock_d(stage.days[0] - 1 + days_ahead, BEGINS))


def _ends(stage: Stage, plan: OtherPlan, begins: datetime) -> datetime:
    """When the last mishap is over; what is done otherwise for good has no end of its own."""
    ends = [
        _noon(stage, each.days_ahead) + KINDS[each.mishap.kind].lasts(each.mishap.size)
        for each in plan.mishaps
    ]
    return max(ends, default=begins)


def _bands(course: Course) -> dict[str, Band]:
    found = {}
    for name in DRAWN:
        output, factor = SERIES[name]
        values: NDArray[np.float64] = factor * np.maximum(course.output(output), 0.0)
        found[name] = band(values)
    return found
