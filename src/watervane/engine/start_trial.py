"""Members run under one way to start after another, and judged."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

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
from watervane.engine.start_scenes import SEED_HOURS_OUT_OF_WATER, Ground, Scene, scene_of
from watervane.engine.tended import Tended, tended, tended_side_by_side
from watervane.forecast.capacity import MARGIN
from watervane.forecast.milestones import SETTLED_DAYS
from watervane.forecast.quantiles import number_quantiles
from watervane.limits import limits_in
from watervane.planning.start_kinds import Start
from watervane.planning.ways_to_start import seed_amounts
from watervane.process.geometry import tank_geometry
from watervane.process.run import Members
from watervane.process.state import TankState
from watervane.process.timeline import timeline
from watervane.records import Finding, SeedAmount, SettledLevels, StartWay
from watervane.reference import value

Numbers = NDArray[np.float64]
STRIDE_DAYS = 2  # between the days on which the normal food is tried
SEEDED_ENOUGH = 0.75  # of the members settle at once on the amount that is told
HARDLY_REAL_PH = 9.5  # plants of the model go on where those of a tank want carbon dioxide
WORTH_A_REMARK = 0.05
LEAST_SEED_L = 0.05  # less is not worth the way; more than the filter holds finds no room


@dataclass(frozen=True)
class Ran:
    """A way run over the members.

    Parameters
    ----------
    start, scene, ran
        The way, the tank set up for it, and how it went.
    settled, ready
        Days from the start, infinite where not within the horizon; shape (members,).
    """

    start: Start
    scene: Scene
    ran: Tended
    settled: Numbers
    ready: Numbers


@dataclass(frozen=True)
class Trial:
    """Everything a way is run with.

    Parameters
    ----------
    ground
        What every way begins from.
    horizon_days
        [d]
    levels
        What counts as settled.
    members, state
        On the morning the start begins.
    """

    ground: Ground
    horizon_days: int
    levels: SettledLevels
    members: Members
    state: TankState

    @property
    def volume_l(self) -> float:
        return tank_geometry(self.ground.tank)[0]["volume_l"]

    @property
    def load(self) -> float:
        return self.ground.meals.load_mg_n_per_l_d(self.volume_l)

    def seed_area_m2(self) -> float:
        """Mature surface whose colony carries the load for most members. [m2]

        From what a colony turns over in this water on the first day, nothing done; never more
        than the filter has room for.
        """
        first = self.ground.first
        line = timeline(replace(self.ground.tank, habits=()), first + 1)
        ran = tended(line, self.members, self.state, (first, first + 1), [])
        return self._area_m2(ran)

    def run(self, starts: Sequence[Start], seed: SeedAmount) -> list[Ran]:
        """Run the members under ways whose plans are one, and try when they are settled."""
        first = self.ground.first
        scenes = [scene_of(start, self.ground, seed, self.members) for start in starts]
        candidates = range(first, first + self.horizon_days + 1, STRIDE_DAYS)
        span = (first, first + self.horizon_days + SETTLED_DAYS)
        line = scenes[0].line
        runs = tended_side_by_side(
            line,
            self.members,
            self.state,
            span,
            [scene.rules for scene in scenes],
            candidates,
        )
        marks = [able_and_ready(ran, self.members, self.levels, self.load) for ran in runs]
        ables = [able for able, _ in marks]
        settled = settled_after(line, self.members, runs, ables, self.ground.meals, self.levels)
        return [
            Ran(start, scene, ran, self._within(days), self._within(ready))
            for start, scene, ran, days, (_, ready) in zip(
                starts, scenes, runs, settled, marks, strict=True
            )
        ]

    def _within(self, days: Numbers) -> Numbers:
        return np.where(days <= self.horizon_days, days, np.inf)

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
        line = timeline(replace(self.ground.tank, habits=()), self.ground.first)
        begins = line.calendar.bounds_d(self.ground.first)[0]
        room = line.geometry_at(begins)["filter_area_m2"]
        return min(max(area, least), max(room, least))

    def judged(self, way: Ran, seed: SeedAmount) -> StartWay:
        """Make the record of a way from what its members did."""
        start, scene, ran, settled, ready = way.start, way.scene, way.ran, way.settled, way.ready
        limits = limits_in(self.ground.tank, scene.species)
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
            seed=seed if start.seeded else None,
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
