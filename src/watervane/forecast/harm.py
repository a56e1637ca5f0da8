"""A course held against the limits of those in the tank, day by day and tier by tier."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from watervane.limits import Judged, Limit, Water, judge
from watervane.limits.told import told_limit
from watervane.process.run import Course
from watervane.records import ToldLimit
from watervane.units.conversions import MMOL_PER_L_PER_DGH

_TOLD = (
    *("ph", "temperature_c", "chloride_mg_per_l", "ammonia_mg_n_per_l", "nitrite_mg_n_per_l"),
    *("nitrate_mg_n_per_l", "co2_mg_per_l", "oxygen_mg_per_l", "chlorine_mg_per_l"),
    "alkalinity_meq_per_l",
)
_SLACK_D = 1e-9
LONGEST_EXPOSURE_D = 30.0
Subject = tuple[str, str]  # tier and subject


@dataclass(frozen=True, slots=True)
class Held:
    """Limits, and from when until when those they stand for are in the tank. [d]"""

    limits: tuple[Limit, ...]
    from_d: float = -math.inf
    until_d: float = math.inf


@dataclass(frozen=True, slots=True)
class Harm:
    """One tier of one subject over the days ahead.

    ``daily`` is the share of members that pass the strictest limit at some time of each day,
    ``within`` the share that does so on any of them; ``leader`` is the limit that leads where it
    is passed, or is nearest to being passed, ``told`` the same with its level over these days.
    ``by_day`` tells which members pass it, shape (days, members).
    """

    tier: str
    subject: str
    daily: tuple[float, ...]
    within: float
    leader: Limit
    told: ToldLimit
    by_day: NDArray[np.bool_] = field(compare=False, repr=False)

    @property
    def name(self) -> str:
        """``nitrite_acute``."""
        return f"{self.subject}_{self.tier}"


def course_water(course: Course, pressure_atm: float = 1.0, stops: slice = slice(None)) -> Water:
    """The waters of a course, shape (stops, members).

    Changes within an hour are left out: a course keeps too few stops to tell a refill from a
    slow drift, so whoever plans a refill works its own jump out.

    Parameters
    ----------
    course : Course
    pressure_atm : float [atm]
    stops : slice
        Of all stops.
    """
    told = {name: course.output(name)[stops] for name in _TOLD}
    gh_dgh = course.output("minerals_mmol_per_l")[stops] / MMOL_PER_L_PER_DGH
    return Water(**told, gh_dgh=gh_dgh, pressure_atm=pressure_atm)


def harm_ahead(
    course: Course,
    limits: Sequence[Limit],
    first_d: float,
    days: int,
    pressure_atm: float = 1.0,
) -> Mapping[Subject, Harm]:
    """Chances of passing each tier of each subject after a moment; tiers are never put together.

    Exposures reach back into what the course holds of the time before.

    Parameters
    ----------
    course : Course
        With several stops a day.
    limits : sequence of Limit
        Of animals that are there all the time.
    first_d : float
        The moment. [d]
    days : int
        How many days of 24 hours to look ahead.
    pressure_atm : float [atm]
    """
    return harm_to(course, [Held(tuple(limits))], first_d, days, pressure_atm)


def harm_to(
    course: Course,
    held: Sequence[Held],
    first_d: float,
    days: int,
    pressure_atm: float = 1.0,
) -> Mapping[Subject, Harm]:
    """The same of animals that come and go.

    A limit is held only while those it stands for are in the tank, and their exposure begins
    when they come: water they were spared did them no harm. Where a limit is one of a mean, it is
    passed on a day only if that day's own water adds to it: what was suffered before and is over
    is nothing that lies ahead.

    Parameters
    ----------
    course, first_d, days, pressure_atm
        See `harm_ahead`.
    held : sequence of Held
        Any that are not there on these days have no say.
    """
    found: dict[Subject, list[_Part]] = {}
    for one in held:
        for key, part in _parts(course, one, first_d, days, pressure_atm):
            found.setdefault(key, []).append(part)
    return {key: _harm(key, parts) for key, parts in found.items()}


@dataclass(frozen=True, slots=True)
class _Part:
    """One subject's judgement of one set of animals."""

    judged: Judged
    by_day: NDArray[np.bool_]
    nearest: float  # largest ratio
    water: Water  # of the days ahead


def _parts(
    course: Course, one: Held, first_d: float, days: int, pressure_atm: float
) -> Iterator[tuple[Subject, _Part]]:
    stops, last_d = course.stops_d, first_d + days
    begin_d = max(one.from_d, first_d - LONGEST_EXPOSURE_D)
    begin, end = _between(stops, begin_d, min(one.until_d, last_d))
    first = max(begin, _between(stops, first_d, last_d)[0])
    if end <= first:
        return
    times = stops[begin:end]
    water = course_water(course, pressure_atm, slice(begin, end))
    ahead = water if first == begin else course_water(course, pressure_atm, slice(first, end))
    days_in = [_between(stops[first:end], first_d + k, first_d + k + 1.0) for k in range(days)]
    found = judge(one.limits, water, times, first - begin, passing_only=True)
    passing = {key for key, judged in found.items() if judged.passed.any()}
    present = judge([each for each in one.limits if (each.tier, each.subject) in passing], ahead)
    for key, judged in found.items():
        by_day = np.zeros((days, course.outputs.shape[-1]), dtype=bool)
        passed = judged.passed
        if passed.any():
            adds = np.broadcast_to(present[key].passed, passed.shape)
            for day, which in enumerate(days_in):
                there = slice(*which)
                by_day[day] = passed[there].any(axis=0) & adds[there].any(axis=0)
        yield key, _Part(judged, by_day, float(judged.ratio.max()), ahead)


def _harm(key: Subject, parts: Sequence[_Part]) -> Harm:
    by_day = np.logical_or.reduce([part.by_day for part in parts])
    worst = max(parts, key=lambda part: (int(part.by_day.sum()), part.nearest))
    return Harm(
        *key,
        daily=tuple(float(share) for share in by_day.mean(axis=1)),
        within=float(by_day.any(axis=0).mean()),
        leader=worst.judged.leader,
        told=told_limit(worst.judged.leader, worst.water),
        by_day=by_day,
    )


def _between(stops_d: NDArray[np.float64], from_d: float, to_d: float) -> tuple[int, int]:
    """First stop at or after a moment, and first one after another."""
    begin = int(np.searchsorted(stops_d, from_d - _SLACK_D, side="left"))
    return begin, int(np.searchsorted(stops_d, to_d + _SLACK_D, side="right"))
