"""Stand a tank's members at a moment once, and run them under as many futures as wanted.

All futures of one standing share each member's noise of each day, so that they differ by what
is done and by nothing else.
"""

from __future__ import annotations

import time as clock
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from watervane.engine.begun_members import Begun, members_of_log
from watervane.engine.composed import Progress
from watervane.engine.feeding import KnownTank, fed_as_known
from watervane.engine.held_limits import unnamed_since
from watervane.engine.kept_course import one_after_another
from watervane.engine.known import (
    local_day,
    modelled,
    usable_readings,
)
from watervane.engine.member_runs import FUTURE, told
from watervane.inference.fitting import Fitted
from watervane.limits import Limit, limits_in
from watervane.process.calendar import Calendar, events_through
from watervane.process.geometry import tank_geometry
from watervane.process.population import Population
from watervane.process.run import Course, Members, chosen_state, simulate
from watervane.process.state import TankState
from watervane.process.timeline import Timeline, timeline
from watervane.records import (
    UNNAMED,
    AnimalsIn,
    AnimalsOut,
    Diagnostics,
    Died,
    Dose,
    Feed,
    Finding,
    Reading,
    Seed,
    Tank,
    TopOff,
    WaterChange,
)
from watervane.reference import substance

LOOKS_PER_DAY = 8
JUST_AFTER_D = 0.01 / 24.0


@dataclass(frozen=True)
class Standing:
    """Members that agree with a tank's readings, at the start of the day of a moment.

    Parameters
    ----------
    tank
        As it was known at the moment, with the food its animals are assumed to get.
    findings
        What was assumed of food.
    calendar
        Of the tank.
    as_of_d
        The moment. [d]
    today
        The local day it falls on.
    read
        How many readings there were, before they were thinned.
    begun
        The members where they begin, and the readings that were weighed.
    members
        Some or all of them; those of the future have noise of their own.
    state
        At the start of ``today``.
    threads
        See `watervane.process.run.simulate`.
    """

    tank: Tank
    findings: tuple[Finding, ...]
    calendar: Calendar
    as_of_d: float
    today: int
    read: int
    begun: Begun
    members: Members
    state: TankState
    threads: int

    @property
    def fitted(self) -> Fitted:
        """All members, as they were drawn."""
        return self.begun.fitted

    @property
    def readings(self) -> tuple[Reading, ...]:
        """That were weighed."""
        return self.begun.readings

    @property
    def as_of(self) -> datetime:
        """The moment, in the keeper's zone."""
        return self.calendar.moment(self.as_of_d)

    @cached_property
    def pressure_atm(self) -> float:
        """Of the air over the tank. [atm]"""
        return tank_geometry(self.tank)[0]["pressure_atm"]

    def how_made(self, begun: float) -> Diagnostics:
        """How far what was made of these members since a moment of the clock can be trusted."""
        return self.begun.how(self.read, "sampling", clock.perf_counter() - begun)

    def some(self, index: NDArray[np.int64]) -> Standing:
        """The same with some of the members."""
        return replace(
            self,
            members=self.members.chosen(index),
            state=chosen_state(self.state, index),
        )


def stand(
    tank: Tank,
    *,
    as_of: datetime | None = None,
    members: int = 1000,
    seed: int = 1,
    threads: int = 2,
    now: datetime | None = None,
    progress: Progress | None = None,
) -> Standing:
    """Fit members to a tank's readings and run them to the day of a moment.

    Parameters
    ----------
    tank
        With its whole log.
    as_of, members, seed, threads, now, progress
        See `watervane.engine.foretell`.

    Raises
    ------
    ValueError
        If the moment lies before the filling.
    """
    one = fed_as_known(tank, as_of, now)
    line = timeline(one.tank, day_of(one) + 1)
    readings = usable_readings(one.tank, one.calendar)
    found = members_of_log(line, readings, members, seed, threads, told(progress, "weighing"))
    return stood(one, found, threads)


def day_of(one: KnownTank) -> int:
    """The local day that the moment of a known tank falls on."""
    return local_day(one.calendar, one.calendar.days(one.as_of))


def stood(one: KnownTank, begun: Begun, threads: int) -> Standing:
    """Members of a known tank, run to the start of the day of its moment.

    Parameters
    ----------
    one
        The tank.
    begun
        Its members where they begin, not after that day.
    threads
        See `watervane.process.run.simulate`.
    """
    today = day_of(one)
    return Standing(
        one.tank,
        one.findings,
        one.calendar,
        one.calendar.days(one.as_of),
        today,
        len(modelled(one.tank.readings)),
        begun,
        begun.members,
        begun.state(today, threads),
        threads,
    )


def future(
    standing: Standing,
    tank: Tank,
    days: int,
    *,
    threads: int | None = None,
    accuracy: str = "sampling",
) -> Course:
    """Run the members from the start of today under another future.

    Parameters
    ----------
    standing
        The members; see `stand`.
    tank
        ``standing.tank``, with more or fewer events after the moment, or with other machines.
    days
        Local days, today counted.
    threads
        Other than the standing's.
    accuracy
        See `watervane.process.run.simulate`.

    Returns
    -------
    Course
        With `LOOKS_PER_DAY` stops, and those just before and after the water is changed or
        something is dosed.
    """
    first, last = standing.today, standing.today + days
    line = timeline(tank, last)
    asked = looks(standing.calendar, (first, last))
    stops = sorted({*asked, *beside_jumps(line, first, last)})
    run, count = standing.members, threads or standing.threads

    def ran(members: Members, state: TankState, span: tuple[int, int]) -> Course:
        return simulate(line, members, state, span, stops_d=stops, accuracy=accuracy, threads=count)

    parts = [ran(run, standing.state, (first, first + 1))]
    if days > 1:
        later = replace(run, numbers=run.numbers + FUTURE)
        parts.append(ran(later, parts[0].final, (first + 1, last)))
    return one_after_another(parts)


def population(
    standing: Standing, tank: Tank | None = None, until_d: float | None = None
) -> Population:
    """The animals present at a moment; left out, at that of the standing.

    Parameters
    ----------
    standing
        Whose tank and moment count.
    tank
        In its place.
    until_d
        In place of the moment; animals planned to come until then are counted as present. [d]
    """
    tank = tank or standing.tank
    calendar, until_d = standing.calendar, standing.as_of_d if until_d is None else until_d
    found = Population(tank_geometry(tank)[0]["volume_l"], own=tank.own_animals)
    for event in events_through(replace(tank, habits=()), calendar, local_day(calendar, until_d)):
        at_d = calendar.days(event.at)
        if isinstance(event, AnimalsIn | AnimalsOut | Died) and at_d <= until_d + 1e-9:
            found.record(at_d, event)
    return found


def limits_of(standing: Standing) -> tuple[Limit, ...]:
    """The limits of the animals present.

    A tank that is fed but tells of no animals is held to those of animals nobody named, see
    `unnamed_since`.
    """
    counts = population(standing).counts
    animals = tuple(name for name, count in counts.items() if count)
    if unnamed_since(standing.tank, standing.calendar, standing.today + 1) is not None:
        animals = (UNNAMED,)
    return limits_in(standing.tank, animals)


def never_started(standing: Standing) -> tuple[Finding, ...]:
    """A word of warning where no animal, dose or seed has ever fed a colony of this tank."""
    started = any(
        isinstance(event, AnimalsIn | Seed | Feed)
        or (isinstance(event, Dose) and substance(event.substance).tan_mol > 0.0)
        for event in standing.tank.events
        if standing.calendar.days(event.at) <= standing.as_of_d
    )
    return () if started else (Finding("tank-never-started", "caution", {}),)


def stop_at(stops_d: NDArray[np.float64], at_d: float) -> int:
    """Place of the first stop at a moment or after it, the last one where none is. [d]"""
    return int(np.clip(np.searchsorted(stops_d, at_d - 1e-9), 0, len(stops_d) - 1))


def looks(calendar: Calendar, days: tuple[int, int], per_day: int = LOOKS_PER_DAY) -> list[float]:
    """Moments of local days, evenly apart. [d]"""
    found = []
    for day in range(*days):
        begin, end = calendar.bounds_d(day)
        found += [begin + (end - begin) * k / per_day for k in range(per_day)]
    return found


def beside_jumps(line: Timeline, first: int, last: int) -> Iterable[float]:
    """Just before and after whatever changes the water at once, but for a habit of topping off."""
    begin_d, end_d = line.calendar.bounds_d(first)[0], line.calendar.bounds_d(last)[0]
    for event in events_through(line.tank, line.calendar, last - 1):
        if isinstance(event, WaterChange | Dose) or (
            isinstance(event, TopOff) and event.volume_l is not None
        ):
            at_d = line.calendar.days(event.at)
            if begin_d <= at_d < end_d:
                yield at_d
                if at_d + JUST_AFTER_D < end_d:
                    yield at_d + JUST_AFTER_D
