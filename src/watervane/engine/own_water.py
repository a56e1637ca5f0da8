"""A tank's water from its latest readings alone, with the doubt of what nobody read."""

from __future__ import annotations

import math

from watervane.records import Tank

# Where a water is not told: middle and spread, as for source water (house estimates).
UNTOLD_PH, UNTOLD_PH_SD, TOLD_PH_SD = 7.5, 0.35, 0.1
UNTOLD_C, UNTOLD_C_SD, TOLD_C_SD = 24.0, 1.5, 0.3


def latest_reading(tank: Tank, quantity: str) -> float | None:
    """Middle of the latest reading of the tank's own water."""
    found = [
        reading
        for reading in tank.readings
        if reading.quantity == quantity and not reading.of_source_water
    ]
    if not found:
        return None
    value = max(found, key=lambda reading: reading.at).value
    ends = [end for end in (value.low, value.high) if end is not None and math.isfinite(end)]
    return sum(ends) / len(ends) if ends else None
