"""From a tank's records to its forecast."""

from __future__ import annotations

import math
import time as clock
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np

from watervane import __version__
from watervane.engine.outlook import Outlook, food_is_planned, settled_and_ready
from watervane.forecast.milestones import SettledLevels, peak_days
from watervane.forecast.quantiles import band, date_quantiles, number_quantiles
from watervane.forecast.risk import daily_risk
from watervane.forecast.trial import candidate_days
from watervane.inference.adaptive import Fitted, agreeing_members
from watervane.inference.observed import DKH_PER_MEQ, MODELLED
from watervane.inference.priors import prior_digest, prior_members
from watervane.inference.weighting import Weighting
from watervane.process.calendar import Calendar
from watervane.process.run import Course, Members, chosen_state, initial_state, simulate
from watervane.process.source_water import source_findings
from watervane.process.state import OUTPUT
from watervane.process.timeline import Timeline, timeline
from watervane.records import Diagnostics, Finding, Forecast, Peak, Reading, Tank

STOPS_PER_DAY = 4
DAYS_AFTER_HORIZON = 7  # *settled* looks a week ahead
UNLIKELY_READING = 0.05
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
        Members of the forecast; five times as many are drawn to be weighed.
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
    """
    return foretold(
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
    )[0]


def foretold(
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
) -> tuple[Forecast, Course]:
    """Forecast one tank's water, and hand out the members' courses it was made from.

    Parameters
    ----------
    tank, as_of, horizon_days, members, seed, accuracy, threads, levels, now, progress
        See `foretell`.
    also_at
        Moments the series are wanted at besides the usual ones, just before anything
        done at the same moment.
    """
    begun = clock.perf_counter()
    calendar = Calendar(tank.filled, tank.time_zone)
    as_of = _as_of(tank, as_of, calendar)
    known = _as_known(tank, as_of, now or datetime.now(UTC))
    as_of_d = calendar.days(as_of)
    today = math.floor(as_of_d + 1e-9)
    last_day = today + horizon_days + DAYS_AFTER_HORIZON
    line = timeline(known, last_day)
    fitted = _fit(known, line, members, seed, threads, progress)
    moments = [calendar.days(at) for at in also_at]
    course, run = _run_forward(
        line, fitted, (today + 1, last_day), accuracy, threads, progress, moments
    )
    outlook = settled_and_ready(
        line, run, course, as_of_d, today + horizon_days, levels or SettledLevels(), threads
    )
    horizon_d = as_of_d + horizon_days
    forecast = _forecast(
        known,
        line,
        fitted,
        course,
        outlook,
        (as_of_d, horizon_d, horizon_days, seed),
        accuracy,
        clock.perf_counter() - begun,
    )
    return forecast, course


def _as_of(tank: Tank, told: datetime | None, calendar: Calendar) -> datetime:
    """The told moment, or the last entry of the log, or midnight after filling."""
    if told is not None:
        return told if told.tzinfo else told.replace(tzinfo=calendar.zone)
    entries = [*(r.at for r in tank.readings), *(e.at for e in tank.events)]
    return max([calendar.moment(1.0), *entries])


def _as_known(tank: Tank, as_of: datetime, now: datetime) -> Tank:
    """The tank as it was known at a moment: later readings and log entries taken out."""
    return replace(
        tank,
        readings=tuple(r for r in tank.readings if r.at <= as_of),
        events=tuple(e for e in tank.events if e.at <= as_of or e.at > now),
    )


def _fit(
    tank: Tank,
    line: Timeline,
    count: int,
    seed: int,
    threads: int,
    progress: Progress | None,
) -> Fitted:
    """Draw members and keep those that agree with the readings."""
    readings = [r for r in tank.readings if not r.of_source_water and r.quantity in MODELLED]
    if not readings:
        drawn = prior_members(tank, np.arange(count), seed)
        return Fitted(drawn, None, np.arange(count))
    told = None if progress is None else (lambda share: progress("weighing", share))
    return agreeing_members(line, readings, count, seed, threads, told)


def _run_forward(
    line: Timeline,
    fitted: Fitted,
    days: tuple[int, int],
    accuracy: str,
    threads: int,
    progress: Progress | None,
    moments: Sequence[float],
) -> tuple[Course, Members]:
    """Run the kept members from filling: once each through the past, apart in the future."""
    past_end, last_day = days
    unique, place = np.unique(fitted.index, return_inverse=True)
    once = fitted.members.chosen(unique)
    run = replace(
        fitted.members.chosen(fitted.index), numbers=np.arange(len(fitted.index)) + (1 << 32)
    )
    told = None if progress is None else (lambda share: progress("past", share))
    tried = candidate_days(0, last_day - DAYS_AFTER_HORIZON) if _needs_trial(line) else []
    past = simulate(
        line,
        once,
        initial_state(line, once),
        (0, past_end),
        stops_d=_stops(line, 0, past_end, moments),
        accuracy=accuracy,
        threads=threads,
        checkpoint_days=tried,
        progress=told,
    )
    told = None if progress is None else (lambda share: progress("future", share))
    future = simulate(
        line,
        run,
        chosen_state(past.final, place),
        (past_end, last_day),
        stops_d=_stops(line, past_end, last_day, moments),
        accuracy=accuracy,
        threads=threads,
        checkpoint_days=tried,
        progress=told,
    )
    return Course(
        np.concatenate([past.stops_d, future.stops_d]),
        np.concatenate([past.outputs[..., place], future.outputs], axis=1),
        np.concatenate([past.daily_means[..., place], future.daily_means], axis=0),
        0,
        future.final,
        {
            **{d: chosen_state(s, place) for d, s in past.checkpoints.items()},
            **future.checkpoints,
        },
    ), run


def _needs_trial(line: Timeline) -> bool:
    return not food_is_planned(line) and line.tank.normal_food_g_per_d is not None


def _stops(line: Timeline, first: int, last: int, moments: Sequence[float]) -> list[float]:
    """Even stops through each day, one just before each day's first meal, and some moments."""
    begin, end = line.calendar.bounds_d(first)[0], line.calendar.bounds_d(last)[0]
    stops = {moment for moment in moments if begin <= moment < end}
    for day in range(first, last):
        begin, end = line.calendar.bounds_d(day)
        stops |= {begin + (end - begin) * k / STOPS_PER_DAY for k in range(STOPS_PER_DAY)}
        meal = line.first_meal_d(day)
        if meal is not None:
            stops.add(meal)
    return sorted(stops)


def _forecast(
    tank: Tank,
    line: Timeline,
    fitted: Fitted,
    course: Course,
    outlook: Outlook,
    scope: tuple[float, float, int, int],
    accuracy: str,
    seconds: float,
) -> Forecast:
    as_of_d, horizon_d, horizon_days, seed = scope
    calendar = line.calendar
    kept = course.stops_d <= horizon_d + 1e-9
    days = math.floor(horizon_d + 1e-9)
    peaks = []
    for species in (0, 1):
        day, height = peak_days(course.daily_means[:days, species])
        peaks.append(
            Peak(
                date_quantiles(day, calendar, horizon_d),
                number_quantiles(height),
                float(np.isfinite(day).mean()),
            )
        )
    return Forecast(
        tank=tank.name,
        owner=tank.owner,
        filled=calendar.moment(0.0),
        as_of=calendar.moment(as_of_d),
        horizon_days=horizon_days,
        seed=seed,
        ammonia_peak=peaks[0],
        nitrite_peak=peaks[1],
        settled=outlook.settled,
        ready=outlook.ready,
        times=tuple(calendar.moment(float(t)) for t in course.stops_d[kept]),
        series={
            name: band(factor * np.maximum(course.outputs[OUTPUT[output]][kept], 0.0))
            for name, (output, factor) in SERIES.items()
        },
        risk=daily_risk(course, as_of_d, horizon_days),
        diagnostics=_diagnostics(tank, fitted, len(fitted.index), accuracy, seconds),
        assumptions=_assumptions(tank, line),
    )


def _diagnostics(
    tank: Tank, fitted: Fitted, members: int, accuracy: str, seconds: float
) -> Diagnostics:
    weighting = fitted.weighting
    used = [r for r in tank.readings if not r.of_source_water and r.quantity in MODELLED]
    findings: list[Finding] = []
    if weighting is not None and weighting.health != "good":
        findings.append(
            Finding(
                "few-members-agree",
                "caution",
                {
                    "effective": round(weighting.effective, 1),
                    "members": len(fitted.members),
                    "softening": round(weighting.softening, 3),
                },
            )
        )
    if weighting is not None:
        findings += _contradictions(used, weighting)
    return Diagnostics(
        members=members,
        prior_members=len(fitted.members),
        effective_members=float(members) if weighting is None else weighting.effective,
        readings_used=len(used),
        health="good" if weighting is None else weighting.health,
        seconds=seconds,
        accuracy=accuracy,
        model_version=__version__,
        parameter_digest=prior_digest(),
        findings=tuple(findings),
    )


def _contradictions(readings: list[Reading], weighting: Weighting) -> list[Finding]:
    """Readings that hardly any of the weighted members would have given."""
    return [
        Finding(
            "readings-contradict",
            "caution",
            {"quantity": r.quantity, "at": r.at, "value": r.value.raw},
            line=r.line,
        )
        for r, chance in zip(readings, weighting.by_reading, strict=True)
        if chance < UNLIKELY_READING
    ]


def _assumptions(tank: Tank, line: Timeline) -> tuple[Finding, ...]:
    findings = [*line.findings, *source_findings(tank.source_water)]
    if tank.room_temperature_c is None:
        findings.append(Finding("assumed-room-temperature", "info", {"temperature_c": 20.0}))
    unclear = sorted({r.quantity for r in tank.readings if r.value.basis == "unknown"})
    if unclear:
        findings.append(Finding("basis-unknown", "info", {"quantities": unclear}))
    return tuple(findings)
