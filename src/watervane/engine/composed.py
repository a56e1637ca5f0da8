"""A forecast put together from members and what their water did."""

from __future__ import annotations

import time as clock
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from watervane.engine.daily import Days, days_of
from watervane.engine.feeding import fed_as_known
from watervane.engine.held_limits import held_limits
from watervane.engine.known import (
    local_day,
    modelled,
    usable_readings,
)
from watervane.engine.lessons import asked_about, taught
from watervane.engine.outlook import MemberDates, Scope, settled_and_ready
from watervane.engine.remarks import assumptions, diagnostics
from watervane.forecast.harm import Harm, harm_to
from watervane.forecast.milestones import SettledLevels, peak_days
from watervane.forecast.quantiles import band, date_quantiles, number_quantiles
from watervane.inference.fitting import Fitted
from watervane.inference.observed import DKH_PER_MEQ
from watervane.process.calendar import Calendar
from watervane.process.run import Course, Members
from watervane.process.state import OUTPUT, TankState
from watervane.process.timeline import Timeline, timeline
from watervane.records import Finding, Forecast, Peak, Reading, Tank

DAYS_AFTER_HORIZON = 7  # *settled* looks a week ahead
MINUTE_D = 1.0 / 1440.0
Progress = Callable[[str, float], None]

SERIES: dict[str, tuple[str, float]] = {
    "ammonia_mg_n_per_l": ("ammonia_mg_n_per_l", 1.0),
    "nitrite_mg_n_per_l": ("nitrite_mg_n_per_l", 1.0),
    "nitrate_mg_n_per_l": ("nitrate_mg_n_per_l", 1.0),
    "free_ammonia_mg_n_per_l": ("free_ammonia_mg_n_per_l", 1.0),
    "ph": ("ph", 1.0),
    "kh_dkh": ("alkalinity_meq_per_l", DKH_PER_MEQ),
    "oxygen_mg_per_l": ("oxygen_mg_per_l", 1.0),
    "temperature_c": ("temperature_c", 1.0),
}


@dataclass(frozen=True)
class Start:
    """Where the members of a forecast were run from: who, the local day, their state then."""

    members: Members
    day: int
    state: TankState


@dataclass(frozen=True)
class Made:
    """A forecast with what it was made from.

    Parameters
    ----------
    forecast
        As a keeper is told.
    course
        What the members' water did.
    fitted
        The members.
    readings
        That were used.
    settled_d
        When each member is settled, infinite where never; ``None`` where the tank is not fed, so
        that *settled* is read off other runs or not at all. [d]
    ready
        The tank.
    dates
        When members are settled, read off other runs or not.
    harm
        Which members pass which limits on which days ahead, by subject and tier
        (``nitrite_acute``).
    start
        Where the members were run from; ``None``: from filling.
    """

    forecast: Forecast
    course: Course
    fitted: Fitted
    readings: tuple[Reading, ...]
    settled_d: NDArray[np.float64] | None
    ready: Ready
    dates: MemberDates | None
    harm: Mapping[str, Harm] = field(default_factory=dict)
    start: Start | None = None


@dataclass(frozen=True)
class Ready:
    """A tank made ready to be foretold.

    Parameters
    ----------
    known
        The tank as it was known at the moment of the forecast, with assumed food.
    feeding
        What was assumed of its food.
    line
        The same as actions in time, a week past the horizon.
    days
        Its days.
    readings
        That can be used, in order of time.
    scope
        Between which moments the forecast speaks.
    horizon_days
        Days foretold. [d]
    today
        Local day of the forecast's moment.
    last_day
        Local day before which runs end.
    """

    known: Tank
    feeding: tuple[Finding, ...]
    line: Timeline
    days: Days
    readings: tuple[Reading, ...]
    scope: Scope
    horizon_days: int
    today: int
    last_day: int

    @property
    def calendar(self) -> Calendar:
        """Of the tank."""
        return self.line.calendar


def made_ready(
    tank: Tank,
    *,
    as_of: datetime | None,
    horizon_days: int,
    threads: int,
    levels: SettledLevels | None = None,
    now: datetime | None = None,
) -> Ready:
    """Take a tank as it was known at a moment and write out its days.

    Parameters
    ----------
    tank, as_of, horizon_days, threads, levels, now
        See `watervane.engine.foretell`.

    Raises
    ------
    ValueError
        If the moment lies before the filling, or the horizon is not ahead.
    """
    if horizon_days < 1:
        raise ValueError(f"a forecast needs at least one day ahead, not {horizon_days}")
    one = fed_as_known(tank, as_of, now)
    known, calendar = one.tank, one.calendar
    as_of_d = calendar.days(one.as_of)
    scope = Scope(as_of_d, as_of_d + horizon_days, levels or tank.settled_levels, threads)
    last_day = local_day(calendar, scope.horizon_d) + DAYS_AFTER_HORIZON
    line = timeline(known, last_day)
    return Ready(
        known,
        one.findings,
        line,
        days_of(line, last_day),
        tuple(usable_readings(known, calendar)),
        scope,
        horizon_days,
        local_day(calendar, as_of_d),
        last_day,
    )


def composed(
    ready: Ready,
    fitted: Fitted,
    course: Course,
    run: Members,
    *,
    seed: int,
    accuracy: str,
    begun: float,
) -> Made:
    """Put a forecast together.

    Parameters
    ----------
    ready
        The tank.
    fitted
        The members.
    course
        What their water did from filling until a week past the horizon.
    run
        The members as they were run into the future.
    seed, accuracy
        See `watervane.engine.foretell`.
    begun
        When work on it began, by `time.perf_counter`. [s]
    """
    calendar, scope, days = ready.calendar, ready.scope, ready.days
    outlook = settled_and_ready(ready.line, run, course, days, scope)
    kept = course.stops_d <= scope.horizon_d + 1e-9
    whose = held_limits(ready.known, calendar, scope.as_of_d, scope.horizon_d)
    pressure_atm = ready.line.geometry["pressure_atm"]
    ahead = harm_to(course, whose.held, scope.as_of_d, ready.horizon_days, pressure_atm)
    harm = {one.name: one for one in ahead.values()}
    forecast = Forecast(
        tank=ready.known.name,
        owner=ready.known.owner,
        filled=calendar.moment(0.0),
        as_of=calendar.moment(scope.as_of_d),
        horizon_days=ready.horizon_days,
        seed=seed,
        ammonia_peak=_peak(course, days, calendar, scope, 0),
        nitrite_peak=_peak(course, days, calendar, scope, 1),
        settled=outlook.settled,
        ready=outlook.ready,
        times=tuple(calendar.moment(float(t)) for t in course.stops_d[kept]),
        series={
            name: band(factor * np.maximum(course.outputs[OUTPUT[output]][kept], 0.0))
            for name, (output, factor) in SERIES.items()
        },
        risk={name: one.daily for name, one in harm.items()},
        diagnostics=diagnostics(
            fitted,
            ready.readings,
            len(modelled(ready.known.readings)),
            accuracy,
            clock.perf_counter() - begun,
        ),
        assumptions=(*assumptions(ready.known, ready.line, ready.feeding), *whose.findings),
        taught=taught(
            fitted, ready.readings, asked_about(outlook.dates, course, days, scope.horizon_d)
        ),
        limits={name: one.told for name, one in harm.items()},
        settled_levels=scope.levels,
    )
    return Made(
        forecast, course, fitted, ready.readings, outlook.settled_d, ready, outlook.dates, harm
    )


def _peak(course: Course, days: Days, calendar: Calendar, scope: Scope, species: int) -> Peak:
    """Highest daily mean of ammonia (0) or nitrite (1) from filling to the horizon."""
    whole = int((days.end_d <= scope.horizon_d + 2.0 * MINUTE_D).sum())
    day, height = peak_days(course.daily_means[:whole, species])
    return Peak(
        date_quantiles(days.middle_d(day), calendar, scope.horizon_d),
        number_quantiles(height),
        float(np.isfinite(day).mean()),
    )
