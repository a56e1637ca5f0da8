"""The settled date: what the readings show of it, and what each forecaster had said."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from watervane.engine.showable import middle
from watervane.forecast.scores import crps, places
from watervane.forecast.settled_in_log import Level, settled_between
from watervane.process.calendar import Calendar
from watervane.records import (
    RULE,
    RULE_WEEKS,
    DateMark,
    Reading,
    SettledLevels,
)

Numbers = NDArray[np.float64]
WIDEST_GAP_D = 10.0  # between the last high and the first low reading, to call it a date
RULE_DAYS = 57  # quarters of a day from four to six weeks
_SPECIES = ("ammonia", "nitrite")


def settled_in_readings(
    readings: Sequence[Reading], calendar: Calendar, levels: SettledLevels
) -> tuple[tuple[float, float] | None, str | None]:
    """Between which days the readings show that the tank settled, or the key of why not.

    Parameters
    ----------
    readings
        In order of time.
    calendar, levels
        Of the tank.
    """
    told = [
        Level(
            calendar.days(r.at),
            r.quantity,
            r.diluted * middle(r.value, r.quantity) >= levels.of(r.quantity),
        )
        for r in readings
        if r.quantity in _SPECIES
    ]
    found = settled_between(told)
    if found is None:
        return None, "settled-not-shown"
    if found[1] - found[0] > WIDEST_GAP_D:
        return None, "settled-gap-wide"
    return found, None


def date_marks(
    between: tuple[float, float] | None,
    as_of: datetime,
    end: datetime,
    moments_d: Mapping[str, Numbers | None],
    calendar: Calendar,
) -> dict[str, DateMark]:
    """Score the settled date as foretold before it could be read off.

    The middle between the last high and the first low reading counts as the date. Whatever
    lies past the end of the log counts as the end, for all forecasters alike.

    Parameters
    ----------
    between
        See `settled_in_readings`; without it nothing is scored.
    as_of, end
        Of the forecast and of the log.
    moments_d
        When each member is settled, by forecaster. [d]
    calendar
        Of the tank.
    """
    if between is None or calendar.days(as_of) >= between[0]:
        return {}
    actual, last = 0.5 * (between[0] + between[1]), calendar.days(end)
    marks = {
        name: _mark(moments, actual, last)
        for name, moments in moments_d.items()
        if moments is not None
    }
    return {**marks, RULE: rule_mark(actual, last)}


def rule_mark(actual_d: float, end_d: float) -> DateMark:
    """What "settled four to six weeks after filling", each day alike, earns.

    Parameters
    ----------
    actual_d
        The date, since filling. [d]
    end_d
        Later days count as this one. [d]
    """
    first, last = (7.0 * weeks for weeks in RULE_WEEKS)
    return _mark(np.linspace(first, last, RULE_DAYS), actual_d, end_d)


def _mark(moments_d: Numbers, actual_d: float, end_d: float) -> DateMark:
    days, counts = np.unique(np.minimum(moments_d, end_d), return_counts=True)
    chances = counts / len(moments_d)
    return DateMark(crps(days, chances, actual_d), places(days, chances, actual_d, actual_d))
