"""Oxygen and carbon dioxide through the water surface."""

from __future__ import annotations

import math

from watervane.process.arrays import Array, apart, jnp
from watervane.process.rates.conditions import Conditions, Forcing, Geometry, Parameters
from watervane.reference import value

CO2_OVER_OXYGEN = value("co2_transfer_ratio").value
LOG_THETA = math.log(value("gas_transfer_theta").value)
HOURS_PER_DAY = 24.0


@apart()
def gas_pace(temperature_c: Array) -> Array:
    """Gas transfer against 20 degC, faster in warm, thin water (asce_aeration). [-]"""
    return jnp.exp(LOG_THETA * (temperature_c - 20.0))


@apart()
def gas_rates(
    at: Conditions,
    theta: Parameters,
    geometry: Geometry,
    forcing: Forcing,
    saturation_mg_o2_per_l: Array,
    saturation_mmol_co2_per_l: Array,
    pace: Array,
) -> tuple[dict[str, Array], dict[str, Array]]:
    """Transfer towards saturation and its slopes. [mg O2/L/d, mmol C/L/d]

    The tank's rate at 20 degC times `gas_pace`.
    """
    kla = (
        HOURS_PER_DAY
        * geometry["gas_transfer_per_h"]
        * forcing["gas_transfer_share"]
        * theta["gas_transfer_multiplier"]
        * pace
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
