"""Oxygen, carbon dioxide and ammonia through the water surface."""

from __future__ import annotations

import math

from watervane.chemistry.gases import ammonia_solubility_mol_per_m3_pa
from watervane.process.arrays import Array, apart, at_least, jnp
from watervane.process.rates.conditions import Conditions, Forcing, Geometry, Parameters
from watervane.reference import value

CO2_OVER_OXYGEN = value("co2_transfer_ratio").value
LOG_THETA = math.log(value("gas_transfer_theta").value)
HOURS_PER_DAY = 24.0
INJECTION_PER_D = 24.0  # of what is missing
MOL_WATER_PER_L = 55.51
AMMONIA_OVER_OXYGEN = 0.93  # in water: root of the diffusivities, 1.8 over 2.1 (from memory)


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
    held = forcing["co2_held_mmol_per_l"]
    # A regulated injection: what is lost to the room is made up for, the rest comes in an hour.
    lost = carbon * (held - saturation_mmol_co2_per_l)
    injected = lost + INJECTION_PER_D * (held - at.co2_mmol_per_l)
    injecting = (held > 0.0) & (injected > 0.0)
    rates = {
        "oxygen_transfer": kla * (saturation_mg_o2_per_l - at.concentration["oxygen"]),
        "carbon_dioxide_transfer": carbon * (saturation_mmol_co2_per_l - at.co2_mmol_per_l),
        "carbon_dioxide_injection": jnp.where(injecting, injected, 0.0),
    }
    slopes = {
        "oxygen_transfer": -kla * at.per_volume,
        "carbon_dioxide_transfer": -carbon * at.co2_slope * at.per_volume,
        "carbon_dioxide_injection": jnp.where(
            injecting, -INJECTION_PER_D * at.co2_slope * at.per_volume, 0.0
        ),
    }
    return rates, slopes


@apart()
def ammonia_escape_per_d(
    temperature_c: Array,
    theta: Parameters,
    geometry: Geometry,
    forcing: Forcing,
    pace: Array,
    per_volume: Array,
) -> Array:
    """Share of free ammonia lost to the room. [1/d]

    Two films in a row: the water's, as for oxygen, and the air's, as for the water vapour that
    evaporates from the same surface, whose diffusivity in air is within a tenth of ammonia's.
    The room holds none. Ammonia is so soluble that the air's film decides.
    """
    water_per_d = (
        AMMONIA_OVER_OXYGEN
        * HOURS_PER_DAY
        * geometry["gas_transfer_per_h"]
        * forcing["gas_transfer_share"]
        * theta["gas_transfer_multiplier"]
        * pace
    )
    solubility = ammonia_solubility_mol_per_m3_pa(temperature_c)
    air_l_per_d = MOL_WATER_PER_L * geometry["evaporation_l_per_d_per_kpa"] * per_volume
    above = water_per_d * air_l_per_d
    below = water_per_d * solubility * geometry["volume_l"] + air_l_per_d
    return above / at_least(below, 1e-12)
