"""What a course does to animals from a moment on: chance and hours beyond the limits.

A step can only change what follows it. So exposures are counted from the moment on, one over
four days against each four of them: what was suffered before neither condemns every step nor
excuses one. A limit over a month is held against the mean of all the days looked at. Of ammonia
more is borne in a week than in a month: the level of shorter means runs through EPA's own two,
one time the criterion over thirty days and 2.5 times over four. Of nothing else such a pair is
known, so a week of it is held against the month's level.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from watervane.forecast.harm import course_water
from watervane.limits import TIERS, Judged, Limit, Water, judge, largest_change
from watervane.limits.ammonia import FOUR_DAY_FACTOR
from watervane.process.run import Course

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
SETTLING_D = 0.5 / 24.0  # after a step, until the water is mixed
FARTHEST = 20.0  # beyond a limit, in its own size: past that nothing is worse
JUMPS = ("ph_change", "temperature_change_k")
# epa2013_ammonia: 2.5 times the criterion over 4 of its 30 days.
BORNE = {"ammonia": math.log(FOUR_DAY_FACTOR) / math.log(30.0 / 4.0)}


@dataclass(frozen=True)
class After:
    """One tier of one subject, by member.

    ``passed`` tells who passes the strictest limit after the moment, ``hours`` for how long,
    ``burden`` for how long times how far (hours times the ratio of a value to its limit less
    one), ``worst`` the largest such ratio; shape (members,) each. ``leader`` is the limit that
    leads.
    """

    tier: str
    subject: str
    passed: Flags
    hours: Array
    burden: Array
    worst: Array
    leader: Limit


def harm_after(
    course: Course,
    limits: Sequence[Limit],
    begin_d: float,
    end_d: float,
    pressure_atm: float = 1.0,
    *,
    passing_only: bool = False,
) -> Mapping[tuple[str, str], After]:
    """Each tier of each subject from a moment to another; tiers are never put together.

    Parameters
    ----------
    course : Course
        With several stops a day, and with stops just before and after what changes water at once.
    limits : sequence of Limit
        Of the animals present.
    begin_d, end_d : float
        The moments; what is done at the first has half an hour to mix. [d]
    pressure_atm : float [atm]
    passing_only : bool
        Faster; ``worst`` and ``leader`` then tell of those that pass a limit only.
    """
    inside = (course.stops_d >= begin_d) & (course.stops_d <= end_d + 1e-9)
    times = course.stops_d[inside]
    if len(times) < 2:
        raise ValueError("a course of fewer than two moments cannot be judged")
    water = cut(water_with_changes(course, pressure_atm), inside)
    weights_h = _hours(times)
    found: dict[tuple[str, str], After] = {}
    for hours in sorted({_hours_of(limit) for limit in limits}):
        some = [limit for limit in limits if _hours_of(limit) == hours]
        whole = min(hours / 24.0, times[-1] - times[0])
        settled = 0.0 if hours == 0.0 else max(whole, SETTLING_D)
        counted = times >= times[0] + settled - 1e-9
        for key, judged in held(some, water, times, passing_only=passing_only).items():
            ratio = np.broadcast_to(judged.ratio, (len(times), _members(course)))[counted]
            if hours > 0.0:
                ratio = ratio * (24.0 * whole / hours) ** BORNE.get(key[1], 0.0)
            beyond = ratio > 1.0
            after = After(
                *key,
                passed=beyond.any(axis=0),
                hours=np.asarray(beyond * weights_h[counted][:, None]).sum(axis=0),
                burden=(np.clip(ratio - 1.0, 0.0, FARTHEST) * weights_h[counted][:, None]).sum(
                    axis=0
                ),
                worst=ratio.max(axis=0),
                leader=judged.at(counted).leader if judged.ratio.ndim else judged.leader,
            )
            found[key] = _both(found[key], after) if key in found else after
    return found


def held(
    limits: Sequence[Limit], water: Water, times_d: Array, *, passing_only: bool = False
) -> Mapping[tuple[str, str], Judged]:
    """As `watervane.limits.judge`, but a jump counts as it is: its mean over an hour is nothing.

    Parameters
    ----------
    limits : sequence of Limit
    water : Water
        See `water_with_changes`.
    times_d : array, shape (stops,)
    passing_only : bool
        See `watervane.limits.judge`.
    """
    jumps = [limit for limit in limits if limit.quantity in JUMPS]
    others = [limit for limit in limits if limit.quantity not in JUMPS]
    return {
        **judge(others, water, times_d, passing_only=passing_only),
        **judge(jumps, water),
    }


def _hours_of(limit: Limit) -> float:
    return 0.0 if limit.quantity in JUMPS else limit.exposure_hours


def chance_by_tier(after: Mapping[tuple[str, str], After]) -> dict[str, float]:
    """Share of members that pass any limit of each tier."""
    chances = {}
    for tier in TIERS:
        flags = [each.passed for (of, _), each in after.items() if of == tier]
        chances[tier] = float(np.logical_or.reduce(flags).mean()) if flags else 0.0
    return chances


def _both(one: After, two: After) -> After:
    """Limits of one subject over different exposures: passing either is passing."""
    leads = two.leader if two.worst.mean() > one.worst.mean() else one.leader
    return After(
        one.tier,
        one.subject,
        one.passed | two.passed,
        np.maximum(one.hours, two.hours),
        np.maximum(one.burden, two.burden),
        np.maximum(one.worst, two.worst),
        leads,
    )


def water_with_changes(course: Course, pressure_atm: float) -> Water:
    """The waters of a course with what changes within an hour, where water is poured above all."""
    water = course_water(course, pressure_atm)
    return replace(
        water,
        ph_change=largest_change(course.stops_d, np.asarray(water.ph), 1.0),
        temperature_change_k=largest_change(course.stops_d, np.asarray(water.temperature_c), 1.0),
    )


def cut(water: Water, inside: Flags) -> Water:
    """The waters of some stops."""
    told = {}
    for field in fields(water):
        value = getattr(water, field.name)
        if isinstance(value, np.ndarray) and value.ndim == 2 and len(value) == len(inside):
            told[field.name] = value[inside]
    return replace(water, **told)


def _hours(times: Array) -> Array:
    """Hours each moment stands for. [h]"""
    edges = np.concatenate([times[:1], 0.5 * (times[1:] + times[:-1]), times[-1:]])
    return np.asarray(24.0 * np.diff(edges))


def _members(course: Course) -> int:
    return int(course.outputs.shape[-1])
