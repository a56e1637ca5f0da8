"""From a tank's records to its forecast."""

from __future__ import annotations

import time as clock
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from watervane.engine.composed import (
    SERIES,
    Made,
    Progress,
    Ready,
    composed,
    made_ready,
)
from watervane.engine.member_runs import FINE_DAYS, FUTURE, run_on, told
from watervane.engine.next_test import next_test
from watervane.engine.update import Update
from watervane.forecast.milestones import SettledLevels
from watervane.inference.fitting import Fitted, fit_members
from watervane.inference.history import is_long
from watervane.inference.refresh import compared, deep_fit
from watervane.process.run import Course, Members, initial_state
from watervane.process.timeline import Timeline
from watervane.records import Finding, Forecast, Reading, Tank

__all__ = ["FINE_DAYS", "FUTURE", "SERIES", "Made", "Progress", "foretell", "made", "run_forward"]


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
    question: str | None = None,
    deep_members: int | None = None,
) -> Forecast:
    """Forecast one tank's water from filling to a horizon.

    Parameters
    ----------
    tank
        With its whole log.
    as_of
        Moment of the forecast; later readings are not used, and of later log entries only
        those that were plans, see `watervane.records.plans_begin`. The last log entry by default.
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
    question
        About which the most telling test is looked for: ``settled`` or ``danger``; left out, the
        first of them as long as it is open.
    deep_members
        Members of a second, thorough fit, see `deep_fit`. The forecast is theirs, and its
        diagnostics tell whether the usual fit agrees.

    Raises
    ------
    ValueError
        If the moment lies before the filling, or the horizon is not ahead.
    """
    one = made(
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
        deep_members=deep_members,
    )
    return replace(one.forecast, next_test=next_test(one, question))


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
    deep_members: int | None = None,
) -> Made:
    """Forecast one tank's water, and hand out what it was made from.

    Parameters
    ----------
    tank, as_of, horizon_days, members, seed, accuracy, threads, levels, now, progress, deep_members
        See `foretell`.
    also_at
        Moments the series are wanted at besides the usual ones, just before anything
        done at the same moment.
    """
    begun = clock.perf_counter()
    ready = made_ready(
        tank, as_of=as_of, horizon_days=horizon_days, threads=threads, levels=levels, now=now
    )
    if deep_members is None and is_long(ready.line, ready.readings):
        # In stretches, from anchor to anchor; in one piece every sweep would run years.
        whole = Update(
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
            also_at=also_at,
        )
        return whole.replacement().made
    fitted = _fit(ready.line, ready.readings, members, seed, threads, progress)
    compared_with: tuple[Finding, ...] = ()
    if deep_members is not None:
        fitted, compared_with = _deepened(ready, fitted, deep_members, seed, threads, progress)
    moments = [ready.calendar.days(at) for at in also_at]
    course, run = run_forward(ready, fitted, accuracy, progress, moments)
    one = composed(ready, fitted, course, run, seed=seed, accuracy=accuracy, begun=begun)
    told = one.forecast.diagnostics
    told = replace(told, findings=(*compared_with, *told.findings))
    return replace(one, forecast=replace(one.forecast, diagnostics=told))


def _fit(
    line: Timeline,
    readings: Sequence[Reading],
    count: int,
    seed: int,
    threads: int,
    progress: Progress | None,
) -> Fitted:
    """Draw members that agree with the readings."""
    return fit_members(line, readings, count, seed, threads, progress=told(progress, "weighing"))


def _deepened(
    ready: Ready,
    quick: Fitted,
    count: int,
    seed: int,
    threads: int,
    progress: Progress | None,
) -> tuple[Fitted, tuple[Finding, ...]]:
    """A thorough fit in place of the quick one, and whether the two agree."""
    if not ready.readings:
        return quick, (Finding("deep-fit-without-readings", "info"),)
    # Of another seed, so that the two share no chance.
    deep = deep_fit(
        ready.line,
        ready.readings,
        seed + 1,
        threads,
        members=count,
        progress=told(progress, "deepening"),
    )
    return deep, compared(quick, deep).findings


def run_forward(
    ready: Ready,
    fitted: Fitted,
    accuracy: str,
    progress: Progress | None,
    moments: Sequence[float],
) -> tuple[Course, Members]:
    """Run the members from filling through past and future.

    Parameters
    ----------
    ready
        The tank.
    fitted
        The members.
    accuracy, progress
        See `foretell`.
    moments
        Reported besides the usual ones. [d]
    """
    start = initial_state(ready.line, fitted.members)
    return run_on(
        ready, fitted.members, start, 0, accuracy=accuracy, progress=progress, moments=moments
    )
