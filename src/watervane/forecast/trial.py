"""*Settled* where no food is planned: the same tank, fed normally from a candidate day on."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import time
from typing import cast

import numpy as np
from numpy.typing import NDArray

from watervane.forecast.milestones import SETTLED_DAYS, SettledDays, SettledLevels
from watervane.process.run import Course, Members, simulate
from watervane.process.timeline import Timeline, meal_action
from watervane.records import Span

MEAL_AT = time(18)
MOST_CANDIDATES = 16


def candidate_days(first: int, last: int) -> list[int]:
    """Evenly spaced days on which normal feeding is tried."""
    stride = max(1, -(-(last - first + 1) // MOST_CANDIDATES))
    return list(range(first, last + 1, stride))


def without_ammonia_doses(line: Timeline) -> Timeline:
    """The same tank with no ammonia dosed any more."""
    kept = [
        a
        for a in line.actions
        if a.scalars.get("ammonia_target_mg_n_per_l", -1.0) < 0.0
        and a.vectors.get("add", {}).get("ammonia", 0.0) <= 0.0
    ]
    return Timeline(
        line.tank,
        line.calendar,
        line.geometry,
        line.findings,
        kept,
        line.breath,
        line.outages,
        line.changes,
    )


def trial_settled(
    line: Timeline,
    members: Members,
    course: Course,
    candidates: Sequence[int],
    exceeded: NDArray[np.bool_],
    levels: SettledLevels,
    threads: int,
) -> SettledDays:
    """First candidate day from which a normally fed week stays low.

    Parameters
    ----------
    line, members
        The tank and the members to try.
    course
        Their course, with a checkpoint on each candidate day.
    candidates
        Days tried, ascending.
    exceeded
        Whether a member's levels were ever exceeded before each candidate day,
        shape (candidates, members).
    levels
        What counts as settled.
    threads
        See `simulate`.
    """
    quiet = without_ammonia_doses(line)
    food = cast("Span", line.tank.normal_food_g_per_d)
    found = np.full(len(members), np.inf)
    for i, day in enumerate(candidates):
        days = (day, day + SETTLED_DAYS)
        meals = [line.calendar.at_clock_d(d, MEAL_AT) for d in range(*days)]
        course_fed = simulate(
            quiet,
            members,
            course.checkpoints[day],
            days,
            stops_d=meals,
            extra=[
                meal_action(m, food, line.tank.normal_food_protein, line.geometry["volume_l"])
                for m in meals
            ],
            threads=threads,
        )
        low = (course_fed.output("ammonia_mg_n_per_l") < levels.ammonia_mg_n_per_l) & (
            course_fed.output("nitrite_mg_n_per_l") < levels.nitrite_mg_n_per_l
        )
        fits = low.all(axis=0) & exceeded[i] & ~np.isfinite(found)
        found[fits] = day
        if np.isfinite(found).all():
            break
    return SettledDays(found, exceeded[-1])
