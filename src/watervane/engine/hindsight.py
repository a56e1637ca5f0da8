"""What a forecast made without some readings would have expected of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from watervane.engine.foretell import Progress, made
from watervane.engine.known import modelled
from watervane.engine.later_readings import all_chances, on_kit_basis, scored_readings
from watervane.engine.reading_marks import score_row
from watervane.engine.showable import showable
from watervane.inference.observed import observable
from watervane.process.calendar import Calendar
from watervane.records import Forecast, Reading, ScoreRow, Tank


@dataclass(frozen=True)
class Hindsight:
    """A forecast beside readings it may or may not have seen.

    Parameters
    ----------
    forecast
        As a keeper would have been told.
    readings
        In order of time, of the tank's own water and of quantities the model knows.
    levels
        What each member's water held at each of them, in the reading's own canonical unit,
        shape (readings, members).
    rows
        Scores of the readings after the forecast, see `watervane.engine.replay`; the prior is
        not among the forecasters.
    """

    forecast: Forecast
    readings: tuple[Reading, ...]
    levels: NDArray[np.float64]
    rows: tuple[ScoreRow, ...] = ()


def hindsight(
    tank: Tank,
    *,
    as_of: datetime,
    horizon_days: int,
    members: int = 1000,
    seed: int = 1,
    accuracy: str = "sampling",
    threads: int = 2,
    progress: Progress | None = None,
) -> Hindsight:
    """Foretell a tank as of a past moment and set what came beside it.

    Readings after ``as_of`` are not used. What the keeper did later is, as if it had been
    planned: the question is what the water does under it.

    Parameters
    ----------
    tank
        With its whole log.
    as_of
        The past moment.
    horizon_days
        Days foretold after it. [d]
    members, seed, accuracy, threads, progress
        See `foretell`.
    """
    calendar = Calendar(tank.filled, tank.time_zone)
    last_d = calendar.days(as_of) + horizon_days
    readings = sorted(
        (r for r in modelled(tank.readings) if calendar.days(r.at) <= last_d),
        key=lambda r: r.at,
    )
    seen = replace(tank, readings=tuple(r for r in tank.readings if r.at <= as_of))
    found = made(
        seen,
        as_of=as_of,
        now=as_of,
        horizon_days=horizon_days,
        members=members,
        seed=seed,
        accuracy=accuracy,
        threads=threads,
        progress=progress,
        also_at=[r.at for r in readings],
    )
    course = found.course
    stops = [_stop(course.stops_d, calendar.days(r.at)) for r in readings]
    levels = [observable(course, s, r.quantity) for s, r in zip(stops, readings, strict=True)]
    told = on_kit_basis(tank)
    later = [
        showable(told, r)
        for r in scored_readings(told, calendar)
        if r.at > as_of and calendar.days(r.at) <= last_d
    ]
    rows = [
        score_row(as_of, one, chances)
        for one, chances in zip(later, all_chances(told, found, later, seed), strict=True)
    ]
    return Hindsight(found.forecast, tuple(readings), np.array(levels), tuple(rows))


def _stop(stops_d: Sequence[float] | NDArray[np.float64], at_d: float) -> int:
    return int(np.abs(np.asarray(stops_d) - at_d).argmin())
