"""*Settled* and *ready* of one tank, whichever way it is being started."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.engine.daily import Days, daily_readings, reading_stops
from watervane.forecast.capacity import capacity_mg_n_per_l_d, ready_days
from watervane.forecast.milestones import DailyReadings, settled_days, stall_causes
from watervane.forecast.quantiles import date_quantiles, no_dates
from watervane.forecast.trial import MEAL_AT, trial_days
from watervane.process.run import Course, Members, chosen_state
from watervane.process.timeline import NITROGEN_PER_PROTEIN, Timeline
from watervane.records import Milestone, SettledLevels

TRIAL_MEMBERS = 142  # seven cohorts of them fill two blocks
LIKELY = 0.5
PLANNED_STRETCH_D = 14.0  # over which the planned food is averaged


@dataclass(frozen=True)
class Scope:
    """Between which moments a forecast speaks, and by which levels.

    Parameters
    ----------
    as_of_d, horizon_d
        [d]
    levels
        What counts as settled.
    threads
        See `simulate`.
    """

    as_of_d: float
    horizon_d: float
    levels: SettledLevels
    threads: int


@dataclass(frozen=True)
class MemberDates:
    """When members are settled.

    Parameters
    ----------
    members
        Which of all members these are.
    moments_d
        When each is settled, infinite where never. [d]
    spared
        Members that have nothing to wait for.
    """

    members: NDArray[np.int64]
    moments_d: NDArray[np.float64]
    spared: NDArray[np.bool_]


@dataclass(frozen=True)
class Outlook:
    """The two milestones that look at colonies.

    Parameters
    ----------
    settled, ready
        As told.
    settled_d
        When each member is settled, infinite where never; ``None`` where the course does not
        tell. [d]
    dates
        The same of as many members as were tried, with those that have nothing to wait for;
        ``None`` where there is no date to foretell.
    """

    settled: Milestone
    ready: Milestone
    settled_d: NDArray[np.float64] | None = None
    dates: MemberDates | None = None


def food_is_planned(line: Timeline, as_of_d: float) -> bool:
    """Whether any meal lies ahead of a moment; one long past is no plan."""
    return any(a.at_d > as_of_d and a.scalars.get("food_mg_n_per_l", 0.0) > 0 for a in line.actions)


def needs_trial(line: Timeline, as_of_d: float) -> bool:
    """Whether *settled* takes trial runs with the normal food."""
    return line.tank.normal_food_g_per_d is not None and not food_is_planned(line, as_of_d)


def settled_and_ready(
    line: Timeline, members: Members, course: Course, days: Days, scope: Scope
) -> Outlook:
    """Work out both milestones from a finished course.

    Parameters
    ----------
    line, members, course, days
        The tank, its members and what their water did, a week past the horizon.
    scope
        Of the forecast.
    """
    read = daily_readings(course, days)
    able = _able_days(line, members, course, days, scope)
    ready = _ready(line, days, able, scope)
    if needs_trial(line, scope.as_of_d):
        settled, dates = _tried(line, members, course, days, read, able, scope)
        return Outlook(settled, ready, None, dates)
    settled, dates = _read_off(line, days, read, scope)
    return Outlook(settled, ready, None if dates is None else dates.moments_d, dates)


def _read_off(
    line: Timeline, days: Days, read: DailyReadings, scope: Scope
) -> tuple[Milestone, MemberDates | None]:
    """*Settled* of a tank that is fed, or was."""
    found = settled_days(read, scope.levels)
    within = int((days.read_d <= scope.horizon_d).sum())
    causes = stall_causes(read.until(within), scope.levels)
    moments = days.reading_d(found.day)
    milestone = _milestone(line, moments, found.not_needed, causes, scope)
    if food_is_planned(line, scope.as_of_d) or milestone.status in ("reached", "not needed"):
        return milestone, MemberDates(np.arange(len(moments)), moments, found.not_needed)
    return _no_food(), None


def _no_food() -> Milestone:
    return Milestone(no_dates(), 0.0, "no food planned", reason="no-normal-food")


def _milestone(
    line: Timeline,
    moments_d: NDArray[np.float64],
    not_needed: NDArray[np.bool_],
    causes: Mapping[str, NDArray[np.bool_]],
    scope: Scope,
) -> Milestone:
    within = moments_d <= scope.horizon_d
    stalled = {k: float((v & ~within & ~not_needed).mean()) for k, v in causes.items()}
    share = float(within.mean())
    # Where nothing rises there is nothing to wait for: dates are of those that have to.
    waiting = moments_d if not_needed.all() else moments_d[~not_needed]
    if not_needed.mean() > LIKELY:
        status = "not needed"
    elif (waiting <= scope.as_of_d).mean() > LIKELY:
        status = "reached"
    elif (waiting <= scope.horizon_d).mean() >= LIKELY:
        status = "ahead"
    elif sum(stalled.values()) > LIKELY:
        status = "will stall"
    else:
        status = "beyond horizon"
    return Milestone(
        date_quantiles(waiting, line.calendar, scope.horizon_d),
        share,
        status,
        probability_not_needed=float(not_needed.mean()),
        causes={k: v for k, v in stalled.items() if v > 0.0},
    )


def _tried(
    line: Timeline,
    members: Members,
    course: Course,
    days: Days,
    read: DailyReadings,
    able: NDArray[np.float64],
    scope: Scope,
) -> tuple[Milestone, MemberDates | None]:
    """Feed a sample of the members normally from each candidate day."""
    food = line.tank.normal_food_g_per_d
    if food is None:
        return _no_food(), None
    count = min(TRIAL_MEMBERS, len(members))
    some = np.linspace(0, len(members) - 1, count).astype(np.int64)
    seen = read.of_members(some)
    over = ~seen.low(scope.levels)
    before = np.zeros_like(over)
    before[1:] = np.cumsum(over[:-1], axis=0) > 0
    fewer = Course(
        course.stops_d,
        course.outputs[:, :0, :count],
        course.daily_means[:0, :, :count],
        0,
        chosen_state(course.final, some),
        {d: chosen_state(s, some) for d, s in course.checkpoints.items()},
    )
    found = trial_days(line, members.chosen(some), fewer, before, food, scope.levels, scope.threads)
    meals_d = np.array([line.calendar.at_clock_d(day, MEAL_AT) for day in range(len(days.begin_d))])
    moments = np.where(
        np.isfinite(found), meals_d[np.where(np.isfinite(found), found, 0).astype(int)], np.inf
    )
    # Nothing exceeded proves nothing while no ammonia was ever turned over.
    not_needed = ~over.any(axis=0) & np.isfinite(able[some])
    within = int((days.read_d <= scope.horizon_d).sum())
    spent = stall_causes(seen.until(within), scope.levels)["buffering-spent"]
    milestone = _milestone(line, moments, not_needed, {"buffering-spent": spent}, scope)
    return milestone, MemberDates(some, moments, not_needed)


def _able_days(
    line: Timeline, members: Members, course: Course, days: Days, scope: Scope
) -> NDArray[np.float64]:
    """First day each member's colonies carry the normal load; infinite without a load."""
    load = daily_load_mg_n_per_l_d(line, scope.as_of_d)
    if load is None:
        return np.full(len(members), np.inf)
    at = reading_stops(course, days)
    able = [
        capacity_mg_n_per_l_d(course, at, members.parameters, guild, scope.levels.of(guild))
        for guild in ("ammonia", "nitrite")
    ]
    onward = able[0] * members.parameters["complete_oxidation_share"]
    return ready_days(able[0], able[1] + onward, load)


def _ready(line: Timeline, days: Days, able: NDArray[np.float64], scope: Scope) -> Milestone:
    if daily_load_mg_n_per_l_d(line, scope.as_of_d) is None:
        return _no_food()
    never = np.zeros(len(able), dtype=bool)
    return _milestone(line, days.reading_d(able), never, {}, scope)


def daily_load_mg_n_per_l_d(line: Timeline, as_of_d: float) -> float | None:
    """Nitrogen of the daily food the tank is meant to carry. [mg N/L/d]

    The tank file's ``normal_food`` where it is told, else the mean of the meals that lie
    ahead, over a fortnight from the first of them.
    """
    tank = line.tank
    if tank.normal_food_g_per_d is not None:
        grams, protein = tank.normal_food_g_per_d.centre, tank.normal_food_protein
        return 1000.0 * grams * protein * NITROGEN_PER_PROTEIN / line.geometry["volume_l"]
    meals = [
        (a.at_d, a.scalars["food_mg_n_per_l"])
        for a in line.actions
        if a.at_d > as_of_d and a.scalars.get("food_mg_n_per_l", 0.0) > 0.0
    ]
    if not meals:
        return None
    first = meals[0][0]
    inside = [mg for at_d, mg in meals if at_d < first + PLANNED_STRETCH_D - 0.5]
    stretch = PLANNED_STRETCH_D
    if meals[-1][0] < first + PLANNED_STRETCH_D - 1.5:  # the run ends within the stretch
        stretch = max(1.0, round(meals[-1][0] - first) + 1.0)
    return sum(inside) / stretch
