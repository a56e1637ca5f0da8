"""Find the routine with the least work that keeps a tank's water in bounds for a year."""

from __future__ import annotations

import time as clock
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from watervane.advice.routines import PURE, TAP, Steady, practice, routine, worth_running
from watervane.engine import care_told as told_of
from watervane.engine.care_bounds import (
    Key,
    Reach,
    Taps,
    Windows,
    excess,
    keeps,
    reach_of,
    windows_of,
    with_tier_first,
)
from watervane.engine.care_cleaning import portions
from watervane.engine.care_gains import Gains, comfort_level, food_load, gains_of, steady_of
from watervane.engine.care_lanes import (
    WEEK_D,
    WEEKS,
    Lane,
    LaneRan,
    run_lanes,
    warm_month,
    with_warm_months,
    without_changes,
)
from watervane.engine.care_return import Returned, returned
from watervane.engine.composed import Progress
from watervane.engine.futures import Standing, limits_of, never_started, population, stand
from watervane.engine.member_runs import FUTURE
from watervane.engine.newcomers import planned_food_g_per_d
from watervane.limits import Limit, limits_in
from watervane.planning.returning import conductivity_of
from watervane.planning.water_of_state import tap_of
from watervane.process.run import Members, chosen_state, simulate
from watervane.process.source_water import MEQ_PER_DKH
from watervane.process.state import TankState
from watervane.process.timeline import Timeline, timeline
from watervane.records import Finding, Habit, Tank, TopOff, WaterChange
from watervane.records.care import CareSchedule, Routine, RoutineTried
from watervane.records.events import UNNAMED

Numbers = NDArray[np.float64]
MEMBERS = 80  # run under the routines that are told of
SEARCHED, LANES = 20, 24  # members of the first look, and routines that are looked at
MOST_LANES = 500 // MEMBERS  # that are run in one go
SETTLING_WEEKS, GAIN_WEEKS = 2, 10
GAINING = Lane(0.25, WEEK_D, pure=True)
TRIES, ROUNDS = 3, 3
STRONGEST = Lane(0.5, WEEK_D), Lane(0.5, WEEK_D, pure=True)  # what no bound asks more than


@dataclass(frozen=True)
class Ground:
    """What every routine begins from: members on the first morning of the year.

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
    """

    standing: Standing
    line: Timeline
    members: Members
    state: TankState
    first: int
    limits: tuple[Limit, ...]
    returned: Returned

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


def care(
    tank: Tank,
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
    as_of, members, seed, threads, now, progress
        See `watervane.engine.foretell`; members are fitted, `MEMBERS` of them are run for a year.

    Raises
    ------
    ValueError
        If the moment lies before the filling.

    Notes
    -----
    Closed forms of each member's own gains screen a grid of shares, intervals and waters to top
    off with; those near the edge are run, at first over few members, the cheapest that keep the
    bounds over more. Where the tank has drifted far, the year begins when it is back.
    """
    begun = clock.perf_counter()
    standing = stand(
        tank, as_of=as_of, members=members, seed=seed, threads=threads, now=now, progress=progress
    )
    ground = _ground(standing)
    gains = _gains(ground)
    quantities = steady_of(gains, ground.limits, standing.tank.allowed_risk)
    chosen = _searched(ground, gains, quantities, progress)
    less = told_of.less_done(chosen.ground, chosen.ran.lane, chosen.reach, progress)
    return _schedule(standing, ground, chosen, gains, quantities, less, seed, begun)


@dataclass(frozen=True)
class Chosen:
    """What the search came to: the routine, its run, and all that was tried."""

    ground: Ground
    ran: LaneRan
    tried: RoutineTried
    practice: RoutineTried
    planned: RoutineTried | None
    all_tried: tuple[RoutineTried, ...]
    windows: dict[Key, Windows]
    reach: Reach


def stratified(by: Numbers, count: int) -> NDArray[np.int64]:
    """Members evenly over a number each has."""
    count = min(count, len(by))
    order = np.argsort(by, kind="stable")
    places = np.floor((np.arange(count) + 0.5) * len(by) / count).astype(np.int64)
    return np.sort(order[places])


def lane_of(one: Routine) -> Lane:
    """A routine as it is run."""
    return Lane(one.share, one.every_days, pure=one.top_off == PURE)


def _ground(standing: Standing) -> Ground:
    first = standing.today + 1
    line = timeline(standing.tank, first)
    state = simulate(line, standing.members, standing.state, (standing.today, first)).final
    run = replace(standing.members, numbers=standing.members.numbers + FUTURE)
    limits = limits_of(standing) or limits_in(standing.tank, (UNNAMED,))
    plan = without_changes(standing.tank, standing.as_of)
    days = WEEKS * WEEK_D + 200
    warm, _ = with_warm_months(plan, standing.calendar, first, days)
    line = timeline(warm, first + days)
    by = np.asarray(state.amounts[:, 0, :]).sum(axis=0)
    index = stratified(by, MEMBERS)
    run, state = run.chosen(index), chosen_state(state, index)
    back = returned(line, run, state, first, limits, practice(1.0, 0.0).share)
    return Ground(standing, line, run, back.state, back.first, limits, back)


def _gains(ground: Ground) -> Gains:
    (ran,) = run_lanes(
        ground.line, ground.members, ground.state, ground.first, [GAINING], weeks=GAIN_WEEKS
    )
    return gains_of(ran, ground.members.source, range(SETTLING_WEEKS, GAIN_WEEKS - 1))


def _searched(
    ground: Ground,
    gains: Gains,
    quantities: Mapping[str, Steady],
    progress: Progress | None,
) -> Chosen:
    evaporated = float(np.median(gains.evaporating)) * ground.volume_l
    usual = practice(ground.volume_l, evaporated)
    planned = _planned(ground.standing, ground.volume_l, evaporated)
    candidates = worth_running(quantities, ground.volume_l, evaporated)[:LANES]
    few = ground.some(SEARCHED, gains.gain["nitrate"])
    lanes = [*map(lane_of, candidates), STRONGEST[0]]
    ran = few.run(lanes, progress, (0.05, 0.45))
    allowed = ground.standing.tank.allowed_risk
    seen = [few.windows(each) for each in ran]
    reach = reach_of(seen, allowed, SEARCHED)
    ranked = sorted(zip(candidates, seen, strict=False), key=lambda p: _order(p, reach))
    tried = [_tried(one, "candidate", windows, reach) for one, windows in ranked]
    always = [usual, *([planned] if planned else [])]
    best: tuple[tuple[bool, float, float], Routine, LaneRan, dict[Key, Windows]] | None = None
    beside: list[RoutineTried] = []
    for turn in range(ROUNDS):
        some = [one for one, _ in ranked[TRIES * turn : TRIES * (turn + 1)]]
        if not some:
            break
        lanes = [lane_of(each) for each in (*some, *(always if not turn else ()))]
        lanes = [*lanes, *(STRONGEST if not turn else ())][:MOST_LANES]
        share = 0.45 + 0.3 * turn / ROUNDS, 0.45 + 0.3 * (turn + 1) / ROUNDS
        more = ground.run(lanes, progress, share)
        windows = [ground.windows(each) for each in more]
        if not turn:
            reach = reach_of(windows, allowed, len(ground.members))
        if not turn:
            pairs = zip(always, windows[len(some) : len(some) + len(always)], strict=True)
            kinds = ("practice", "as-planned")
            beside = [
                _tried(one, kind, each, reach)
                for (one, each), kind in zip(pairs, kinds, strict=False)
            ]
        for one, each, seen_of in zip(some, more, windows, strict=False):
            bounds = reach.bounds(seen_of)
            rank = (not keeps(bounds), excess(bounds), one.minutes_per_month)
            if best is None or rank < best[0]:
                best = rank, one, each, seen_of
        if best is not None and not best[0][0]:
            break
    if best is None:
        raise ValueError("no routine was run")
    _, one, one_ran, windows_of_one = best
    return Chosen(
        ground,
        one_ran,
        _tried(one, "candidate", windows_of_one, reach),
        beside[0],
        beside[1] if len(beside) > 1 else None,
        tuple(tried),
        windows_of_one,
        reach,
    )


def _order(pair: tuple[Routine, dict[Key, Windows]], reach: Reach) -> tuple[bool, float, float]:
    """Those that keep the bounds first, the least work before more."""
    one, windows = pair
    bounds = reach.bounds(windows)
    kept = keeps(bounds)
    return not kept, 0.0 if kept else excess(bounds), one.minutes_per_month


def _tried(one: Routine, kind: str, windows: dict[Key, Windows], reach: Reach) -> RoutineTried:
    bounds = reach.bounds(windows)
    return RoutineTried(one, kind, keeps(bounds), with_tier_first(bounds))


def _planned(standing: Standing, volume_l: float, evaporated_l_per_d: float) -> Routine | None:
    """The changes the log plans, as often as whole weeks tell it; nothing where none is planned."""
    today = standing.as_of.date()
    told = [
        each
        for each in standing.tank.habits
        if isinstance(each.template, WaterChange) and (each.until is None or each.until > today)
    ]
    if len(told) != 1:
        return None
    share = _share(told[0])
    weeks = max(round(told[0].every_days / WEEK_D), 1)
    pure = any(isinstance(h.template, TopOff) and h.template.pure for h in standing.tank.habits)
    return routine(share, weeks * WEEK_D, PURE if pure else TAP, volume_l, evaporated_l_per_d)


def _share(habit: Habit) -> float:
    template = habit.template
    return template.fraction if isinstance(template, WaterChange) else 0.0


def _schedule(
    standing: Standing,
    ground: Ground,
    chosen: Chosen,
    gains: Gains,
    quantities: Mapping[str, Steady],
    less: told_of.Less,
    seed: int,
    begun: float,
) -> CareSchedule:
    counts = population(standing).counts
    first = standing.today + 1
    food = planned_food_g_per_d(timeline(standing.tank, first + 28), standing.tank, first)
    nitrate = comfort_level(ground.limits, "nitrate", above=True)
    load = told_of.nitrogen_of_food(ground.line, ground.first)
    findings: tuple[Finding, ...] = (*never_started(standing), *standing.findings)
    if not any(counts.values()):
        findings = (*findings, Finding("care-nobody-in", "info", {}))
    if not standing.tank.hardness_told:
        findings = (*findings, Finding("care-hardness-untold", "info", {}))
    return CareSchedule(
        tank=standing.tank.name,
        owner=standing.tank.owner,
        as_of=standing.as_of,
        seed=seed,
        allowed=standing.tank.allowed_risk,
        volume_l=ground.volume_l,
        animals_in=sum(counts.values()),
        chosen=chosen.tried,
        practice=chosen.practice,
        as_planned=chosen.planned,
        tried=chosen.all_tried,
        bounds=chosen.reach.bounds(chosen.windows),
        steady=told_of.steady_levels(chosen.ran, chosen.tried.routine, ground.members, quantities),
        food=food_load(food, load, gains, nitrate),
        neglect=less.neglect,
        heat=told_of.heat(
            chosen.ran,
            ground.limits,
            ground.line.calendar,
            ground.first,
            warm_month(ground.line.calendar, ground.first),
            ground.volume_l,
            standing.tank.allowed_risk,
        ),
        cleaning=portions(
            ground.line,
            ground.members.chosen(np.arange(min(80, len(ground.members)))),
            chosen_state(ground.state, np.arange(min(80, len(ground.members)))),
            ground.first,
            ground.limits,
            standing.tank.allowed_risk,
        ),
        tests=told_of.worth_testing(chosen.ran, ground.members, quantities),
        returning=ground.returned.plan,
        findings=findings,
        diagnostics=standing.how_made(begun),
    )
