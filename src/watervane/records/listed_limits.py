"""The limits that hold for one tank, listed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from watervane.records.allowed_risk import AllowedRisk
from watervane.records.findings import Finding
from watervane.records.forecasts import NumberQuantiles
from watervane.records.limits import ToldLimit


@dataclass(frozen=True, slots=True)
class ListedLimit:
    """One limit, with its level over what is not known of the water.

    ``leads`` tells that no other limit of its subject, tier and side is stricter in the middle
    water.
    """

    limit: ToldLimit
    level: NumberQuantiles
    leads: bool


@dataclass(frozen=True, slots=True)
class LimitList:
    """Every limit that holds for those in a tank and those planned.

    ``water`` holds what the levels were worked out for: ``ph``, ``temperature_c`` and
    ``chloride_mg_per_l``. ``allowed`` are the chances of passing them that the keeper accepts.
    """

    tank: str
    owner: str
    animals: tuple[str, ...]
    water: Mapping[str, NumberQuantiles]
    limits: tuple[ListedLimit, ...]
    assumptions: tuple[Finding, ...] = ()
    allowed: AllowedRisk = field(default_factory=AllowedRisk)
