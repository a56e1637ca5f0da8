"""What a keeper read off a kit or a probe."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from watervane.units import QUANTITY_UNITS, ReadingValue

WHOLE_WATER = "water"  # quantity of a reading that is somebody's word, without a number
SAID = ("fine", "not fine")  # kinds of its value, which has no bounds


@dataclass(frozen=True, slots=True)
class Reading:
    """One test result, or somebody's word on the water as a whole."""

    at: datetime  # aware, in the keeper's zone
    quantity: str
    value: ReadingValue
    hour_known: bool = True
    kit: str | None = None
    of_source_water: bool = False
    diluted: float = 1.0  # parts of sample for one part of water; ``value`` is as shown
    note: str = ""
    line: int | None = None


__all__ = ["QUANTITY_UNITS", "SAID", "WHOLE_WATER", "Reading", "ReadingValue"]
