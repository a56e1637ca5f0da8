"""A course held against the limits of the animals present, day by day and tier by tier."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from watervane.limits import Limit, Water, judge
from watervane.process.run import Course
from watervane.units.conversions import MMOL_PER_L_PER_DGH

_TOLD = (
    *("ph", "temperature_c", "chloride_mg_per_l", "ammonia_mg_n_per_l", "nitrite_mg_n_per_l"),
    *("nitrate_mg_n_per_l", "co2_mg_per_l", "oxygen_mg_per_l", "chlorine_mg_per_l"),
    "alkalinity_meq_per_l",
)
_SLACK_D = 1e-9


@dataclass(frozen=True, slots=True)
class Harm:
    """One tier of one subject over the days ahead.

    ``daily`` is the share of members that pass the strictest limit at some time of each day,
    ``within`` the share that does so on any of them; ``leader`` is the limit that leads where it
    is passed, or is nearest to being passed.
    """

    tier: str
    subject: str
    daily: tuple[float, ...]
    within: float
    leader: Limit


def course_water(course: Course, pressure_atm: float = 1.0) -> Water:
    """The waters of a course, shape (stops, members).

    Changes within an hour are left out: a course keeps too few stops to tell a refill from a
    slow drift, so whoever plans a refill works its own jump out.

    Parameters
    ----------
    course : Course
    pressure_atm : float [atm]
    """
    told = {name: course.output(name) for name in _TOLD}
    gh_dgh = course.output("minerals_mmol_per_l") / MMOL_PER_L_PER_DGH
    return Water(**told, gh_dgh=gh_dgh, pressure_atm=pressure_atm)


def harm_ahead(
    course: Course,
    limits: Sequence[Limit],
    first_d: float,
    days: int,
    pressure_atm: float = 1.0,
) -> Mapping[tuple[str, str], Harm]:
    """Chances of passing each tier of each subject after a moment; tiers are never put together.

    Exposures reach back into what the course holds of the time before.

    Parameters
    ----------
    course : Course
        With several stops a day.
    limits : sequence of Limit
        Of the animals present.
    first_d : float
        The moment. [d]
    days : int
        How many days of 24 hours to look ahead.
    pressure_atm : float [atm]
    """
    water = course_water(course, pressure_atm)
    ahead: dict[tuple[str, str], Harm] = {}
    for key, judged in judge(limits, water, course.stops_d).items():
        inside = [_between(course, first_d + day, first_d + day + 1.0) for day in range(days)]
        daily = np.stack([judged.passed[which].any(axis=0) for which in inside])
        whole = np.logical_or.reduce(inside)
        ahead[key] = Harm(
            *key,
            daily=tuple(float(share) for share in daily.mean(axis=1)),
            within=float(daily.any(axis=0).mean()),
            leader=judged.at(whole).leader,
        )
    return ahead


def _between(course: Course, from_d: float, to_d: float) -> np.ndarray:
    after = course.stops_d >= from_d - _SLACK_D
    return np.asarray(after & (course.stops_d <= to_d + _SLACK_D))
