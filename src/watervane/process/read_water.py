"""A tank's water from its latest readings alone, with the doubt of what nobody read."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from watervane.limits import Water
from watervane.process.assumed import ASSUMED
from watervane.records import Reading, Tank

Numbers = NDArray[np.float64]
DRAWS = 400

# Where a water is not told: middle and spread, as for source water (house estimates).
UNTOLD_PH, UNTOLD_PH_SD, TOLD_PH_SD = 7.5, 0.35, 0.1
UNTOLD_C, UNTOLD_C_SD, TOLD_C_SD = 24.0, 1.5, 0.3


def newest_reading(tank: Tank, quantity: str) -> Reading | None:
    """The latest reading of the tank's own water."""
    found = [r for r in tank.readings if r.quantity == quantity and not r.of_source_water]
    return max(found, key=lambda reading: reading.at, default=None)


def latest_reading(tank: Tank, quantity: str) -> float | None:
    """Middle of the latest reading of the tank's own water."""
    newest = newest_reading(tank, quantity)
    if newest is None:
        return None
    value = newest.value
    ends = [end for end in (value.low, value.high) if end is not None and math.isfinite(end)]
    return sum(ends) / len(ends) if ends else None


def known_water(tank: Tank, seed: int) -> Water:
    """pH, warmth and chloride of a tank as last read or told, as draws of what is not known.

    Parameters
    ----------
    tank
        With its readings.
    seed
        Of the draws.
    """
    rng = np.random.default_rng([seed, 91])
    source = tank.source_water

    def about(
        told: tuple[float | None, ...], untold: float, untold_sd: float, told_sd: float
    ) -> Numbers:
        value = next((one for one in told if one is not None), None)
        middle, spread = (untold, untold_sd) if value is None else (value, told_sd)
        return np.asarray(middle + spread * rng.standard_normal(DRAWS))

    chloride = latest_reading(tank, "chloride")
    chloride = source.chloride_mg_per_l if chloride is None else chloride
    chloride = ASSUMED["chloride_mg_per_l"] if chloride is None else chloride  # as forecasts do
    return Water(
        ph=about((latest_reading(tank, "ph"), source.ph), UNTOLD_PH, UNTOLD_PH_SD, TOLD_PH_SD),
        temperature_c=about(
            (latest_reading(tank, "temperature"), tank.heater_set_point_c),
            UNTOLD_C,
            UNTOLD_C_SD,
            TOLD_C_SD,
        ),
        chloride_mg_per_l=np.full(DRAWS, chloride),
    )
