"""How much more daily food a tank's colonies can take, and when: tier by tier."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from watervane.records.allowed_risk import AllowedRisk
from watervane.records.findings import Finding
from watervane.records.forecasts import Diagnostics, NumberQuantiles
from watervane.records.limits import ToldLimit
from watervane.records.spans import Span


@dataclass(frozen=True, slots=True)
class Newcomers:
    """Animals asked about: how much one of them weighs and needs to be fed.

    ``named`` tells that the keeper named them; else they are like those present, or a usual
    small fish. ``food_g_per_d`` is what one of them is given.
    """

    species: str
    length_cm: float | None
    mass_g: float
    food_g_per_d: Span
    named: bool


@dataclass(frozen=True, slots=True)
class TierRoom:
    """The room one tier leaves from one date on.

    ``food_g_per_d`` is the most extra daily food whose risk stays within the bound;
    ``least_g_per_d`` and ``most_g_per_d`` are its 90 % range from the members being finite;
    ``members`` is how much the members' colonies can take. ``None`` in any of them is more than
    ``tried_g_per_d``, the most that was tried. ``planned_risk`` is the risk without any extra
    food. ``subject`` and ``limit`` are what stands in the way first, with the ``animals`` it
    stands for; ``told_limit`` is that limit with its level in the tank's water as last read.
    """

    tier: str
    allowed: float
    planned_risk: float
    food_g_per_d: float | None
    least_g_per_d: float | None
    most_g_per_d: float | None
    members: NumberQuantiles
    subject: str
    limit: str
    animals: tuple[str, ...]
    source: str
    count: int | None
    told_limit: ToldLimit | None = None

    @property
    def broken(self) -> bool:
        """Whether the tank as planned already passes more than is accepted."""
        return self.planned_risk > self.allowed


@dataclass(frozen=True, slots=True)
class OtherRisk:
    """A limit that food does not move, passed as planned more often than is accepted."""

    tier: str
    subject: str
    limit: str
    animals: tuple[str, ...]
    source: str
    risk: float
    told_limit: ToldLimit | None = None


@dataclass(frozen=True, slots=True)
class DatedRoom:
    """The room from one date on.

    ``tried_g_per_d`` is the most extra food that was run. ``elsewhere`` holds what is passed
    however little is fed.
    """

    weeks_ahead: int
    begins: datetime
    tiers: Mapping[str, TierRoom]
    tried_g_per_d: float
    elsewhere: tuple[OtherRisk, ...] = ()

    @property
    def food_g_per_d(self) -> float | None:
        """The smallest room of all tiers; ``None`` for more than was tried. [g/d]"""
        told = [t.food_g_per_d for t in self.tiers.values() if t.food_g_per_d is not None]
        return min(told) if told else None

    @property
    def tightest(self) -> TierRoom | None:
        """The tier that leaves the smallest room."""
        told = [t for t in self.tiers.values() if t.food_g_per_d is not None]
        return min(told, key=lambda t: t.food_g_per_d or 0.0) if told else None

    @property
    def count(self) -> int | None:
        """Animals that all tiers leave room for; ``None`` for more than was tried."""
        told = [t.count for t in self.tiers.values() if t.count is not None]
        return min(told) if told else None


@dataclass(frozen=True, slots=True)
class Headroom:
    """Extra daily food from each of some dates on, and the animals it feeds.

    ``planned_g_per_d`` is the daily food planned anyhow, the mean of the fortnight ahead.
    """

    tank: str
    owner: str
    as_of: datetime
    seed: int
    allowed: AllowedRisk
    newcomers: Newcomers
    planned_g_per_d: float
    dates: tuple[DatedRoom, ...]
    findings: tuple[Finding, ...]
    diagnostics: Diagnostics
