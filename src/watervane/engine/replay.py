"""Leave the future out: foretell a log again and again, and score what came after each time."""

from __future__ import annotations

import math
import time as clock
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from watervane import __version__
from watervane.engine.foretell import Made, Progress, made
from watervane.engine.known import local_day
from watervane.engine.later_readings import (
    all_chances,
    chances_of,
    on_kit_basis,
    scored_readings,
)
from watervane.engine.reading_marks import score_row
from watervane.engine.score_summaries import summaries
from watervane.engine.settled_scores import date_marks, settled_in_readings
from watervane.engine.showable import showable
from watervane.inference.priors import prior_digest
from watervane.process.calendar import Calendar
from watervane.records import (
    OWN,
    PRIOR,
    DateMark,
    Finding,
    Moment,
    Reading,
    Scores,
    Tank,
)

MOST_MOMENTS = 8


class TooFewDays(ValueError):
    """A log with fewer than two days of readings that can be scored."""

    def __init__(self, days: int) -> None:
        super().__init__(f"readings on {days} days; a replay needs two")
        self.days = days


@dataclass(frozen=True)
class _Log:
    """A log made ready: its tank, and the readings that are scored, in order of time."""

    tank: Tank
    calendar: Calendar
    scored: tuple[Reading, ...]
    end: datetime


def replay(
    tank: Tank,
    *,
    every_days: int | None = None,
    members: int = 300,
    seed: int = 1,
    threads: int = 2,
    progress: Progress | None = None,
) -> Scores:
    """Foretell a log from a ladder of moments and score every later reading.

    What the keeper did later is known to each forecast, as if it had been planned: the question
    is what the water does under it. The prior's forecast is made once, without any reading.

    Parameters
    ----------
    tank
        With its whole log.
    every_days
        Days between the moments; ``None``: after each day of readings, thinned to
        `MOST_MOMENTS`. [d]
    members, seed, threads
        Of each forecast, see `foretell`.
    progress
        Called with a stage's key and the share done of the whole replay.

    Raises
    ------
    TooFewDays
        Where nothing is left to score.
    """
    begun = clock.perf_counter()
    log = _log(tank)
    moments = ladder(log.scored, log.calendar, every_days)
    ahead = [showable(log.tank, r) for r in log.scored if r.at > moments[0]]
    told = _parts(progress, len(moments) + 1)

    def foretold(as_of: datetime, seen: Sequence[Reading], part: int) -> Made:
        days = math.ceil((log.end - as_of) / timedelta(days=1) + 0.25)
        return made(
            replace(log.tank, readings=tuple(seen)),
            as_of=as_of,
            now=as_of,
            horizon_days=days,
            members=members,
            seed=seed,
            accuracy="sampling",
            threads=threads,
            progress=told(part),
            also_at=[r.at for r in log.tank.readings if r.at <= log.end],
        )

    blind = foretold(log.calendar.moment(0.0), (), 0)
    settled, reason = settled_in_readings(log.scored, log.calendar, log.tank.settled_levels)
    if settled is not None and blind.settled_d is None:
        settled, reason = None, "settled-not-fed"
    prior_chances = chances_of(log.tank, blind, ahead, seed)
    of_prior = {one.reading: c for one, c in zip(ahead, prior_chances, strict=True)}
    found, rows = [], []
    for part, as_of in enumerate(moments, start=1):
        one = foretold(as_of, [r for r in log.tank.readings if r.at <= as_of], part)
        later = [each for each in ahead if each.reading.at > as_of]
        rows += [
            score_row(as_of, each, {**chances, PRIOR: of_prior[each.reading]})
            for each, chances in zip(later, all_chances(log.tank, one, later, seed), strict=True)
        ]
        dates = {OWN: one.settled_d, PRIOR: blind.settled_d}
        found.append(_moment(one, date_marks(settled, as_of, log.end, dates, log.calendar)))
    moment = log.calendar.moment
    between = None if settled is None else (moment(settled[0]), moment(settled[1]))
    return Scores(
        tank=tank.name,
        owner=tank.owner,
        made="replay",
        members=members,
        seed=seed,
        moments=tuple(found),
        rows=tuple(rows),
        summaries=summaries(rows),
        settled=between,
        settled_reason=reason,
        seconds=clock.perf_counter() - begun,
        model_version=__version__,
        parameter_digest=prior_digest(),
        findings=_left_out(tank, log.scored),
    )


def ladder(
    readings: Sequence[Reading], calendar: Calendar, every_days: int | None
) -> tuple[datetime, ...]:
    """Moments to foretell from, each before the last day of readings.

    Parameters
    ----------
    readings
        In order of time.
    calendar
        Of the tank.
    every_days
        See `replay`. [d]
    """
    last_of_day = {local_day(calendar, calendar.days(r.at)): r.at for r in readings}
    ends = list(last_of_day.values())
    if len(ends) < 2:
        raise TooFewDays(len(ends))
    if every_days is None:
        before = ends[:-1]
        chosen = np.unique(
            np.rint(np.linspace(0, len(before) - 1, min(MOST_MOMENTS, len(before)))).astype(int)
        )
        return tuple(before[i] for i in chosen)
    steps = math.ceil((ends[-1] - ends[0]) / timedelta(days=every_days))
    return tuple(ends[0] + timedelta(days=every_days * k) for k in range(max(steps, 1)))


def _log(tank: Tank) -> _Log:
    calendar = Calendar(tank.filled, tank.time_zone)
    tank = on_kit_basis(tank)
    scored = scored_readings(tank, calendar)
    if not scored:
        raise TooFewDays(0)
    return _Log(tank, calendar, scored, scored[-1].at)


def _left_out(tank: Tank, scored: Sequence[Reading]) -> tuple[Finding, ...]:
    count = len(tank.readings) - len(scored)
    if not count:
        return ()
    return (Finding("readings-not-scored", "info", {"left": count, "told": len(tank.readings)}),)


def _moment(one: Made, settled: dict[str, DateMark]) -> Moment:
    told = one.forecast.diagnostics
    return Moment(
        one.forecast.as_of,
        told.readings_used,
        told.effective_members,
        told.health,
        settled,
    )


def _parts(progress: Progress | None, parts: int) -> Callable[[int], Progress | None]:
    """Progress of one forecast as a part of the whole."""
    stages = {"weighing": (0.0, 0.8), "past": (0.8, 0.1), "future": (0.9, 0.1)}

    def of(part: int) -> Progress | None:
        if progress is None:
            return None

        def told(stage: str, share: float) -> None:
            begin, size = stages.get(stage, (0.0, 1.0))
            progress("replay", (part + begin + size * share) / parts)

        return told

    return of
