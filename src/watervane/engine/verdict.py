"""The verdict on a tank: what is near or past a limit now and in the next two days, and why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from watervane.engine.futures import Standing
from watervane.engine.kept_course import one_after_another
from watervane.forecast.harm import told_limit
from watervane.forecast.harm_after import cut, held, water_with_changes
from watervane.forecast.quantiles import number_quantiles
from watervane.limits import TIERS, Judged, Limit, Water
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


def judged_ahead(
    standing: Standing, planned: Course, limits: Sequence[Limit]
) -> tuple[Mapping[tuple[str, str], Judged], Water, Numbers]:
    """Hold past and planned future against the limits, exposures reaching back into the past.

    Parameters
    ----------
    standing
        The members.
    planned
        Their future from the start of today.
    limits
        Of the animals present.

    Returns
    -------
    judged, water, stops_d
        By tier and subject, the water they were judged on, and its moments. [d]
    """
    parts = [planned] if standing.past is None else [standing.past, planned]
    course = one_after_another(parts)
    water = water_with_changes(course, standing.pressure_atm)
    return held(limits, water, course.stops_d), water, course.stops_d


def dangers(
    standing: Standing, judged: Mapping[tuple[str, str], Judged], water: Water, stops_d: Numbers
) -> tuple[Danger, ...]:
    """All dangers that are more than next to nothing, acute ones first, then by chance.

    Parameters
    ----------
    standing
        The members.
    judged, water, stops_d
        From `judged_ahead`.
    """
    found = []
    now_d = standing.as_of_d
    at = int(np.clip(np.searchsorted(stops_d, now_d - 1e-9), 0, len(stops_d) - 1))
    soon = (stops_d >= now_d - 1e-9) & (stops_d <= now_d + SOON_D + 1e-9)
    week = (stops_d >= now_d - 1e-9) & (stops_d <= now_d + WEEK_D + 1e-9)
    for (tier, subject), one in judged.items():
        if one.ratio.ndim < 2:
            continue
        in_two_days = float(one.passed[soon].any(axis=0).mean())
        in_a_week = float(one.passed[week].any(axis=0).mean())
        if in_a_week <= WORTH_TELLING:
            continue
        leader = one.at(soon if in_two_days > 0.0 else week).leader
        found.append(
            Danger(
                tier,
                subject,
                now=float(one.passed[at].mean()),
                soon=in_two_days,
                week=in_a_week,
                limit=told_limit(leader, cut(water, soon)),
                value=number_quantiles(_worst(leader, water, soon)),
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
    at = int(
        np.clip(np.searchsorted(planned.stops_d, standing.as_of_d), 0, len(planned.stops_d) - 1)
    )
    names = USUAL if leading is None else BESIDE.get(leading.subject, ())
    drivers = tuple(Driver(name, number_quantiles(planned.output(name)[at])) for name in names)
    return Verdict(key, leading, tuple(found), drivers)


def passes_soon(
    standing: Standing, judged: Mapping[tuple[str, str], Judged], stops_d: Numbers, danger: Danger
) -> Flags:
    """Which members pass a danger's limits within two days, shape (members,)."""
    soon = (stops_d >= standing.as_of_d - 1e-9) & (stops_d <= standing.as_of_d + SOON_D + 1e-9)
    return np.asarray(judged[danger.tier, danger.subject].passed[soon].any(axis=0))


def _key(found: Sequence[Danger], allowed: AllowedRisk) -> tuple[str, Danger | None]:
    by_tier = {
        tier: max(
            (d for d in found if d.tier == tier), key=lambda d: (d.soon, d.week), default=None
        )
        for tier in TIERS
    }
    acute, chronic, comfort = (by_tier[tier] for tier in TIERS)
    if acute is not None and (acute.now >= LIKELY or acute.soon >= EMERGENCY_SOON):
        return "emergency", acute
    if acute is not None and acute.soon >= LIKELY:
        return "harm-likely", acute
    if acute is not None and acute.soon > allowed.acute:
        return "harm-possible", acute
    if chronic is not None and chronic.soon >= LIKELY:
        return "strain-likely", chronic
    if chronic is not None and chronic.soon > allowed.chronic:
        return "strain-possible", chronic
    if acute is not None and acute.week > allowed.acute:
        return "harm-later", acute
    if comfort is not None and comfort.soon >= LIKELY:
        return "out-of-range", comfort
    return "nothing-points-to-harm", acute or chronic or comfort


def _worst(leader: Limit, water: Water, which: Flags) -> Numbers:
    values = water.value(leader.quantity)
    if values is None or values.ndim < 2:
        return np.zeros(1)
    return np.asarray((values[which].max if leader.side == "above" else values[which].min)(axis=0))
