"""Run the same members under other futures and set them beside the future as planned."""

from __future__ import annotations

import time as clock
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, time

import numpy as np
from numpy.typing import NDArray

from watervane.engine.begun_members import members_of_log
from watervane.engine.feeding import fed_as_known
from watervane.engine.foretell import FUTURE, SERIES, Progress
from watervane.engine.held_limits import held_limits
from watervane.engine.known import (
    local_day,
    modelled,
    usable_readings,
)
from watervane.engine.larger_tank import moved
from watervane.engine.member_runs import told
from watervane.engine.mishaps import KINDS, Scene, besides, under
from watervane.forecast.harm import Harm, harm_to
from watervane.forecast.quantiles import number_quantiles
from watervane.limits import allowed_change
from watervane.process.calendar import Calendar
from watervane.process.day_program import Action
from watervane.process.run import Course, Members, simulate
from watervane.process.state import TankState
from watervane.process.timeline import Timeline, timeline
from watervane.records import Extreme, Mishap, NumberQuantiles, Rehearsal, Rehearsals, Tank

Numbers = NDArray[np.float64]
BEGINS = time(12)
LOOKS_PER_DAY = 24  # oxygen may be gone and back within hours
EXTREMES: tuple[tuple[str, bool], ...] = (
    ("ammonia_mg_n_per_l", True),
    ("free_ammonia_mg_n_per_l", True),
    ("nitrite_mg_n_per_l", True),
    ("oxygen_mg_per_l", False),
    ("ph", False),
    ("temperature_c", True),
    ("temperature_c", False),
)


def rehearse(
    tank: Tank,
    mishaps: Sequence[Mishap],
    *,
    as_of: datetime | None = None,
    horizon_days: int = 21,
    members: int = 1000,
    seed: int = 1,
    threads: int = 2,
    now: datetime | None = None,
    progress: Progress | None = None,
) -> Rehearsals:
    """Rehearse mishaps that begin at noon of the day after a moment.

    Parameters
    ----------
    tank
        With its whole log.
    mishaps
        What might happen, one at a time.
    as_of
        See `watervane.engine.foretell`.
    horizon_days
        Days looked at from the day the mishap begins. [d]
    members, seed, threads, now, progress
        See `watervane.engine.foretell`. All futures share the noise of each member and day.

    Raises
    ------
    CannotRehearse
        Where the tank has nothing for a mishap to work on.
    """
    begun = clock.perf_counter()
    one = fed_as_known(tank, as_of, now)
    known, calendar = one.tank, one.calendar
    first = local_day(calendar, calendar.days(one.as_of)) + 1
    last = first + horizon_days
    line = timeline(known, last)
    scene = Scene(line, calendar.moment(calendar.at_clock_d(first, BEGINS)), horizon_days + 1)
    others = [timeline(under(scene, mishap), last) for mishap in mishaps]
    readings = usable_readings(known, calendar)
    fit = members_of_log(line, readings, members, seed, threads, told(progress, "weighing"))
    state = fit.state(first, threads)
    run = replace(fit.members, numbers=fit.members.numbers + FUTURE)
    planned = future_of(line, run, state, (first, last), threads)
    harmed = harm_of(line, planned)
    gentle = gentle_c_per_h(line, planned)
    rehearsed = []
    for number, (mishap, other) in enumerate(zip(mishaps, others, strict=True)):
        if progress is not None:
            progress("future", number / len(mishaps))
        whole = KINDS[mishap.kind].whole_tank
        begins = calendar.moment(calendar.bounds_d(first)[0]) if whole else scene.begins
        begin = moved(state, line, other, run) if whole else state
        changed = future_of(
            other, run, begin, (first, last), threads, besides=besides(scene, mishap)
        )
        rehearsed.append(
            compared(
                mishap,
                (begins, begins + KINDS[mishap.kind].lasts(mishap.size)),
                scene.calendar,
                (planned, harmed),
                (changed, harm_of(other, changed)),
                other.geometry["volume_l"] / line.geometry["volume_l"],
            )
        )
    count = len(modelled(known.readings))
    return Rehearsals(
        tank.name,
        tank.owner,
        calendar.moment(calendar.days(one.as_of)),
        horizon_days,
        seed,
        tuple(replace(one, warmth_change_c_per_h=gentle) for one in rehearsed),
        fit.how(count, "sampling", clock.perf_counter() - begun),
    )


def future_of(
    line: Timeline,
    run: Members,
    state: TankState,
    days: tuple[int, int],
    threads: int,
    looks_per_day: int = LOOKS_PER_DAY,
    progress: Callable[[float], None] | None = None,
    *,
    besides: Sequence[Action] = (),
) -> Course:
    """The members' water over the days ahead, with what happens ``besides`` what is planned."""
    stops = []
    for day in range(*days):
        begin, end = line.calendar.bounds_d(day)
        stops += [begin + (end - begin) * k / looks_per_day for k in range(looks_per_day)]
    return simulate(
        line,
        run,
        state,
        days,
        stops_d=stops,
        threads=threads,
        progress=progress,
        extra=besides,
    )


def harm_of(line: Timeline, course: Course) -> Mapping[str, Harm]:
    """What those in the tank suffer from the day of the mishap on, by subject and tier."""
    begin_d, end_d = float(course.stops_d[0]), float(course.stops_d[-1])
    whose = held_limits(line.tank, line.calendar, begin_d, end_d)
    days = round(end_d - begin_d + 0.5)
    found = harm_to(course, whose.held, begin_d, days, line.geometry["pressure_atm"])
    return {one.name: one for one in found.values()}


def compared(
    mishap: Mishap,
    during: tuple[datetime, datetime],
    calendar: Calendar,
    as_planned: tuple[Course, Mapping[str, Harm]],
    with_mishap: tuple[Course, Mapping[str, Harm]],
    larger: float = 1.0,
) -> Rehearsal:
    """Set both futures side by side; ``larger`` is how many times the volume became."""
    (planned, harmed), (changed, harmed_more) = as_planned, with_mishap
    begins, ends = during
    extremes = []
    for name, highest in EXTREMES:
        output, factor = SERIES[name]
        both = (factor * _farthest(course.output(output), highest) for course in (planned, changed))
        extremes.append(Extreme(name, highest, *(number_quantiles(each) for each in both)))
    at = min(
        int(np.searchsorted(planned.stops_d, calendar.days(ends) + 1.0)),
        len(planned.stops_d) - 1,
    )
    return Rehearsal(
        mishap,
        begins,
        ends,
        tuple(extremes),
        {
            name: (harmed[name].within if name in harmed else 0.0, more.within)
            for name, more in harmed_more.items()
        },
        {guild: _left(planned, changed, guild, at, larger) for guild in ("ammonia", "nitrite")},
        {name: more.told for name, more in harmed_more.items()},
        {name: (_days(harmed.get(name)), _days(more)) for name, more in harmed_more.items()},
    )


def _days(harm: Harm | None) -> float:
    """Days on which a limit is passed, the mean of the members. [d]"""
    return 0.0 if harm is None else float(harm.by_day.sum(axis=0).mean())


def gentle_c_per_h(line: Timeline, course: Course) -> float | None:
    """How fast the water may warm or cool for those in the tank on these days. [degC/h]"""
    begin_d, end_d = float(course.stops_d[0]), float(course.stops_d[-1])
    whose = held_limits(line.tank, line.calendar, begin_d, end_d)
    everyone = (limit for held in whose.held for limit in held.limits)
    return allowed_change(everyone, "temperature_change_k")


def _farthest(values: Numbers, highest: bool) -> Numbers:  # noqa: FBT001 - data of a table
    return np.asarray(values.max(axis=0) if highest else values.min(axis=0))


def _left(planned: Course, changed: Course, guild: str, at: int, larger: float) -> NumberQuantiles:
    name = f"{guild}_oxidisers_mg_per_l"
    before = np.maximum(planned.output(name)[at], 1e-12)
    return number_quantiles(larger * changed.output(name)[at] / before)
