"""*Settled* and *ready* of one tank, whichever way it is being started."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.forecast.capacity import capacity_mg_n_per_l_d, ready_days
from watervane.forecast.milestones import (
    SettledDays,
    SettledLevels,
    settled_days,
    stall_causes,
)
from watervane.forecast.quantiles import date_quantiles
from watervane.forecast.trial import trial_settled
from watervane.process.run import Course, Members, chosen_state
from watervane.process.state import OUTPUT
from watervane.process.timeline import NITROGEN_PER_PROTEIN, Timeline
from watervane.records import Feed, Milestone

TRIAL_MEMBERS = 250
LIKELY = 0.5


@dataclass(frozen=True)
class Outlook:
    """The two milestones that look at colonies."""

    settled: Milestone
    ready: Milestone


def food_is_planned(line: Timeline) -> bool:
    """Whether the log or its habits feed the tank at all."""
    return any(isinstance(e, Feed) and e.mass_g.high > 0 for e in line.tank.events) or any(
        isinstance(h.template, Feed) for h in line.tank.habits
    )


def settled_and_ready(
    line: Timeline,
    members: Members,
    course: Course,
    as_of_d: float,
    horizon_day: int,
    levels: SettledLevels,
    threads: int,
) -> Outlook:
    """Work out both milestones from a finished course.

    Parameters
    ----------
    line, members, course
        The tank, its members and what their water did, a week past the horizon.
    as_of_d
        Moment of the forecast. [d]
    horizon_day
        Last day foretold.
    levels
        What counts as settled.
    threads
        See `simulate`.
    """
    index = _before_first_meal(line, course)
    ammonia = course.output("ammonia_mg_n_per_l")[index]
    nitrite = course.output("nitrite_mg_n_per_l")[index]
    if food_is_planned(line):
        found = settled_days(ammonia, nitrite, levels)
        causes = stall_causes(
            ammonia[: horizon_day + 1],
            nitrite[: horizon_day + 1],
            course.outputs[OUTPUT["alkalinity_meq_per_l"]][index][: horizon_day + 1],
            course.outputs[OUTPUT["ph"]][index][: horizon_day + 1],
            levels,
        )
        settled = _milestone(line, found, as_of_d, horizon_day, causes)
    elif line.tank.normal_food_g_per_d is None:
        settled = Milestone(
            date_quantiles(np.full(3, np.inf), line.calendar, 0.0),
            0.0,
            "no food planned",
            reason="no-normal-food",
        )
    else:
        settled = _tried(
            line, members, course, (ammonia, nitrite), as_of_d, horizon_day, levels, threads
        )
    return Outlook(settled, _ready(line, members, course, index, as_of_d, horizon_day, levels))


def _before_first_meal(line: Timeline, course: Course) -> NDArray[np.int64]:
    """The stop of each day at its first meal, else its last stop."""
    days = math.floor(course.stops_d[-1] + 1e-9) + 1
    index: list[int] = []
    for day in range(days):
        meal = line.first_meal_d(day)
        begin, end = line.calendar.bounds_d(day)
        moment = meal if meal is not None else begin + 0.75 * (end - begin)
        index.append(int(np.searchsorted(course.stops_d, moment - 1e-9)))
    return np.clip(np.array(index, dtype=np.int64), None, len(course.stops_d) - 1)


def _milestone(
    line: Timeline,
    found: SettledDays,
    as_of_d: float,
    horizon_day: int,
    causes: dict[str, NDArray[np.bool_]],
) -> Milestone:
    within = found.day <= horizon_day
    not_needed = ~found.needed
    stalled = {k: float((v & ~within & ~not_needed).mean()) for k, v in causes.items()}
    share = float(within.mean())
    if not_needed.mean() > LIKELY:
        status = "not needed"
    elif (found.day <= as_of_d).mean() > LIKELY:
        status = "reached"
    elif share >= LIKELY:
        status = "ahead"
    elif sum(stalled.values()) > LIKELY:
        status = "will stall"
    else:
        status = "beyond horizon"
    return Milestone(
        date_quantiles(found.day, line.calendar, float(horizon_day)),
        share,
        status,
        probability_not_needed=float(not_needed.mean()),
        causes={k: v for k, v in stalled.items() if v > 0.0},
    )


def _tried(
    line: Timeline,
    members: Members,
    course: Course,
    readings: tuple[NDArray[np.float64], NDArray[np.float64]],
    as_of_d: float,
    horizon_day: int,
    levels: SettledLevels,
    threads: int,
) -> Milestone:
    """Feed a sample of the members normally from each candidate day."""
    some = np.linspace(0, len(members) - 1, min(TRIAL_MEMBERS, len(members))).astype(np.int64)
    days = sorted(course.checkpoints)
    over = (readings[0][:, some] >= levels.ammonia_mg_n_per_l) | (
        readings[1][:, some] >= levels.nitrite_mg_n_per_l
    )
    exceeded = np.stack([over[: d + 1].any(axis=0) for d in days])
    fewer = Course(
        course.stops_d,
        course.outputs[..., some],
        course.daily_means[..., some],
        0,
        chosen_state(course.final, some),
        {d: chosen_state(s, some) for d, s in course.checkpoints.items()},
    )
    found = trial_settled(line, members.chosen(some), fewer, days, exceeded, levels, threads)
    return _milestone(line, found, as_of_d, horizon_day, {})


def _ready(
    line: Timeline,
    members: Members,
    course: Course,
    index: NDArray[np.int64],
    as_of_d: float,
    horizon_day: int,
    levels: SettledLevels,
) -> Milestone:
    load = _daily_load_mg_n_per_l(line)
    if load is None:
        none = date_quantiles(np.full(3, np.inf), line.calendar, 0.0)
        return Milestone(none, 0.0, "no food planned", reason="no-normal-food")
    capacities = [
        capacity_mg_n_per_l_d(course, index, members.parameters, guild, level)
        for guild, level in (
            ("ammonia", levels.ammonia_mg_n_per_l),
            ("nitrite", levels.nitrite_mg_n_per_l),
        )
    ]
    days = ready_days(capacities[0], capacities[1], load)
    return _milestone(
        line, SettledDays(days, np.ones(len(days), dtype=bool)), as_of_d, horizon_day, {}
    )


def _daily_load_mg_n_per_l(line: Timeline) -> float | None:
    """Nitrogen of the daily food the tank is meant to carry. [mg N/L/d]"""
    tank, volume = line.tank, line.geometry["volume_l"]
    if tank.normal_food_g_per_d is not None:
        grams, protein = tank.normal_food_g_per_d.centre, tank.normal_food_protein
        return 1000.0 * grams * protein * NITROGEN_PER_PROTEIN / volume
    daily = sum(
        h.template.mass_g.centre * h.template.protein / h.every_days
        for h in tank.habits
        if isinstance(h.template, Feed)
    )
    if daily <= 0.0:
        return None
    return 1000.0 * daily * NITROGEN_PER_PROTEIN / volume
