"""What every routine of a tank begins from: its members on the first morning of the year."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from watervane.advice.routines import practice
from watervane.engine.begun_members import Begun
from watervane.engine.care_bounds import Key, Taps, Windows, windows_of
from watervane.engine.care_food import Foods, foods_of, need_of
from watervane.engine.care_lanes import (
    WEEK_D,
    WEEKS,
    Lane,
    LaneRan,
    run_lanes,
    with_warm_months,
    without_changes,
)
from watervane.engine.care_return import Returned, returned
from watervane.engine.composed import Progress
from watervane.engine.futures import Standing, limits_of, population
from watervane.engine.newcomers import planned_food_g_per_d
from watervane.engine.stage import Stage
from watervane.engine.stratified import stratified
from watervane.inference.fitting import Fitted
from watervane.limits import Limit, limits_in
from watervane.planning.returning import conductivity_of
from watervane.planning.water_of_state import tap_of
from watervane.process.run import BLOCK_MEMBERS, Members, chosen_state
from watervane.process.source_water import MEQ_PER_DKH
from watervane.process.state import TankState
from watervane.process.timeline import Timeline, timeline
from watervane.records.events import UNNAMED

Numbers = NDArray[np.float64]
LANES_IN_ONE = 7  # that fill a block of the program, each over as many members as this leaves
MEMBERS = BLOCK_MEMBERS // LANES_IN_ONE
FOOD_DAYS = 28


@dataclass(frozen=True)
class Ground:
    """What every routine begins from.

    Parameters
    ----------
    standing
        Of the tank.
    line
        What is planned in any case, with warm months, without changes.
    members, state, first
        On that morning.
    limits
        Of those in the tank.
    returned
        How the tank came there.
    foods
        That are searched.
    """

    standing: Standing
    line: Timeline
    members: Members
    state: TankState
    first: int
    limits: tuple[Limit, ...]
    returned: Returned
    foods: Foods

    @property
    def volume_l(self) -> float:
        """Of the water."""
        return self.line.geometry["volume_l"]

    @property
    def taps(self) -> Taps:
        """Each member's tap water."""
        tap = tap_of(self.members.source, np.full(len(self.members), 25.0))
        return Taps(conductivity_of(tap), np.asarray(tap.alkalinity_meq_per_l) / MEQ_PER_DKH)

    def some(self, count: int, by: Numbers) -> Ground:
        """The same with some of the members, evenly over a number each of them has."""
        index = stratified(by, count)
        return replace(
            self, members=self.members.chosen(index), state=chosen_state(self.state, index)
        )

    def run(
        self, lanes: Sequence[Lane], progress: Progress | None, span: tuple[float, float]
    ) -> list[LaneRan]:
        """A year under each lane; progress goes from one share to another."""

        def ticked(share: float) -> None:
            if progress is not None:
                progress("future", span[0] + (span[1] - span[0]) * share)

        return run_lanes(self.line, self.members, self.state, self.first, lanes, progress=ticked)

    def windows(self, ran: LaneRan) -> dict[Key, Windows]:
        """A run against every bound."""
        return dict(windows_of(ran, self.limits, self.taps))


def standing_of(stage: Stage) -> Standing:
    """The same members as they stand on the day before the stage opens."""
    known, calendar = stage.known, stage.known.calendar
    members = stage.run
    fitted = Fitted(members, len(members), stage.diagnostics.effective_members, np.zeros(0), None)
    return Standing(
        known.tank,
        known.findings,
        calendar,
        calendar.days(known.as_of),
        stage.days[0] - 1,
        stage.diagnostics.readings_used,
        Begun(stage.line, (), fitted, stage.state, stage.days[0]),
        members,
        stage.state,
        threads=1,
    )


def ground_of(stage: Stage) -> Ground:
    """Some members, back from where the tank drifted to, with what is planned in any case.

    Parameters
    ----------
    stage
        All of them, at tomorrow's first hour.
    """
    standing, first = standing_of(stage), stage.days[0]
    limits = limits_of(standing) or limits_in(standing.tank, (UNNAMED,))
    days = WEEKS * WEEK_D + 200
    plan = without_changes(standing.tank, standing.as_of)
    line = timeline(with_warm_months(plan, standing.calendar, first, days)[0], first + days)
    index = stratified(np.asarray(stage.state.amounts[:, 0, :]).sum(axis=0), MEMBERS)
    run, state = stage.run.chosen(index), chosen_state(stage.state, index)
    back = returned(line, run, state, first, limits, practice(1.0, 0.0).share)
    return Ground(
        standing, line, run, back.state, back.first, limits, back, _foods(stage, standing, first)
    )


def _foods(stage: Stage, standing: Standing, first: int) -> Foods:
    stock = population(standing)
    warm = float(np.median(np.asarray(stage.state.temperature_c)))
    planned = planned_food_g_per_d(
        timeline(standing.tank, first + FOOD_DAYS), standing.tank, first, FOOD_DAYS
    )
    multiplier = np.asarray(stage.run.parameters["food_multiplier"])
    return foods_of(planned, multiplier, need_of(stock.counts, stock.masses_g, warm))
