"""What a parsed text becomes; the records above hand these types on as their own."""

from __future__ import annotations

import math
from dataclasses import dataclass

# Canonical unit of each quantity a keeper can read. Nitrogen species are mg N/L.
QUANTITY_UNITS: dict[str, str] = {
    "ammonia": "mg N/L",
    "nitrite": "mg N/L",
    "nitrate": "mg N/L",
    "ph": "",
    "kh": "dKH",
    "gh": "dGH",
    "oxygen": "mg/L",
    "co2": "mg/L",
    "temperature": "degC",
    "conductivity": "uS/cm",
    "chlorine": "mg/L",
    "chloride": "mg/L",
    "phosphate": "mg P/L",
}


@dataclass(frozen=True, slots=True)
class Span:
    """A closed interval; equal bounds mean an exact value.

    Both bounds share the unit of the field that holds the span.
    """

    low: float
    high: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.low) and math.isfinite(self.high)):
            raise ValueError("span bounds must be finite")
        if self.low > self.high:
            raise ValueError("the lower bound of a span lies above the upper")

    @classmethod
    def exact(cls, value: float) -> Span:
        """The span of one exactly known value."""
        return cls(value, value)

    @property
    def centre(self) -> float:
        """Geometric middle of a positive span, arithmetic otherwise."""
        if self.low > 0:
            return math.sqrt(self.low * self.high)
        return 0.5 * (self.low + self.high)


@dataclass(frozen=True, slots=True)
class ReadingValue:
    """A value as a keeper writes it, in the canonical unit of its quantity.

    ``exact`` and ``about`` carry ``low == high``; ``above`` has no ``high``,
    ``below`` no ``low``; ``range`` has both.
    """

    kind: str  # exact, about, above, below, range
    low: float | None
    high: float | None
    basis: str = "none"  # n, ion, unknown (converted as the ion), none
    raw: str = ""
