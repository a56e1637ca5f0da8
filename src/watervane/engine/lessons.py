"""What the readings taught about a tank, from the members that agree with them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from watervane.engine.daily import Days
from watervane.engine.outlook import MemberDates
from watervane.forecast.milestones import peak_days
from watervane.forecast.moved import Asked, Most, moved_most
from watervane.forecast.taught import learned, still_open
from watervane.inference.fitting import Fitted
from watervane.inference.priors import UNKNOWNS
from watervane.inference.target import family_error
from watervane.process.run import Course
from watervane.records import Moved, Reading, Taught

LIKELY = 0.5
PEAKS = ("ammonia_peak", "nitrite_peak")


def asked_about(
    dates: MemberDates | None, course: Course, days: Days, horizon_d: float
) -> Asked | None:
    """The date the readings of a tank are judged by: *settled*, else the last peak that comes.

    Parameters
    ----------
    dates
        When members are settled, where that is foretold.
    course, days
        What the members' water did.
    horizon_d
        To which dates are looked at. [d]
    """
    if dates is not None:
        waiting = ~dates.spared
        if waiting.mean() > LIKELY:
            members, moments = dates.members[waiting], dates.moments_d[waiting]
            return Asked("settled", members, moments, horizon_d)
    whole = int((days.end_d <= horizon_d).sum())
    for species in (1, 0):
        day, _ = peak_days(course.daily_means[:whole, species])
        if np.isfinite(day).mean() > LIKELY:
            every = np.arange(len(day))
            return Asked(PEAKS[species], every, days.middle_d(day), horizon_d)
    return None


def taught(fitted: Fitted, readings: Sequence[Reading], asked: Asked | None) -> Taught | None:
    """What was learned; ``None`` without readings.

    Parameters
    ----------
    fitted
        Members and how each reading fits them.
    readings
        That were used, in the order of ``fitted.without``.
    asked
        See `asked_about`.
    """
    if fitted.z is None:
        return None
    lasting = [i for i, name in enumerate(fitted.names) if _lasts(name)]
    names, z = [fitted.names[i] for i in lasting], fitted.z[lasting]
    found = learned(names, z, fitted.effective)
    if asked is None:
        return Taught(found, (), about="")
    effective = _effective(fitted, asked)
    still = still_open(names, z[:, asked.members], asked.date_d, effective)
    if fitted.without is None:
        return Taught(found, still, about=asked.about)
    most, within_d = moved_most(fitted.without, asked, effective)
    moved = None if most is None else _moved(most, readings[most.place])
    return Taught(found, still, moved, asked.about, within_d if np.isfinite(within_d) else None)


def _lasts(name: str) -> bool:
    """Rates, colonies, source water and kits; not the noise of single days and weeks."""
    return name in UNKNOWNS or not name.rsplit(" ", 1)[-1].isdigit()


def _effective(fitted: Fitted, asked: Asked) -> float:
    """Independent members that would tell as much of the date."""
    count = float(len(asked.members))
    if fitted.families is None:
        return fitted.effective * count / len(fitted.members)
    date_d = np.minimum(asked.date_d, asked.cap_d)
    error = family_error(date_d, fitted.families[asked.members])
    return min(float(date_d.var()) / error**2, count) if error > 0.0 else count


def _moved(most: Most, reading: Reading) -> Moved:
    return Moved(reading.at, reading.quantity, most.days, most.narrowed_days, most.told)
