"""Find the routine with the least work that keeps a tank's water in bounds for a year."""

from __future__ import annotations

import time as clock
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

import numpy as np

from watervane.advice.routines import Steady
from watervane.engine import care_told as told_of
from watervane.engine.care_cleaning import portions
from watervane.engine.care_food import food_told
from watervane.engine.care_gains import Gains, comfort_level, gains_of, steady_of
from watervane.engine.care_gentle import gentle_start
from watervane.engine.care_ground import Ground, ground_of
from watervane.engine.care_lanes import WEEK_D, Lane, run_lanes, warm_month
from watervane.engine.care_search import Chosen, halves, searched
from watervane.engine.carried_tank import CarriedTank
from watervane.engine.composed import Progress
from watervane.engine.futures import never_started, population
from watervane.engine.stage import Stage, set_stage
from watervane.records import Finding, Tank
from watervane.records.care import CareSchedule, Neglect

SETTLING_WEEKS, GAIN_WEEKS = 2, 10
GAINING = Lane(0.25, WEEK_D, pure=True)


def care(
    tank: Tank,
    before: CarriedTank | None = None,
    *,
    as_of: datetime | None = None,
    members: int = 500,
    seed: int = 1,
    threads: int = 2,
    now: datetime | None = None,
    progress: Progress | None = None,
) -> CareSchedule:
    """Work out the care of a tank for a year.

    Parameters
    ----------
    tank
        With its whole log.
    before
        Members that agree with its readings; without any they are fitted, which takes a while.
    as_of, members, seed, threads, now, progress
        See `watervane.engine.foretell`; of the members that are fitted or carried, some are run
        for a year.

    Raises
    ------
    ValueError
        If the moment lies before the filling.
    ChangedPastError
        If carried members were fitted to another past.

    Notes
    -----
    Closed forms of each member's own gains screen a grid of shares, intervals, waters to top off
    with and amounts of food; those near the edge are run, at first over few members, the cheapest
    that keep the bounds over more. Where the tank has drifted far, the year begins when it is back.
    """
    begun = clock.perf_counter()
    stage = set_stage(
        tank,
        before,
        as_of=as_of,
        horizon_days=1,
        members=members,
        seed=seed,
        threads=threads,
        now=now,
        progress=progress,
    )
    ground = ground_of(stage)
    gains = gains_by_food(ground)
    allowed = ground.standing.tank.allowed_risk
    quantities = {food: steady_of(each, ground.limits, allowed) for food, each in gains.items()}
    most = ground.foods.times[0]
    chosen = searched(ground, gains[most], quantities, progress)
    neglect = _neglect(ground, chosen, progress)
    told = _schedule(stage, ground, chosen, gains[most], quantities, neglect)
    return replace(
        told, diagnostics=replace(told.diagnostics, seconds=clock.perf_counter() - begun)
    )


def gains_by_food(ground: Ground) -> Mapping[float, Gains]:
    """What a day adds to each member, by the daily food, times what is planned."""
    lanes = [replace(GAINING, food=food) for food in ground.foods.times]
    ran = run_lanes(
        ground.line, ground.members, ground.state, ground.first, lanes, weeks=GAIN_WEEKS
    )
    weeks = range(SETTLING_WEEKS, GAIN_WEEKS - 1)
    source = ground.members.source
    return {one.lane.food: gains_of(one, source, weeks) for one in ran}


def _neglect(ground: Ground, chosen: Chosen, progress: Progress | None) -> tuple[Neglect, ...]:
    """What comes of half of the routine; run now, where the search did not."""
    less = chosen.less
    if not less:
        lanes = halves(chosen.ran.lane)
        ran = ground.run(list(lanes.values()), progress, (0.85, 1.0))
        less = {kind: ground.windows(one) for kind, one in zip(lanes, ran, strict=True)}
    return told_of.less_done(less, chosen.reach)


def _schedule(
    stage: Stage,
    ground: Ground,
    chosen: Chosen,
    gains: Gains,
    quantities: Mapping[float, Mapping[str, Steady]],
    neglect: tuple[Neglect, ...],
) -> CareSchedule:
    standing, tank = ground.standing, ground.standing.tank
    counts = population(standing).counts
    routine = chosen.tried.routine
    known = quantities[routine.food]
    findings: tuple[Finding, ...] = (*never_started(standing), *standing.findings)
    if not any(counts.values()):
        findings = (*findings, Finding("care-nobody-in", "info", {}))
    if not tank.hardness_told:
        findings = (*findings, Finding("care-hardness-untold", "info", {}))
    return CareSchedule(
        tank=tank.name,
        owner=tank.owner,
        as_of=standing.as_of,
        seed=stage.seed,
        allowed=tank.allowed_risk,
        volume_l=ground.volume_l,
        animals_in=sum(counts.values()),
        chosen=chosen.tried,
        practice=chosen.practice,
        as_planned=chosen.planned,
        tried=chosen.all_tried,
        bounds=chosen.reach.bounds(chosen.windows),
        steady=told_of.steady_levels(chosen.ran, routine, ground.members, known),
        food=food_told(
            ground.foods,
            told_of.nitrogen_of_food(ground.line, ground.first),
            float(np.median(gains.source["nitrate"])),
            comfort_level(ground.limits, "nitrate", above=True),
            (chosen.tried, *chosen.all_tried),
        ),
        neglect=neglect,
        heat=told_of.heat(
            chosen.ran,
            ground.limits,
            ground.line.calendar,
            ground.first,
            warm_month(ground.line.calendar, ground.first),
            ground.volume_l,
            tank.allowed_risk,
        ),
        cleaning=portions(
            ground.line,
            ground.members,
            ground.state,
            ground.first,
            ground.limits,
            tank.allowed_risk,
        ),
        tests=told_of.worth_testing(chosen.ran, ground.members, known),
        returning=ground.returned.plan,
        findings=findings,
        diagnostics=stage.diagnostics,
        gentle=gentle_start(ground, routine, gains),
    )
