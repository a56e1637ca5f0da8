"""Stand a tank's members at a moment once, and run them under as many futures as wanted.

All futures of one standing share each member's noise of each day, so that they differ by what
is done and by nothing else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from watervane.engine.feeding import with_assumed_food
from watervane.engine.held_limits import UNNAMED
from watervane.engine.kept_course import chosen_course, one_after_another
from watervane.engine.known import (
    as_known,
    local_day,
    modelled,
    moment_of_forecast,
    present,
    usable_readings,
)
from watervane.engine.member_runs import FUTURE
from watervane.inference.fitting import Fitted, fit_members
from watervane.limits import Limit, limits_in
from watervane.process.calendar import Calendar, events_through
from watervane.process.population import Population
from watervane.process.run import Course, Members, chosen_state, initial_state, simulate
from watervane.process.state import TankState
from watervane.process.timeline import Timeline, timeline
from watervane.records import (
    AnimalsIn,
    AnimalsOut,
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
PAST_DAYS = 30  # kept, as the longest exposure of a limit reaches so far back
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
    readings
        That were weighed.
    read
        How many there were, before they were thinned.
    fitted, members
        The members; those of the future have noise of their own.
    state
        At the start of ``today``.
    past
        The weeks before ``today``, `LOOKS_PER_DAY`; ``None`` on the day of filling.
    threads
        See `watervane.process.run.simulate`.
    """

    tank: Tank
    findings: tuple[Finding, ...]
    calendar: Calendar
    as_of_d: float
    today: int
    readings: tuple[Reading, ...]
    read: int
    fitted: Fitted
    members: Members
    state: TankState
    past: Course | None
    threads: int

    @property
    def as_of(self) -> datetime:
        """The moment, in the keeper's zone."""
        return self.calendar.moment(self.as_of_d)

    @property
    def pressure_atm(self) -> float:
        """Of the air over the tank. [atm]"""
        return float(timeline(replace(self.tank, habits=()), 0).geometry["pressure_atm"])

    def some(self, index: NDArray[np.int64]) -> Standing:
        """The same with some of the members."""
        return replace(
            self,
            members=self.members.chosen(index),
            state=chosen_state(self.state, index),
            past=None if self.past is None else chosen_course(self.past, index),
        )


def stand(
    tank: Tank,
    *,
    as_of: datetime | None = None,
    members: int = 1000,
    seed: int = 1,
    threads: int = 2,
    now: datetime | None = None,
    progress: Callable[[float], None] | None = None,
) -> Standing:
    """Fit members to a tank's readings and run them to the day of a moment.

    Parameters
    ----------
    tank
        With its whole log.
    as_of, members, seed, threads, now
        See `watervane.engine.foretell`.
    progress
        Called with the share done of the fit.

    Raises
    ------
    ValueError
        If the moment lies before the filling.
    """
    calendar = Calendar(tank.filled, tank.time_zone)
    now = present(tank, now or datetime.now(UTC))
    as_of = moment_of_forecast(tank, as_of, calendar, now)
    known, findings = with_assumed_food(as_known(tank, as_of, now), as_of, calendar)
    as_of_d = calendar.days(as_of)
    today = local_day(calendar, as_of_d)
    line = timeline(known, today + 1)
    readings = usable_readings(known, calendar)
    fitted = fit_members(line, readings, members, seed, threads, progress=progress)
    once = fitted.members
    long_ago = max(today - PAST_DAYS, 0)
    start = initial_state(line, once)
    if long_ago:
        start = simulate(line, once, start, (0, long_ago), threads=threads).final
    past = None
    if today > long_ago:
        days = (long_ago, today)
        past = simulate(line, once, start, days, stops_d=looks(calendar, days), threads=threads)
    return Standing(
        known,
        findings,
        calendar,
        as_of_d,
        today,
        tuple(readings),
        len(modelled(known.readings)),
        fitted,
        once,
        start if past is None else past.final,
        past,
        threads,
    )


def future(
    standing: Standing, tank: Tank, days: int, *, threads: int | None = None, looks_per_day: int = 8
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
    looks_per_day
        Moments reported each day, besides those just before and after the water is changed or
        something is dosed.
    """
    first, last = standing.today, standing.today + days
    line = timeline(tank, last)
    asked = looks(standing.calendar, (first, last), looks_per_day)
    stops = sorted({*asked, *_beside_jumps(line, first, last)})
    run, count = standing.members, threads or standing.threads
    parts = [simulate(line, run, standing.state, (first, first + 1), stops_d=stops, threads=count)]
    if days > 1:
        later = replace(run, numbers=run.numbers + FUTURE)
        rest = (first + 1, last)
        parts.append(simulate(line, later, parts[0].final, rest, stops_d=stops, threads=count))
    return one_after_another(parts)


def futures(standing: Standing, tanks: Sequence[Tank], days: int) -> list[Course]:
    """Run many futures, one a thread; see `future`."""
    if standing.threads < 2 or len(tanks) < 2:
        return [future(standing, tank, days) for tank in tanks]
    with ThreadPoolExecutor(standing.threads) as pool:
        return list(pool.map(lambda tank: future(standing, tank, days, threads=1), tanks))


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
    line_volume_l = timeline(replace(tank, habits=()), 0).geometry["volume_l"]
    found = Population(line_volume_l)
    for event in events_through(replace(tank, habits=()), calendar, local_day(calendar, until_d)):
        at_d = calendar.days(event.at)
        if isinstance(event, AnimalsIn | AnimalsOut | Died) and at_d <= until_d + 1e-9:
            found.record(at_d, event)
    return found


def limits_of(standing: Standing, days: int = 0) -> tuple[Limit, ...]:
    """The limits of the animals present, and of those planned to come within some days.

    A tank that is fed but tells of no animals is held to those of animals nobody named.
    """
    counts = population(standing, until_d=standing.as_of_d + days).counts
    animals = tuple(name for name, count in counts.items() if count)
    if not counts and _fed(standing):
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


def _fed(standing: Standing) -> bool:
    told = events_through(standing.tank, standing.calendar, standing.today + 1)
    return any(isinstance(event, Feed) and event.mass_g.high > 0.0 for event in told)


def looks(calendar: Calendar, days: tuple[int, int], per_day: int = LOOKS_PER_DAY) -> list[float]:
    """Moments of local days, evenly apart. [d]"""
    found = []
    for day in range(*days):
        begin, end = calendar.bounds_d(day)
        found += [begin + (end - begin) * k / per_day for k in range(per_day)]
    return found


def _beside_jumps(line: Timeline, first: int, last: int) -> Iterable[float]:
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
