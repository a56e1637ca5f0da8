"""The verdict on a tank: what is near or past a limit now and in the next two days, and why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.engine.futures import Standing, stop_at
from watervane.forecast.harm_after import After, cut, harm_after, water_with_changes
from watervane.forecast.quantiles import number_quantiles
from watervane.limits import TIERS, Judged, Limit, Water, judge
from watervane.limits.told import told_limit
from watervane.process.run import Course
from watervane.records import AllowedRisk, Danger, Driver, Verdict

Numbers = NDArray[np.float64]
Flags = NDArray[np.bool_]
SOON_D, WEEK_D = 2.0, 7.0
LIKELY, EMERGENCY_SOON = 0.5, 0.8
WORTH_TELLING = 0.005
# What a subject's danger hangs on, besides the quantity itself.
BESIDE: Mapping[str, tuple[str, ...]] = {
    "ammonia": ("ammonia_mg_n_per_l", "free_ammonia_mg_n_per_l", "ph", "temperature_c"),
    "nitrite": ("nitrite_mg_n_per_l", "chloride_mg_per_l"),
    "oxygen": ("oxygen_mg_per_l", "temperature_c"),
    "co2": ("co2_mg_per_l", "ph"),
    "nitrate": ("nitrate_mg_n_per_l",),
    "alkalinity": ("alkalinity_meq_per_l", "ph"),
    "ph": ("ph", "alkalinity_meq_per_l"),
    "temperature": ("temperature_c",),
    "chlorine": ("chlorine_mg_per_l",),
}
USUAL = ("ammonia_mg_n_per_l", "nitrite_mg_n_per_l", "ph", "oxygen_mg_per_l")


@dataclass(frozen=True)
class Ahead:
    """The planned future held against the limits.

    Parameters
    ----------
    judged
        By tier and subject, moment by moment.
    water, stops_d
        What was judged, and its moments. [d]
    after
        The same over the exposures of the limits, from now on through a week.
    """

    judged: Mapping[tuple[str, str], Judged]
    water: Water
    stops_d: Numbers
    after: Mapping[tuple[str, str], After]


def look_ahead(standing: Standing, planned: Course, limits: Sequence[Limit]) -> Ahead:
    """Hold the planned future against the limits.

    Parameters
    ----------
    standing
        The members.
    planned
        Their future from the start of today.
    limits
        Of the animals present.
    """
    water = water_with_changes(planned, standing.pressure_atm)
    begin_d = standing.as_of_d
    after = harm_after(planned, limits, begin_d, begin_d + WEEK_D, standing.pressure_atm)
    return Ahead(judge(limits, water), water, planned.stops_d, after)


def dangers(standing: Standing, ahead: Ahead) -> tuple[Danger, ...]:
    """All dangers that are more than next to nothing, acute ones first, then by chance.

    Parameters
    ----------
    standing
        The members.
    ahead
        See `look_ahead`.
    """
    found = []
    now_d, stops_d = standing.as_of_d, ahead.stops_d
    at = stop_at(stops_d, now_d)
    soon, week = (_until(ahead, now_d, days) for days in (SOON_D, WEEK_D))
    for (tier, subject), one in ahead.judged.items():
        if one.ratio.ndim < 2:
            continue
        in_two_days = float(one.passed[soon].any(axis=0).mean())
        in_a_week = float(ahead.after[tier, subject].passed.mean())
        if max(in_two_days, in_a_week) <= WORTH_TELLING:
            continue
        leader = one.at(soon if in_two_days > 0.0 else week).leader
        found.append(
            Danger(
                tier,
                subject,
                now=float(one.passed[at].mean()),
                soon=in_two_days,
                week=in_a_week,
                limit=told_limit(leader, cut(ahead.water, soon)),
                value=number_quantiles(_worst(leader, ahead.water, soon)),
            )
        )
    return tuple(sorted(found, key=lambda d: (TIERS.index(d.tier), -d.soon, -d.week)))


def verdict(
    standing: Standing, planned: Course, found: Sequence[Danger], allowed: AllowedRisk
) -> Verdict:
    """One sentence's worth of what is wrong, gravest tier first.

    Parameters
    ----------
    standing
        The members.
    planned
        Their future from the start of today.
    found
        See `dangers`.
    allowed
        What risk counts as none.
    """
    key, leading = _key(found, allowed)
    at = stop_at(planned.stops_d, standing.as_of_d)
    names = USUAL if leading is None else BESIDE.get(leading.subject, ())
    drivers = tuple(Driver(name, number_quantiles(planned.output(name)[at])) for name in names)
    return Verdict(key, leading, tuple(found), drivers)


def passes_soon(standing: Standing, ahead: Ahead, danger: Danger) -> Flags:
    """Which members are beyond a danger's limits within two days, shape (members,)."""
    soon = _until(ahead, standing.as_of_d, SOON_D)
    return np.asarray(ahead.judged[danger.tier, danger.subject].passed[soon].any(axis=0))


def _until(ahead: Ahead, now_d: float, days: float) -> Flags:
    return np.asarray((ahead.stops_d >= now_d - 1e-9) & (ahead.stops_d <= now_d + days + 1e-9))


def _key(found: Sequence[Danger], allowed: AllowedRisk) -> tuple[str, Danger | None]:
    """Acute harm counts by what comes within two days; over time, only what also lasts."""
    acute = _gravest([d for d in found if d.tier == "acute"])
    lasting = [d for d in found if d.tier == "chronic" and d.week > allowed.chronic]
    chronic = _gravest(lasting)
    comfort = _gravest([d for d in found if d.tier == "comfort"])
    if acute is not None and (acute.now >= LIKELY or acute.soon >= EMERGENCY_SOON):
        return "emergency", acute
    if acute is not None and acute.soon >= LIKELY:
        return "harm-likely", acute
    if acute is not None and acute.soon > allowed.acute:
        return "harm-possible", acute
    if chronic is not None and min(chronic.soon, chronic.week) >= LIKELY:
        return "strain-likely", chronic
    if chronic is not None:
        return "strain-possible", chronic
    if acute is not None and acute.week > allowed.acute:
        return "harm-later", acute
    if comfort is not None and comfort.soon >= LIKELY:
        return "out-of-range", comfort
    return "nothing-points-to-harm", acute


def _gravest(found: Sequence[Danger]) -> Danger | None:
    return max(found, key=lambda d: (d.soon, d.week), default=None)


def _worst(leader: Limit, water: Water, which: Flags) -> Numbers:
    values = water.value(leader.quantity)
    if values is None or values.ndim < 2:
        return np.zeros(1)
    return np.asarray((values[which].max if leader.side == "above" else values[which].min)(axis=0))
