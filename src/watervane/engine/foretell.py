"""From a tank's records to its forecast."""

from __future__ import annotations

import time as clock
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from watervane.engine.daily import Days, days_of
from watervane.engine.feeding import with_assumed_food
from watervane.engine.known import (
    as_known,
    local_day,
    modelled,
    moment_of_forecast,
    present,
    usable_readings,
)
from watervane.engine.lessons import taught
from watervane.engine.outlook import Scope, needs_trial, settled_and_ready
from watervane.engine.remarks import assumptions, diagnostics
from watervane.forecast.milestones import SettledLevels, peak_days
from watervane.forecast.quantiles import band, date_quantiles, number_quantiles
from watervane.forecast.risk import daily_risk
from watervane.forecast.trial import candidate_days
from watervane.inference.fitting import Fitted, fit_members
from watervane.inference.observed import DKH_PER_MEQ
from watervane.process.calendar import Calendar
from watervane.process.run import Course, Members, initial_state, simulate
from watervane.process.state import OUTPUT
from watervane.process.timeline import Timeline, timeline
from watervane.records import Forecast, Peak, Reading, Tank

DAYS_AFTER_HORIZON = 7  # *settled* looks a week ahead
FINE_DAYS = 90  # of the past are kept with several stops a day, older ones with one
MINUTE_D = 1.0 / 1440.0
FUTURE = 1 << 32  # member numbers of the future's noise
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
    """

    forecast: Forecast
    course: Course
    fitted: Fitted
    readings: tuple[Reading, ...]
    settled_d: NDArray[np.float64] | None


def foretell(
    tank: Tank,
    *,
    as_of: datetime | None = None,
    horizon_days: int = 30,
    members: int = 1000,
    seed: int = 1,
    accuracy: str = "printed",
    threads: int = 2,
    levels: SettledLevels | None = None,
    now: datetime | None = None,
    progress: Progress | None = None,
) -> Forecast:
    """Forecast one tank's water from filling to a horizon.

    Parameters
    ----------
    tank
        With its whole log.
    as_of
        Moment of the forecast; later readings are not used, and later log entries
        neither, unless they still lie ahead of `now`. The last log entry by default.
    horizon_days
        Days foretold after ``as_of``. [d]
    members
        Members of the forecast.
    seed
        Of all random numbers.
    accuracy
        Of the printed courses, see ``process.run``.
    threads
        Blocks run side by side.
    levels
        What counts as settled.
    now
        The present, for telling plans from log entries.
    progress
        Called with a stage's key and the share done of it.

    Raises
    ------
    ValueError
        If the moment lies before the filling, or the horizon is not ahead.
    """
    return made(
        tank,
        as_of=as_of,
        horizon_days=horizon_days,
        members=members,
        seed=seed,
        accuracy=accuracy,
        threads=threads,
        levels=levels,
        now=now,
        progress=progress,
    ).forecast


def made(
    tank: Tank,
    *,
    as_of: datetime | None = None,
    horizon_days: int = 30,
    members: int = 1000,
    seed: int = 1,
    accuracy: str = "printed",
    threads: int = 2,
    levels: SettledLevels | None = None,
    now: datetime | None = None,
    progress: Progress | None = None,
    also_at: Sequence[datetime] = (),
) -> Made:
    """Forecast one tank's water, and hand out what it was made from.

    Parameters
    ----------
    tank, as_of, horizon_days, members, seed, accuracy, threads, levels, now, progress
        See `foretell`.
    also_at
        Moments the series are wanted at besides the usual ones, just before anything
        done at the same moment.
    """
    if horizon_days < 1:
        raise ValueError(f"a forecast needs at least one day ahead, not {horizon_days}")
    begun = clock.perf_counter()
    calendar = Calendar(tank.filled, tank.time_zone)
    now = present(tank, now or datetime.now(UTC))
    as_of = moment_of_forecast(tank, as_of, calendar, now)
    known, feeding = with_assumed_food(as_known(tank, as_of, now), as_of, calendar)
    as_of_d = calendar.days(as_of)
    scope = Scope(as_of_d, as_of_d + horizon_days, levels or SettledLevels(), threads)
    today = local_day(calendar, as_of_d)
    last_day = local_day(calendar, scope.horizon_d) + DAYS_AFTER_HORIZON
    line = timeline(known, last_day)
    days = days_of(line, last_day)
    readings = usable_readings(known, calendar)
    fitted = _fit(line, readings, members, seed, threads, progress)
    moments = [calendar.days(at) for at in also_at]
    course, run = _run_forward(
        line, fitted, days, (today + 1, last_day), scope, accuracy, progress, moments
    )
    outlook = settled_and_ready(line, run, course, days, scope)
    kept = course.stops_d <= scope.horizon_d + 1e-9
    forecast = Forecast(
        tank=tank.name,
        owner=tank.owner,
        filled=calendar.moment(0.0),
        as_of=calendar.moment(as_of_d),
        horizon_days=horizon_days,
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
        risk=daily_risk(course, as_of_d, horizon_days),
        diagnostics=diagnostics(
            fitted,
            readings,
            len(modelled(known.readings)),
            accuracy,
            clock.perf_counter() - begun,
        ),
        assumptions=assumptions(known, line, feeding),
        taught=taught(fitted, readings, outlook.settled_d, scope.horizon_d),
    )
    return Made(forecast, course, fitted, tuple(readings), outlook.settled_d)


def _fit(
    line: Timeline,
    readings: Sequence[Reading],
    count: int,
    seed: int,
    threads: int,
    progress: Progress | None,
) -> Fitted:
    """Draw members that agree with the readings."""
    told = None if progress is None else (lambda share: progress("weighing", share))
    return fit_members(line, readings, count, seed, threads, progress=told)


def _run_forward(
    line: Timeline,
    fitted: Fitted,
    days: Days,
    bounds: tuple[int, int],
    scope: Scope,
    accuracy: str,
    progress: Progress | None,
    moments: Sequence[float],
) -> tuple[Course, Members]:
    """Run the members from filling through past and future."""
    past_end, last_day = bounds
    once = fitted.members
    run = replace(once, numbers=once.numbers + FUTURE)
    told = None if progress is None else (lambda share: progress("past", share))
    tried: list[int] = []
    if needs_trial(line, scope.as_of_d):
        tried = candidate_days(0, last_day - DAYS_AFTER_HORIZON)
    past = simulate(
        line,
        once,
        initial_state(line, once),
        (0, past_end),
        stops_d=sorted({*days.stops(0, past_end, past_end - FINE_DAYS), *moments}),
        accuracy=accuracy,
        threads=scope.threads,
        checkpoint_days=tried,
        progress=told,
    )
    told = None if progress is None else (lambda share: progress("future", share))
    future = simulate(
        line,
        run,
        past.final,
        (past_end, last_day),
        stops_d=sorted({*days.stops(past_end, last_day), *moments}),
        accuracy=accuracy,
        threads=scope.threads,
        checkpoint_days=tried,
        progress=told,
    )
    return Course(
        np.concatenate([past.stops_d, future.stops_d]),
        np.concatenate([past.outputs, future.outputs], axis=1),
        np.concatenate([past.daily_means, future.daily_means], axis=0),
        0,
        future.final,
        {
            **past.checkpoints,
            **future.checkpoints,
        },
    ), run


def _peak(course: Course, days: Days, calendar: Calendar, scope: Scope, species: int) -> Peak:
    """Highest daily mean of ammonia (0) or nitrite (1) from filling to the horizon."""
    whole = int((days.end_d <= scope.horizon_d + 2.0 * MINUTE_D).sum())
    day, height = peak_days(course.daily_means[:whole, species])
    return Peak(
        date_quantiles(days.middle_d(day), calendar, scope.horizon_d),
        number_quantiles(height),
        float(np.isfinite(day).mean()),
    )
