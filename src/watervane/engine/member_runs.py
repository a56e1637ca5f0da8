"""Members run on from a day, through the rest of the past into the planned future."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from watervane.engine.composed import DAYS_AFTER_HORIZON, Progress, Ready
from watervane.engine.kept_course import one_after_another
from watervane.engine.outlook import needs_trial
from watervane.forecast.trial import candidate_days
from watervane.process.run import Course, Members, simulate
from watervane.process.state import TankState

FINE_DAYS = 90  # of the past are kept with several stops a day, older ones with one
FUTURE = 1 << 32  # member numbers of the future's noise


def run_on(
    ready: Ready,
    members: Members,
    start: TankState,
    first_day: int,
    *,
    accuracy: str,
    progress: Progress | None = None,
    moments: Sequence[float] = (),
) -> tuple[Course, Members]:
    """Run members from the start of a day until a week past the horizon.

    Parameters
    ----------
    ready
        The tank.
    members, start
        The members, and their state at the start of the day.
    first_day
        The day, not after that of the forecast.
    accuracy, progress
        See `watervane.engine.foretell`.
    moments
        Reported besides the usual ones. [d]

    Returns
    -------
    course, members
        What their water did, and the members as they were run into the future.
    """
    past = run_past(
        ready, members, start, first_day, accuracy=accuracy, progress=progress, moments=moments
    )
    ahead, later = run_future(
        ready, members, past.final, accuracy=accuracy, progress=progress, moments=moments
    )
    return one_after_another([past, ahead]), later


def run_past(
    ready: Ready,
    members: Members,
    start: TankState,
    first_day: int,
    *,
    accuracy: str,
    progress: Progress | None = None,
    moments: Sequence[float] = (),
) -> Course:
    """Run members from the start of a day through the day of the forecast; see `run_on`."""
    days = (first_day, ready.today + 1)
    return _run(ready, members, start, days, accuracy, told(progress, "past"), moments)


def run_future(
    ready: Ready,
    members: Members,
    start: TankState,
    *,
    accuracy: str,
    progress: Progress | None = None,
    moments: Sequence[float] = (),
) -> tuple[Course, Members]:
    """Run members from the day after the forecast on, with noise of their own; see `run_on`."""
    later = replace(members, numbers=members.numbers + FUTURE)
    days = (ready.today + 1, ready.last_day)
    course = _run(ready, later, start, days, accuracy, told(progress, "future"), moments)
    return course, later


def _run(
    ready: Ready,
    members: Members,
    start: TankState,
    days: tuple[int, int],
    accuracy: str,
    progress: Callable[[float], None] | None,
    moments: Sequence[float],
) -> Course:
    tried: list[int] = []
    if needs_trial(ready.line, ready.scope.as_of_d):
        tried = candidate_days(0, ready.last_day - DAYS_AFTER_HORIZON)
    fine = ready.today + 1 - FINE_DAYS
    return simulate(
        ready.line,
        members,
        start,
        days,
        stops_d=sorted({*ready.days.stops(*days, fine), *moments}),
        accuracy=accuracy,
        threads=ready.scope.threads,
        checkpoint_days=tried,
        progress=progress,
    )


def told(progress: Progress | None, stage: str) -> Callable[[float], None] | None:
    """Progress of one stage."""
    return None if progress is None else (lambda share: progress(stage, share))
