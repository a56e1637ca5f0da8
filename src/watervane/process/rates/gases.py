"""Oxygen and carbon dioxide through the water surface."""

from __future__ import annotations

from watervane.process.arrays import Array, apart
from watervane.process.rates.conditions import Conditions, Forcing, Geometry, Parameters

CO2_OVER_OXYGEN = 0.94  # sqrt of the Schmidt numbers, wanninkhof1992
HOURS_PER_DAY = 24.0


@apart()
def gas_rates(
    at: Conditions,
    theta: Parameters,
    geometry: Geometry,
    forcing: Forcing,
    saturation_mg_o2_per_l: Array,
    saturation_mmol_co2_per_l: Array,
) -> tuple[dict[str, Array], dict[str, Array]]:
    """Transfer towards saturation and its slopes. [mg O2/L/d, mmol C/L/d]"""
    kla = (
        HOURS_PER_DAY
        * geometry["gas_transfer_per_h"]
        * forcing["gas_transfer_share"]
        * theta["gas_transfer_multiplier"]
    )
    carbon = CO2_OVER_OXYGEN * kla
    rates = {
        "oxygen_transfer": kla * (saturation_mg_o2_per_l - at.concentration["oxygen"]),
        "carbon_dioxide_transfer": carbon * (saturation_mmol_co2_per_l - at.co2_mmol_per_l),
    }
    slopes = {
        "oxygen_transfer": -kla * at.per_volume,
        "carbon_dioxide_transfer": -carbon * at.co2_slope * at.per_volume,
    }
    return rates, slopes
