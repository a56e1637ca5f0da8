"""Run every way to start a tank over its members and set them side by side."""

from __future__ import annotations

import time as clock
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import datetime

import numpy as np

from watervane.engine.foretell import FUTURE, Progress
from watervane.engine.futures import stand
from watervane.engine.start_scenes import Ground, ground_of
from watervane.engine.start_trial import Ran, Trial
from watervane.forecast.milestones import SETTLED_DAYS
from watervane.planning.start_kinds import Start, open_ways
from watervane.planning.ways_to_start import ranked, reasons_for, seed_amounts
from watervane.process.run import Members, simulate
from watervane.process.state import TankState
from watervane.process.timeline import timeline
from watervane.records import SeedAmount, SettledLevels, StartWay, Tank, Ways, as_fitted

FEWEST_FITTED = 500  # readings want more members than the ways are run on


def ways(
    tank: Tank,
    *,
    as_of: datetime | None = None,
    horizon_days: int = 84,
    members: int = 120,
    seed: int = 1,
    threads: int = 2,
    levels: SettledLevels | None = None,
    now: datetime | None = None,
    progress: Progress | None = None,
) -> Ways:
    """Compare the ways to start a tank that are open to it.

    Parameters
    ----------
    tank
        With its whole log.
    as_of
        See `watervane.engine.foretell`; every way begins on the next morning.
    horizon_days
        Days looked at from there. [d]
    members
        Run under every way, all under the same luck.
    seed, threads, levels, now, progress
        See `watervane.engine.foretell`.

    Raises
    ------
    ValueError
        If the moment lies before the filling.
    """
    begun = clock.perf_counter()
    fitted = max(members, FEWEST_FITTED) if tank.readings else members
    standing = stand(
        tank, as_of=as_of, members=fitted, seed=seed, threads=threads, now=now, progress=progress
    )
    if fitted > members:
        standing = standing.some(np.linspace(0, fitted - 1, members).astype(np.int64))
    ground = ground_of(standing, horizon_days, 2 * SETTLED_DAYS)
    trial = Trial(ground, horizon_days, levels or tank.settled_levels, *_begin(ground))
    occupied = bool(ground.counts)
    starts = open_ways(
        occupied=occupied,
        planted=as_fitted(tank, standing.as_of.date()).plants == "many",
        planned=ground.planned,
    )
    if progress is not None:
        progress("future", 0.0)
    seeds = seed_amounts(trial.seed_area_m2())
    allowed = tank.allowed_risk
    found = ranked(_all(trial, starts, seeds[0], threads, progress), allowed)
    return Ways(
        tank=tank.name,
        owner=tank.owner,
        as_of=standing.as_of,
        begins=standing.calendar.moment(standing.calendar.bounds_d(ground.first)[0]),
        horizon_days=horizon_days,
        seed=seed,
        volume_l=trial.volume_l,
        animals_in=sum(ground.counts.values()),
        food_g_per_d=ground.meals.grams.centre,
        food_assumed=ground.assumed,
        ways=found,
        preferred=found[0].key,
        reasons=tuple(reasons_for(found[0], found, allowed, occupied=occupied)),
        seeds=seeds,
        diagnostics=standing.how_made(begun),
    )


def _all(
    trial: Trial,
    starts: Sequence[Start],
    seed: SeedAmount,
    threads: int,
    progress: Progress | None,
) -> list[StartWay]:
    """Run ways whose plans are one together, then judge each."""
    groups: dict[object, list[Start]] = {}
    for start in starts:
        groups.setdefault((start.animals, start.planted, start.tended), []).append(start)
    done, steps = [0], len(groups) + len(starts)

    def told() -> None:
        done[0] += 1
        if progress is not None:
            progress("future", done[0] / steps)

    def run(group: Sequence[Start]) -> list[Ran]:
        result = trial.run(group, seed)
        told()
        return result

    def judge(one: Ran) -> StartWay:
        result = trial.judged(one, seed)
        told()
        return result

    with ThreadPoolExecutor(threads) as pool:
        ran = [one for group in pool.map(run, groups.values()) for one in group]
        return list(pool.map(judge, ran))


def _begin(ground: Ground) -> tuple[Members, TankState]:
    """The members as they stand on the morning the start begins."""
    standing = ground.standing
    run = standing.members
    state = standing.state
    if ground.first > standing.today:
        line = timeline(standing.tank, ground.first)
        state = simulate(line, run, state, (standing.today, ground.first)).final
    return replace(run, numbers=run.numbers + FUTURE), state
