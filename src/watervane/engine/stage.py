"""A tank's members stood ready at tomorrow's first hour, so that other plans can be run at once."""

from __future__ import annotations

import time as clock
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from watervane import __version__
from watervane.engine.begun_members import members_of_log
from watervane.engine.carried_tank import CarriedTank
from watervane.engine.composed import SERIES
from watervane.engine.feeding import KnownTank, fed_as_known
from watervane.engine.foretell import FUTURE, Progress
from watervane.engine.kept_course import chosen_course
from watervane.engine.known import held_readings, local_day, modelled, usable_readings
from watervane.engine.member_runs import told
from watervane.engine.rehearse import future_of, gentle_c_per_h, harm_of
from watervane.engine.stratified import stratified
from watervane.engine.update import Update
from watervane.forecast.harm import Harm
from watervane.forecast.quantiles import band
from watervane.inference.carrying import ChangedPastError, members_of
from watervane.inference.fitting import GOOD_EFFECTIVE, LEAST_EFFECTIVE
from watervane.inference.priors import prior_digest
from watervane.process.run import NARROW_MEMBERS, Course, Members, chosen_state, simulate
from watervane.process.state import TankState
from watervane.process.timeline import Timeline, timeline
from watervane.records import Band, Diagnostics, Tank

DRAWN = (
    *("ammonia_mg_n_per_l", "nitrite_mg_n_per_l", "nitrate_mg_n_per_l"),
    *("oxygen_mg_per_l", "ph", "temperature_c"),
)
LOOKS_PER_DAY = 8  # a third of a long rehearsal's: oxygen falls through the night, for hours


@dataclass(frozen=True)
class Stage:
    """Members at tomorrow's first hour, and what is planned for them.

    Parameters
    ----------
    line
        The tank as known, past the horizon.
    run
        The members as they are run into the future.
    state
        Theirs, at the start of the first day.
    days
        First local day, and the one after the last.
    planned, harmed, gentle_c_per_h
        What the plan comes to, see `rehearse`.
    known, diagnostics, known_until, seed
        The tank, and how its members were found.
    """

    line: Timeline
    run: Members
    state: TankState
    days: tuple[int, int]
    planned: Course
    harmed: Mapping[str, Harm]
    gentle_c_per_h: float | None
    known: KnownTank
    diagnostics: Diagnostics
    known_until: datetime | None
    seed: int

    @property
    def horizon_days(self) -> int:
        """Days looked at. [d]"""
        return self.days[1] - self.days[0]

    @cached_property
    def bands(self) -> Mapping[str, Band]:
        """What is planned, as it is drawn."""
        return bands_of(self.planned)

    @cached_property
    def part(self) -> Stage:
        """Some of the members, for a first look: in order of the nitrite that is planned, evenly.

        So they spread as all of them do. Where there are no more than that, it is all of them.
        """
        if len(self.run) <= NARROW_MEMBERS:
            return self
        index = stratified(self.planned.output("nitrite_mg_n_per_l").max(axis=0), NARROW_MEMBERS)
        planned = chosen_course(self.planned, index)
        return replace(
            self,
            run=self.run.chosen(index),
            state=chosen_state(self.state, index),
            planned=planned,
            harmed=harm_of(self.line, planned),
        )


def set_stage(
    tank: Tank,
    before: CarriedTank | None = None,
    *,
    as_of: datetime | None = None,
    horizon_days: int = 21,
    members: int = 1000,
    seed: int = 1,
    threads: int = 2,
    now: datetime | None = None,
    progress: Progress | None = None,
) -> Stage:
    """Stand members ready to be run under other plans.

    Parameters
    ----------
    tank
        With its whole log.
    before
        Members that agree with its readings; without any they are fitted, which takes a while.
    as_of, members, seed, threads, now, progress
        See `watervane.engine.foretell`. Carried members stay as many.
    horizon_days
        Days looked at, from tomorrow on. [d]

    Raises
    ------
    ChangedPastError
        If carried members were fitted to another past.
    """
    begun = clock.perf_counter()
    one = fed_as_known(tank, as_of, now or datetime.now(UTC))
    known, calendar = one.tank, one.calendar
    first = local_day(calendar, calendar.days(one.as_of)) + 1
    days = (first, first + horizon_days)
    line = timeline(known, days[1])
    used = () if before is None else before.kept.reading_keys
    readings = held_readings(known, usable_readings(known, calendar), used)
    if before is not None:
        kept, count = before.kept, len(modelled(known.readings))
        found = members_of(line, kept, readings)
        start, begin = kept.state, kept.day
        how = _carried(kept.effective, len(found), count, begun)
    else:
        fit = members_of_log(line, readings, members, seed, threads, told(progress, "weighing"))
        found, start, begin = fit.members, fit.start, fit.first_day
        seconds = clock.perf_counter() - begun
        how = fit.how(len(modelled(known.readings)), "sampling", seconds)
    if begin < first:
        at = told(progress, "past")
        state = simulate(line, found, start, (begin, first), threads=threads, progress=at).final
    else:
        state = start
    run = replace(found, numbers=found.numbers + FUTURE)
    planned = future_of(
        line, run, state, days, threads, LOOKS_PER_DAY, progress=told(progress, "future")
    )
    return Stage(
        line,
        run,
        state,
        days,
        planned,
        harm_of(line, planned),
        gentle_c_per_h(line, planned),
        one,
        how,
        max((reading.at for reading in readings), default=None),
        seed,
    )


def make_ready(stage: Stage) -> None:
    """Load or compile what a first look runs with, by one day of its members."""
    first, part = stage.days[0], stage.part
    if part is not stage:
        future_of(stage.line, part.run, part.state, (first, first + 1), 1, LOOKS_PER_DAY)


def bands_of(course: Course) -> dict[str, Band]:
    """The drawn series of a course as bands."""
    found = {}
    for name in DRAWN:
        output, factor = SERIES[name]
        values: NDArray[np.float64] = factor * np.maximum(course.output(output), 0.0)
        found[name] = band(values)
    return found


def carried_now(
    tank: Tank,
    before: CarriedTank | None,
    *,
    as_of: datetime | None,
    threads: int = 2,
    members: int = 1000,
    now: datetime | None = None,
    progress: Progress | None = None,
) -> CarriedTank | None:
    """Members that know of every reading: those there are, else those weighed by the news.

    Where nothing can be carried on they are fitted, which takes a while. ``None`` where nothing
    was read.

    Parameters
    ----------
    tank, before, as_of, threads, members, now, progress
        See `set_stage`.
    """
    one = fed_as_known(tank, as_of, now or datetime.now(UTC))
    readings = usable_readings(one.tank, one.calendar)
    if not readings:
        return None
    if before is not None:
        held = held_readings(one.tank, readings, before.kept.reading_keys)
        line = timeline(one.tank, local_day(one.calendar, one.calendar.days(one.as_of)) + 1)
        with suppress(ChangedPastError):
            if len(before.kept.used(line, held)) == len(held):
                return before
    update = Update(
        tank, before, as_of=as_of, members=members, threads=threads, now=now, progress=progress
    )
    return (update.provisional() or update.replacement()).tank


def _carried(effective: float, members: int, readings: int, begun: float) -> Diagnostics:
    """Of members that were found before: by how many of them would tell as much."""
    thin = "thin" if effective >= LEAST_EFFECTIVE else "poor"
    health = "good" if effective >= GOOD_EFFECTIVE else thin
    return Diagnostics(
        members=members,
        prior_members=members,
        effective_members=effective,
        readings_used=readings,
        health=health,
        seconds=clock.perf_counter() - begun,
        accuracy="sampling",
        model_version=__version__,
        parameter_digest=prior_digest(),
    )
