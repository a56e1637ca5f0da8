"""What a keeper read off a kit or a probe."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

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


@dataclass(frozen=True, slots=True)
class Reading:
    """One test result."""

    at: datetime  # aware, in the keeper's zone
    quantity: str
    value: ReadingValue
    hour_known: bool = True
    kit: str | None = None
    of_source_water: bool = False
    note: str = ""
    line: int | None = None
