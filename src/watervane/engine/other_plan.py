"""Run a tank under another plan beside the one it has: food, water changes, mishaps on days."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np

from watervane.engine.mishaps import (
    KINDS,
    CannotRehearse,
    Scene,
    besides,
    meals_times,
    missed,
    rewritten,
    under,
)
from watervane.engine.rehearse import BEGINS, compared, future_of, harm_of
from watervane.engine.stage import LOOKS_PER_DAY, Stage, bands_of
from watervane.process.day_program import Action
from watervane.process.run import Course
from watervane.process.timeline import Timeline, timeline
from watervane.records import QUANTILE_KEYS, Band, Feed, Mishap, Tank, WaterChange
from watervane.records.other_plans import OtherPlan, RehearsedPlan

WHOLE_PLAN = "other-plan"  # the kind of mishap that stands for all that is done otherwise


def rehearse_plan(
    stage: Stage,
    plan: OtherPlan,
    *,
    threads: int = 2,
    progress: Callable[[float], None] | None = None,
    first_look: bool = False,
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
    first_look
        By some of the members alone, see `Stage.part`: how far the other plan moves those is added
        to what is planned for all of them.

    Raises
    ------
    CannotRehearse
        Where the tank has nothing for a part of the plan to work on.
    """
    everyone = stage
    stage = everyone.part if first_look and not plan.as_planned else everyone
    line = stage.line
    other, more = _line_under(stage, plan)
    changed = stage.planned
    if not plan.as_planned:
        changed = future_of(
            other,
            stage.run,
            stage.state,
            stage.days,
            threads,
            LOOKS_PER_DAY,
            progress,
            besides=more,
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
        planned=everyone.bands,
        changed=bands_of(changed) if stage is everyone else _carried_over(everyone, stage, changed),
        rehearsal=replace(told, warmth_change_c_per_h=stage.gentle_c_per_h),
        diagnostics=stage.diagnostics,
        known_until=stage.known_until,
        seen_of=(len(stage.run), len(everyone.run)),
    )


def _line_under(stage: Stage, plan: OtherPlan) -> tuple[Timeline, tuple[Action, ...]]:
    """The tank under the plan: food first, then changes, then what happens on days.

    Beside it what happens then that no record tells of.
    """
    more: list[Action] = []
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
        more += besides(scene, each.mishap)
    return line, tuple(more)


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


def _carried_over(everyone: Stage, part: Stage, changed: Course) -> dict[str, Band]:
    """Bands of all members, as a part of them tells: those planned, moved as far as the part's."""
    every, before, after = everyone.bands, part.bands, bands_of(changed)
    found = {}
    for name, whole in every.items():
        moved = [
            np.asarray(getattr(whole, key))
            + np.asarray(getattr(after[name], key))
            - np.asarray(getattr(before[name], key))
            for key in QUANTILE_KEYS
        ]
        ranked = np.sort(np.maximum(moved, 0.0), axis=0)
        found[name] = Band(
            **{key: tuple(row.tolist()) for key, row in zip(QUANTILE_KEYS, ranked, strict=True)}
        )
    return found
