"""What a keeper read off a kit or a probe."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from watervane.units import QUANTITY_UNITS, ReadingValue


@dataclass(frozen=True, slots=True)
class Reading:
    """One test result."""

    at: datetime  # aware, in the keeper's zone
    quantity: str
    value: ReadingValue
    hour_known: bool = True
    kit: str | None = None
    of_source_water: bool = False
    diluted: float = 1.0  # parts of sample for one part of water; ``value`` is as shown
    note: str = ""
    line: int | None = None


__all__ = ["QUANTITY_UNITS", "Reading", "ReadingValue"]
