"""Routines held against the bounds of those in the tank, four weeks at a time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from watervane.engine.care_lanes import LOOKS_AT, WEEK_D, LaneRan
from watervane.forecast.harm import course_water
from watervane.limits import Limit, judge
from watervane.planning.returning import CONDUCTIVITY_SHARE, KH_RISE_DKH
from watervane.process.source_water import MEQ_PER_DKH
from watervane.records import AllowedRisk
from watervane.records.care import BoundRisk

Numbers = NDArray[np.float64]
WINDOW_WEEKS, EARLY = 4, 3  # windows of four weeks; the first three are on the way to the routine
MOVED = ("nitrate", "alkalinity", "ph", "hardness", "ammonia", "nitrite", "chlorine")
CONDUCTIVITY, CHANGE = "conductivity", "change"
# No more than twice the tap's: then a half changed in need moves it by a quarter. House estimate.
TIMES_TAP, OVER_TAP_US_PER_CM = 2.0, 200.0
NO_WORSE = 0.05  # more often than the best routine a bound that none keeps may be passed
Key = tuple[str, str]


@dataclass(frozen=True)
class Windows:
    """One bound under one routine: the share of members that pass it in each four weeks."""

    limit: str
    side: str
    level: float
    animals: tuple[str, ...]
    shares: Numbers

    @property
    def early(self) -> float:
        """On the way to the routine."""
        return float(self.shares[:EARLY].max())

    @property
    def late(self) -> float:
        """In all the weeks after; of a short run, at its end."""
        return float(self.shares[EARLY:].max() if len(self.shares) > EARLY else self.shares[-1])


@dataclass(frozen=True)
class Taps:
    """Each member's tap water: conductivity [uS/cm] and carbonate hardness [dKH]."""

    conductivity: Numbers
    kh: Numbers


def windows_of(ran: LaneRan, limits: Sequence[Limit], taps: Taps) -> Mapping[Key, Windows]:
    """Every bound that a routine can move.

    Parameters
    ----------
    ran
        A routine's run.
    limits
        Of those in the tank.
    taps
        Of each member.
    """
    water = course_water(ran.course)
    asked = [limit for limit in limits if limit.subject in MOVED]
    found: dict[Key, Windows] = {}
    per_window = WINDOW_WEEKS * WEEK_D * len(LOOKS_AT)
    for key, one in judge(asked, water, ran.course.stops_d).items():
        leader = one.leader
        level = float(np.median(leader.level(water)))
        shares = _in_windows(one.passed, per_window)
        found[key] = Windows(leader.key, leader.side, level, leader.animals, shares)
    bound = conductivity_bound(taps.conductivity)
    passed = ran.conductivity > bound
    told = float(np.median(bound))
    shares = _in_windows(passed, WINDOW_WEEKS)
    found["comfort", CONDUCTIVITY] = Windows(CONDUCTIVITY, "above", told, (), shares)
    shares = _in_windows(_shaken(ran, taps), WINDOW_WEEKS)
    found["comfort", CHANGE] = Windows(CHANGE, "above", KH_RISE_DKH, (), shares)
    return found


def _shaken(ran: LaneRan, taps: Taps) -> NDArray[np.bool_]:
    """Whether the change at the turn of each week moves the water by more than a step may."""
    per_week = WEEK_D * len(LOOKS_AT)
    kh = ran.course.output("alkalinity_meq_per_l") / MEQ_PER_DKH
    found = np.zeros(ran.conductivity.shape, dtype=bool)
    for week in range(1, len(found)):
        if ran.lane.due(week):
            rise = ran.lane.share * (taps.kh - kh[week * per_week - 1])
            salts = ran.conductivity[week]
            moved = ran.lane.share * np.abs(taps.conductivity / salts - 1.0)
            found[week] = (rise > KH_RISE_DKH) | (moved > CONDUCTIVITY_SHARE)
    return found


def conductivity_bound(tap: Numbers) -> Numbers:
    """Above which the water has drifted from a tap of this conductivity. [uS/cm]"""
    return np.maximum(TIMES_TAP * tap, tap + OVER_TAP_US_PER_CM)


def _in_windows(passed: NDArray[np.bool_], size: int) -> Numbers:
    """Share of members that pass at any time of each window."""
    count = len(passed) // size
    cut = passed[: count * size].reshape(count, size, -1)
    return np.asarray(cut.any(axis=1).mean(axis=-1), dtype=np.float64)


@dataclass(frozen=True)
class Reach:
    """How often each bound may be passed: what is accepted, or hardly more than the best does."""

    early: Mapping[Key, float]
    late: Mapping[Key, float]
    allowed: AllowedRisk
    alone: float  # share that one member is

    def bounds(self, windows: Mapping[Key, Windows]) -> tuple[BoundRisk, ...]:
        """A routine's bounds, the worst first."""
        found = [self._bound(key, one) for key, one in windows.items()]
        return tuple(sorted(found, key=lambda b: (b.kept, -(max(b.early, b.late) - b.allowed))))

    def _bound(self, key: Key, one: Windows) -> BoundRisk:
        allowed = self.allowed.of(key[0])
        late, early = self.late.get(key, allowed), self.early.get(key, allowed)
        kept = one.late <= late + 1e-9 and one.early <= early + 1e-9
        return BoundRisk(
            tier=key[0],
            subject=key[1],
            limit=one.limit,
            side=one.side,
            level=one.level,
            animals=one.animals,
            early=one.early,
            late=one.late,
            allowed=allowed,
            kept=kept,
            out_of_reach=late > max(allowed, self.alone) + 1e-9,
        )


def reach_of(
    all_windows: Sequence[Mapping[Key, Windows]], allowed: AllowedRisk, members: int
) -> Reach:
    """What the best of the routines keeps, bound by bound.

    Parameters
    ----------
    all_windows
        Of routines run over the same members.
    allowed
        By tier.
    members
        How many: one of them by itself tells nothing.
    """
    early: dict[Key, float] = {}
    late: dict[Key, float] = {}
    for key in dict.fromkeys(key for each in all_windows for key in each):
        accepted = max(allowed.of(key[0]), 1.0 / members)
        for found, told in (
            (early, min(each[key].early for each in all_windows if key in each)),
            (late, min(each[key].late for each in all_windows if key in each)),
        ):
            worse = max(NO_WORSE, 2.0 / members)
            found[key] = accepted if told <= accepted else min(told + worse, 1.0)
    return Reach(early, late, allowed, 1.0 / members)


def keeps(bounds: Sequence[BoundRisk]) -> bool:
    """Whether all are kept."""
    return all(bound.kept for bound in bounds)


def excess(bounds: Sequence[BoundRisk]) -> float:
    """How far beyond what is accepted the bounds that are not kept are passed."""
    return sum(max(b.early, b.late) - b.allowed for b in bounds if not b.kept)


def first_week_passed(windows: Mapping[Key, Windows], reach: Reach) -> int | None:
    """Week by whose end a bound was passed too often; ``None`` where that never comes."""
    weeks = [
        (place + 1) * WINDOW_WEEKS
        for key, one in windows.items()
        for place, share in enumerate(one.shares)
        if share > max(reach.early[key], reach.late[key]) + 1e-9
    ]
    return min(weeks, default=None)


def with_tier_first(bounds: Sequence[BoundRisk]) -> BoundRisk | None:
    """The bound that matters most: not kept before kept, harm before comfort."""
    order = {"acute": 0, "chronic": 1, "comfort": 2}
    ranked = sorted(
        bounds,
        key=lambda b: (
            b.kept,
            order[b.tier] if not b.kept else 0,
            -(max(b.early, b.late) - b.allowed),
        ),
    )
    return replace(ranked[0]) if ranked else None
