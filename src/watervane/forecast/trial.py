"""*Settled* where no food is planned: the same tank, fed normally from a candidate day on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import time

import numpy as np
from numpy.typing import NDArray

from watervane.forecast.milestones import SETTLED_DAYS
from watervane.process.run import Course, Members, chosen_state, simulate
from watervane.process.state import TankState
from watervane.process.timeline import Timeline, meal_action
from watervane.records import SettledLevels, Span

MEAL_AT = time(18)
MOST_CANDIDATES = 200


def candidate_days(first: int, last: int) -> list[int]:
    """Days on which normal feeding is tried: every one, or evenly spaced in a long log."""
    stride = max(1, -(-(last - first + 1) // MOST_CANDIDATES))
    return list(range(first, last + 1, stride))


def without_food_or_ammonia(line: Timeline) -> Timeline:
    """The same tank with no ammonia dosed and no food but the trial's own."""
    kept = [
        a
        for a in line.actions
        if a.scalars.get("ammonia_target_mg_n_per_l", -1.0) < 0.0
        and a.vectors.get("add", {}).get("ammonia", 0.0) <= 0.0
        and a.scalars.get("food_mg_n_per_l", 0.0) <= 0.0
    ]
    return replace(line, actions=kept)


def trial_days(
    line: Timeline,
    members: Members,
    course: Course,
    exceeded_before: NDArray[np.bool_],
    food_g: Span,
    levels: SettledLevels,
    threads: int,
) -> NDArray[np.float64]:
    """First candidate day from which a normally fed week stays low.

    Cohorts that began on different days and are still in their week share each day's
    run, so every candidate costs one day more, not seven.

    Parameters
    ----------
    line, members
        The tank and the members to try.
    course
        Their course, with a checkpoint on each candidate day.
    exceeded_before
        Whether a level was exceeded on an earlier day, shape (days, members).
    food_g
        Of a normal day, eaten as animals would. [g]
    levels
        What counts as settled.
    threads
        See `simulate`.

    Returns
    -------
    array, shape (members,)
        Infinite where no candidate day passes.
    """
    quiet = without_food_or_ammonia(line)
    found = np.full(len(members), np.inf)
    cohorts: list[tuple[int, NDArray[np.int64], TankState]] = []
    for day in range(min(course.checkpoints), max(course.checkpoints) + SETTLED_DAYS):
        if day in course.checkpoints:
            fresh = np.flatnonzero(exceeded_before[day] & ~np.isfinite(found))
            cohorts.append((day, fresh, chosen_state(course.checkpoints[day], fresh)))
        cohorts = [c for c in cohorts if len(c[1])]
        if not cohorts:
            if np.isfinite(found).all():
                break
            continue
        low, final = _fed_day(quiet, members, cohorts, day, food_g, levels, threads)
        cohorts = _advance(cohorts, low, final, day, found)
    return found


def _fed_day(
    line: Timeline,
    members: Members,
    cohorts: Sequence[tuple[int, NDArray[np.int64], TankState]],
    day: int,
    food_g: Span,
    levels: SettledLevels,
    threads: int,
) -> tuple[NDArray[np.bool_], TankState]:
    """Run all cohorts through one day; whether each was low just before the meal."""
    meal_d = line.calendar.at_clock_d(day, MEAL_AT)
    meal = meal_action(meal_d, food_g, line.tank.normal_food_protein, line.geometry["volume_l"])
    states = [c[2] for c in cohorts]
    fed = simulate(
        line,
        members.chosen(np.concatenate([c[1] for c in cohorts])),
        TankState(*(np.concatenate(parts, axis=-1) for parts in zip(*states, strict=True))),
        (day, day + 1),
        stops_d=[meal_d],
        extra=[meal],
        threads=threads,
    )
    low = (fed.output("ammonia_mg_n_per_l")[0] < levels.ammonia_mg_n_per_l) & (
        fed.output("nitrite_mg_n_per_l")[0] < levels.nitrite_mg_n_per_l
    )
    return low, fed.final


def _advance(
    cohorts: Sequence[tuple[int, NDArray[np.int64], TankState]],
    low: NDArray[np.bool_],
    final: TankState,
    day: int,
    found: NDArray[np.float64],
) -> list[tuple[int, NDArray[np.int64], TankState]]:
    """Drop members that were not low; note those whose week is over, earliest day first."""
    going = []
    begin = 0
    for start, who, _ in cohorts:
        lanes = begin + np.flatnonzero(low[begin : begin + len(who)])
        staying = who[lanes - begin]
        begin += len(who)
        if day == start + SETTLED_DAYS - 1:
            found[staying] = np.minimum(found[staying], start)
        else:
            open_ones = ~np.isfinite(found[staying])
            going.append((start, staying[open_ones], chosen_state(final, lanes[open_ones])))
    return going
