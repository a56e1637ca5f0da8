"""Run every way to start a tank over its members and set them side by side."""

from __future__ import annotations

import time as clock
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from watervane.engine.foretell import FUTURE, Progress
from watervane.engine.futures import stand
from watervane.engine.remarks import diagnostics
from watervane.engine.start_marks import (
    HARMFUL,
    able_and_ready,
    animal_hours,
    capacities,
    settled_after,
    with_last_change,
    work_until,
)
from watervane.engine.start_plans import change_plan, dose_plan, middle_deeds
from watervane.engine.start_scenes import (
    SEED_HOURS_OUT_OF_WATER,
    Ground,
    Scene,
    ground_of,
    scene_of,
)
from watervane.engine.tended import Tended, tended
from watervane.forecast.capacity import MARGIN
from watervane.forecast.milestones import SETTLED_DAYS
from watervane.forecast.quantiles import number_quantiles
from watervane.limits import limits_for
from watervane.planning.ways_to_start import (
    Start,
    open_ways,
    ranked,
    reasons_for,
    seed_amounts,
)
from watervane.process.run import Members, simulate
from watervane.process.state import TankState
from watervane.process.timeline import timeline
from watervane.records import Finding, SeedAmount, SettledLevels, StartWay, Tank, Ways
from watervane.reference import value

Numbers = NDArray[np.float64]
FEWEST_FITTED = 500  # readings want more members than the ways are run on
STRIDE_DAYS = 2  # between the days on which the normal food is tried
SEEDED_ENOUGH = 0.75  # of the members settle at once on the amount that is told
HARDLY_REAL_PH = 9.5  # plants of the model go on where those of a tank want carbon dioxide
WORTH_A_REMARK = 0.05
LEAST_SEED_L = 0.05  # less is not worth the way; more than the filter holds finds no room


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
    told = None if progress is None else (lambda share: progress("weighing", share))
    fitted = max(members, FEWEST_FITTED) if tank.readings else members
    standing = stand(
        tank, as_of=as_of, members=fitted, seed=seed, threads=threads, now=now, progress=told
    )
    if fitted > members:
        standing = standing.some(np.linspace(0, fitted - 1, members).astype(np.int64))
    ground = ground_of(standing, horizon_days, 2 * SETTLED_DAYS)
    trial = _Trial(ground, horizon_days, levels or SettledLevels(), *_begin(ground))
    occupied = bool(ground.counts)
    starts = open_ways(occupied=occupied, planted=tank.plants == "many", planned=ground.planned)
    if progress is not None:
        progress("future", 0.0)
    area, first = trial.first_way(starts[0])
    seeds = seed_amounts(area)
    others = _all(trial, starts[1:], seeds[0], threads, progress)
    found = ranked([first, *others])
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
        reasons=tuple(reasons_for(found[0], found, occupied=occupied)),
        seeds=seeds,
        diagnostics=diagnostics(
            standing.fitted,
            standing.readings,
            standing.read,
            "sampling",
            clock.perf_counter() - begun,
        ),
    )


def _all(
    trial: _Trial,
    starts: Sequence[Start],
    seed: SeedAmount,
    threads: int,
    progress: Progress | None,
) -> list[StartWay]:
    done = [0]

    def work(start: Start) -> StartWay:
        result = trial.way(start, seed)
        done[0] += 1
        if progress is not None:
            progress("future", done[0] / (len(starts) + 1))
        return result

    with ThreadPoolExecutor(threads) as pool:
        return list(pool.map(work, starts))


def _begin(ground: Ground) -> tuple[Members, TankState]:
    """The members as they stand on the morning the start begins."""
    standing = ground.standing
    run = standing.members
    state = standing.state
    if ground.first > standing.today:
        line = timeline(standing.tank, ground.first)
        state = simulate(line, run, state, (standing.today, ground.first)).final
    return replace(run, numbers=run.numbers + FUTURE), state


@dataclass(frozen=True)
class _Trial:
    """Everything a way is run with."""

    ground: Ground
    horizon_days: int
    levels: SettledLevels
    members: Members
    state: TankState

    @property
    def volume_l(self) -> float:
        return timeline(replace(self.ground.tank, habits=()), 0).geometry["volume_l"]

    @property
    def load(self) -> float:
        return self.ground.meals.load_mg_n_per_l_d(self.volume_l)

    def first_way(self, start: Start) -> tuple[float, StartWay]:
        """A way without seed, and the mature surface that would spare the waiting. [m2]"""
        scene, ran = self.run(start, None)
        return self._area_m2(ran), self.judged(start, scene, ran, None)

    def way(self, start: Start, seed: SeedAmount) -> StartWay:
        """Run and judge one way."""
        scene, ran = self.run(start, seed if start.seeded else None)
        return self.judged(start, scene, ran, seed if start.seeded else None)

    def run(self, start: Start, seed: SeedAmount | None) -> tuple[Scene, Tended]:
        """Run the members under one way."""
        first = self.ground.first
        scene = scene_of(start, self.ground, seed, self.members)
        candidates = range(first, first + self.horizon_days + 1, STRIDE_DAYS)
        span = (first, first + self.horizon_days + SETTLED_DAYS)
        return scene, tended(scene.line, self.members, self.state, span, scene.rules, candidates)

    def _area_m2(self, ran: Tended) -> float:
        """Surface of mature medium whose colony carries the load, for most members."""
        needed = np.zeros(len(self.members))
        row = value("seed_media_activity")
        kept = _fresh_and_moist() * row.value
        for guild in ("ammonia", "nitrite"):
            able, colony = capacities(ran, self.members, self.levels, guild)
            per_mg = able[0] / np.maximum(colony[0], 1e-12)
            wanted = MARGIN * self.load / np.maximum(per_mg, 1e-12) * self.volume_l
            density = self.members.parameters[f"seed_{guild}_density_mg_per_m2"]
            needed = np.maximum(needed, wanted / density / kept)
        area = float(np.quantile(needed, SEEDED_ENOUGH))
        least = LEAST_SEED_L / seed_amounts(1.0)[0].volume_l
        room = timeline(replace(self.ground.tank, habits=()), 0).geometry["filter_area_m2"]
        return min(max(area, least), max(room, least))

    def judged(self, start: Start, scene: Scene, ran: Tended, seed: SeedAmount | None) -> StartWay:
        """Make the record of a way from what its members did."""
        able, ready = able_and_ready(ran, self.members, self.levels, self.load)
        settled = settled_after(scene.line, self.members, ran, able, self.ground.meals, self.levels)
        settled = np.where(settled <= self.horizon_days, settled, np.inf)
        ready = np.where(ready <= self.horizon_days, ready, np.inf)
        limits = limits_for(scene.species, edits=self.ground.tank.limit_edits)
        end = scene.line.calendar.bounds_d(self.ground.first + self.horizon_days)[0]
        hours = animal_hours(scene.line, ran, limits, end)
        work = work_until(ran, settled, self.volume_l)
        if start.dosed is not None:
            work = with_last_change(work, ran, settled, self.members, self.volume_l)
        return StartWay(
            key=start.key,
            animals=scene.count,
            species=scene.species[0] if scene.species else None,
            settled_days=number_quantiles(settled),
            settled_within=float(np.isfinite(settled).mean()),
            ready_days=number_quantiles(ready),
            ready_within=float(np.isfinite(ready).mean()),
            animal_hours={tier: number_quantiles(hours[tier][0]) for tier in HARMFUL},
            mean_animal_hours={tier: float(hours[tier][0].mean()) for tier in HARMFUL},
            harmed={tier: float(hours[tier][1].mean()) for tier in HARMFUL},
            work_minutes=number_quantiles(work.minutes),
            tasks=number_quantiles(work.tasks),
            changed_l=number_quantiles(work.changed_l),
            cost=start.cost,
            seed=seed,
            dose_plan=None
            if start.dosed is None
            else dose_plan(start.dosed, ran, settled, self.volume_l, self.ground.dose_levels),
            change_plan=change_plan() if start.tended and start.dosed is None else None,
            reasons=tuple(_doubts(start, ran)),
            middle=middle_deeds(start, ran, settled, scene.line, self.volume_l),
        )


def _doubts(start: Start, ran: Tended) -> Iterator[Finding]:
    """Where the model is known to go wrong with a way."""
    share = float((ran.course.output("ph") > HARDLY_REAL_PH).any(axis=0).mean())
    if start.planted and share >= WORTH_A_REMARK:
        told = {"way": start.key, "chance": share, "ph": HARDLY_REAL_PH}
        yield Finding("ways-plants-lift-ph", "caution", told)


def _fresh_and_moist() -> float:
    row = value("kept_fresh")
    low, high = row.low or row.value, row.high or row.value
    loss = value("wet_out_of_water_loss_per_h").value * SEED_HOURS_OUT_OF_WATER
    return 0.5 * (low + high) * float(np.exp(-loss))
