"""The risk a keeper accepts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class AllowedRisk:
    """The chance of passing a limit that a keeper accepts, by tier; never put together.

    That of acute harm is of any seven days, the others are of any four weeks.
    """

    acute: float = 0.01
    chronic: float = 0.05
    comfort: float = 0.20

    def of(self, tier: str) -> float:
        """The chance accepted for a tier."""
        return float(getattr(self, tier))

    def with_told(self, told: Mapping[str, float]) -> AllowedRisk:
        """The same, with other chances for the tiers that are told of."""
        return replace(self, **dict(told))
