"""Chlorine and chloramine fading by themselves, and limestone dissolving."""

from __future__ import annotations

from watervane.process.arrays import Array, apart, between
from watervane.process.rates.conditions import Conditions, Geometry

CHLORINE_DECAY_PER_D = 3.0  # house estimate: hours to a day in an aired tank
CHLORAMINE_DECAY_PER_D = 0.3  # house estimate: days


@apart()
def mineral_rates(
    at: Conditions, geometry: Geometry, calcite_saturation_ratio: Array
) -> dict[str, Array]:
    """Rates of fading and dissolution. [mg Cl2/L/d, mmol/L/d]"""
    return {
        "decay_of_chlorine": CHLORINE_DECAY_PER_D * at.amount["chlorine"],
        "decay_of_chloramine": CHLORAMINE_DECAY_PER_D * at.amount["chloramine"],
        "dissolution_of_carbonate": geometry["carbonate_dissolution_mmol_per_l_d"]
        * between(1.0 - calcite_saturation_ratio, 0.0, 1.0),
    }
