"""The way to a full tank: who joins when, so that all are in soonest within the accepted risk."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from watervane.records.allowed_risk import AllowedRisk
from watervane.records.findings import Finding
from watervane.records.forecasts import Diagnostics
from watervane.records.headroom import OtherRisk


@dataclass(frozen=True, slots=True)
class Wish:
    """Animals a keeper would like to have; ``length_cm`` left out is the usual adult length."""

    species: str
    count: int
    length_cm: float | None = None


@dataclass(frozen=True, slots=True)
class Addition:
    """Animals of one kind that join on a day, and the risk of the weeks that follow by tier.

    ``buy_on`` is the day they are brought home, into quarantine; ``food_g_per_d`` is what they
    are fed together.
    """

    species: str
    count: int
    length_cm: float | None
    buy_on: date
    add_on: date
    food_g_per_d: float
    risks: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class LeftOver:
    """Part of a wish that does not fit within the horizon, and what stands in its way.

    Without a ``tier`` no limit does: there is too little time for batches that each double the
    load at the most.
    """

    species: str
    count: int
    tier: str
    subject: str
    limit: str
    risk: float
    without_it: float


@dataclass(frozen=True, slots=True)
class Filling:
    """A way to a full tank as of a moment.

    ``finish`` is the day the last animals join, ``as_written_finish`` the same in the order of the
    wish list; both ``None`` where not all fit. ``searched_on`` members bore the search, all of them
    the check. ``orders`` is how many orders were searched. ``elsewhere`` is what is likely passed
    however little is fed.
    """

    tank: str
    owner: str
    as_of: datetime
    seed: int
    allowed: AllowedRisk
    horizon_days: int
    quarantine_days: int
    wishes: tuple[Wish, ...]
    additions: tuple[Addition, ...]
    left: tuple[LeftOver, ...]
    elsewhere: tuple[OtherRisk, ...]
    finish: date | None
    as_written_finish: date | None
    orders: int
    searched_on: int
    findings: tuple[Finding, ...]
    diagnostics: Diagnostics
