"""The forecast of one tank, as the engine hands it out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING

from watervane.records.findings import Finding
from watervane.records.levels import SettledLevels
from watervane.records.limits import ToldLimit
from watervane.records.next_test import NextTest
from watervane.records.taught import Taught

if TYPE_CHECKING:
    from watervane.records.colonies import Colonies
    from watervane.records.ledger import NitrogenLedger

QUANTILES = (0.05, 0.25, 0.50, 0.75, 0.95)
QUANTILE_KEYS = ("p05", "p25", "p50", "p75", "p95")


@dataclass(frozen=True, slots=True)
class NumberQuantiles:
    """Five weighted quantiles of a number; ``None`` where it does not exist."""

    p05: float | None
    p25: float | None
    p50: float | None
    p75: float | None
    p95: float | None


@dataclass(frozen=True, slots=True)
class DateQuantiles:
    """Five weighted quantiles of a date; beyond the horizon is ``None``."""

    p05: datetime | None
    p25: datetime | None
    p50: datetime | None
    p75: datetime | None
    p95: datetime | None


@dataclass(frozen=True, slots=True)
class Band:
    """Weighted quantiles at each time of the series (same length as the times)."""

    p05: tuple[float, ...]
    p25: tuple[float, ...]
    p50: tuple[float, ...]
    p75: tuple[float, ...]
    p95: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Peak:
    """When and how high the daily mean of a species peaks."""

    date: DateQuantiles
    value_mg_n_per_l: NumberQuantiles
    probability_exists: float  # daily mean reaches 0.1 mg N/L at all


@dataclass(frozen=True, slots=True)
class Milestone:
    """A date the tank reaches, with its chance inside the horizon.

    ``status``: ``ahead``, ``reached``, ``not needed``, ``will stall``,
    ``beyond horizon``, ``no food planned``. ``causes`` maps a cause of never
    getting there to its share of the members.
    """

    date: DateQuantiles
    probability_within_horizon: float
    status: str
    probability_not_needed: float = 0.0
    causes: Mapping[str, float] = field(default_factory=dict)
    reason: str | None = None


@dataclass(frozen=True, slots=True)
class Diagnostics:
    """How the forecast was made and how far it can be trusted."""

    members: int
    prior_members: int
    effective_members: float
    readings_used: int
    health: str  # good, thin, poor
    seconds: float
    accuracy: str
    model_version: str
    parameter_digest: str
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Forecast:
    """The probabilistic course of one tank's water from filling to the horizon.

    ``series`` maps the JSON names of the tank-file page (``ammonia_mg_n_per_l``,
    ``ph``, ...) to bands. ``risk`` maps a subject and tier (``nitrite_acute``) to one
    probability per day after ``as_of`` that the strictest limit of those then in the tank is
    passed, and ``limits`` the same name to the limit that leads; documents of old hold levels'
    keys in ``risk`` and no ``limits``. ``settled_levels`` are those the milestones go by.
    ``ledger`` and ``colonies`` are of the same members and come later than the rest; each tells
    of its own moment.
    """

    tank: str
    owner: str
    filled: datetime
    as_of: datetime
    horizon_days: int
    seed: int
    ammonia_peak: Peak
    nitrite_peak: Peak
    settled: Milestone
    ready: Milestone
    times: tuple[datetime, ...]
    series: Mapping[str, Band]
    risk: Mapping[str, tuple[float, ...]]
    diagnostics: Diagnostics
    assumptions: tuple[Finding, ...] = ()
    taught: Taught | None = None
    next_test: NextTest | None = None
    limits: Mapping[str, ToldLimit] = field(default_factory=dict)
    settled_levels: SettledLevels = field(default_factory=SettledLevels)
    ledger: NitrogenLedger | None = None
    colonies: Colonies | None = None
