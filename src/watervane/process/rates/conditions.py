"""What the rates of one moment are computed from."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from watervane.process.arrays import Array

Parameters = Mapping[str, Array]  # (tanks, members) each; see process.parameters
Geometry = Mapping[str, Array]  # (tanks, 1) each; see process.geometry
Forcing = Mapping[str, Array]  # (tanks, 1) each; see process.day_program


class Conditions(NamedTuple):
    """The water and its surroundings.

    Parameters
    ----------
    concentration
        Of each component in the water, per litre of water, never below zero.
    amount
        Of every component, per litre of the full tank, never below zero.
    per_volume
        The full tank over the water present. [-]
    temperature_c
        [degC]
    ph, free_ammonia_mg_n_per_l, nitrous_acid_mg_n_per_l, co2_mmol_per_l, carbonate_mmol_per_l
        From the charge balance.
    co2_slope
        Change of CO2 with inorganic carbon at fixed alkalinity. [-]
    ammonia_wakefulness, nitrite_wakefulness
        Share of each guild that is awake. [-]
    """

    concentration: Mapping[str, Array]
    amount: Mapping[str, Array]
    per_volume: Array
    temperature_c: Array
    ph: Array
    free_ammonia_mg_n_per_l: Array
    nitrous_acid_mg_n_per_l: Array
    co2_mmol_per_l: Array
    carbonate_mmol_per_l: Array
    co2_slope: Array
    ammonia_wakefulness: Array
    nitrite_wakefulness: Array


def monod(concentration: Array, half_saturation: Array) -> Array:
    """Saturation of a rate. [-]"""
    return concentration / (half_saturation + concentration)
