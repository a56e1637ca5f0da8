"""Oxygen towards the end of the hottest night, when plants breathe too and water holds least."""

from __future__ import annotations

import math

from watervane.chemistry.gas_transfer import (
    k600_cm_per_h,
    kla_at_temperature,
    kla_of_bubbler_per_h,
    kla_of_surface_per_h,
    oxygen_deficit_mg_per_l,
    schmidt_number_oxygen,
    transfer_velocity_cm_per_h,
)
from watervane.chemistry.gases import oxygen_saturation_mg_per_l, standard_pressure_atm
from watervane.planning.blueprint.filters import MG_O2_PER_MG_N, Load, ammonia_of_food_mg_n_per_d
from watervane.planning.blueprint.shapes import Vessel
from watervane.process.food_need import ARRHENIUS_K, DIGESTED_SHARE, EATEN_SHARE
from watervane.process.geometry import PLANT_UPTAKE_MG_N_PER_M2_D, RIPPLED_CM_PER_H
from watervane.process.metabolism import FOOD_MG_O2_PER_G, resting_oxygen_mg_per_d
from watervane.records import BlueprintWish, OxygenPlan
from watervane.reference import value

BUSY_OVER_RESTING = 2.0  # from memory: routine 1.5 to 2, fed more
BUBBLES_DISSOLVED = 0.02  # of the oxygen in the air of a coarse stone: aeration_practice
MG_O2_PER_PLANT_MG_N = 32.0  # carbon twelve times the nitrogen, one O2 for each carbon
BREATHED_SHARE = 0.5  # of what plants make, breathed again day and night: house estimate


def breathed_mg_per_h(masses_g: tuple[float, ...], temperature_c: float) -> float:
    """Oxygen that animals breathe, twice the resting rate.

    Parameters
    ----------
    masses_g
        Of single animals. [g]
    temperature_c
        [degC]

    Returns
    -------
    float
        [mg/h]
    """
    warm = math.exp(ARRHENIUS_K * (1.0 / 298.15 - 1.0 / (temperature_c + 273.15)))
    resting = sum(resting_oxygen_mg_per_d(mass) for mass in masses_g)
    return BUSY_OVER_RESTING * resting * warm / 24.0


def gas_transfer_rates(
    depth_m: float, volume_l: float, air_l_per_h: float, where: tuple[float, float]
) -> tuple[float, float]:
    """Transfer of oxygen with a still surface, and with a rippled one and bubbles.

    Parameters
    ----------
    depth_m
        Volume over surface. [m]
    volume_l
        [L]
    air_l_per_h
        [L/h]
    where
        Temperature [degC] and pressure [atm].

    Returns
    -------
    tuple of float
        Per hour.
    """
    temperature, pressure = where
    velocity = transfer_velocity_cm_per_h(k600_cm_per_h(), schmidt_number_oxygen(temperature))
    still = float(kla_of_surface_per_h(velocity, depth_m))
    rippled = kla_at_temperature(kla_of_surface_per_h(RIPPLED_CM_PER_H, depth_m), temperature)
    bubbles = kla_of_bubbler_per_h(air_l_per_h, BUBBLES_DISSOLVED, volume_l, temperature, pressure)
    return still, float(max(rippled, still) + bubbles)


def bacteria_mg_per_h(food_g_per_d: float, protein: float) -> float:
    """Oxygen that bacteria take for what food leaves: ammonia and dirt.

    Parameters
    ----------
    food_g_per_d
        [g/d]
    protein
        Share of it. [-]

    Returns
    -------
    float
        [mg/h]
    """
    ammonia = ammonia_of_food_mg_n_per_d(food_g_per_d, protein)
    litter = (1.0 - DIGESTED_SHARE * EATEN_SHARE) * FOOD_MG_O2_PER_G * food_g_per_d
    return (MG_O2_PER_MG_N * ammonia + litter) / 24.0


def plants_take_mg_n_per_d(plants: str, floor_m2: float) -> float:
    """Nitrogen that plants of a tank take up. [mg N/d]

    Parameters
    ----------
    plants
        none, few or many.
    floor_m2
        [m2]
    """
    return PLANT_UPTAKE_MG_N_PER_M2_D[plants] * floor_m2


def plants_breathe_mg_per_h(plants: str, floor_m2: float) -> float:
    """Oxygen that plants breathe at night.

    Parameters
    ----------
    plants
        none, few or many.
    floor_m2
        [m2]

    Returns
    -------
    float
        [mg/h]
    """
    grown = plants_take_mg_n_per_d(plants, floor_m2) * MG_O2_PER_PLANT_MG_N
    return BREATHED_SHARE * grown / 24.0


def wanted_mg_per_l(saturation_mg_per_l: float) -> float:
    """Oxygen wanted in the worst hour. [mg/L]

    Parameters
    ----------
    saturation_mg_per_l
        [mg/L]
    """
    share = value("oxygen_share_of_saturation").value
    return min(value("limit_oxygen_comfort").value, share * saturation_mg_per_l)


def oxygen_plan(
    wish: BlueprintWish, vessel: Vessel, load: Load, net_l: float, hottest_c: float
) -> OxygenPlan:
    """Balance of the night: saturation less what the demand draws it down by.

    Parameters
    ----------
    wish, vessel, load
        What is planned.
    net_l
        [L]
    hottest_c
        Water on the warmest day. [degC]
    """
    pressure = float(standard_pressure_atm(wish.altitude_m))
    saturation = float(oxygen_saturation_mg_per_l(hottest_c, 0.0, pressure))
    animals = sum(
        share * breathed_mg_per_h((mass,), hottest_c)
        for mass, share in zip(load.animals_g, load.of_each, strict=True)
    )
    bacteria = bacteria_mg_per_h(load.food_g_per_d, wish.protein)
    floor_m2 = 1e-4 * vessel.inner.area_cm2
    plants = plants_breathe_mg_per_h(wish.plants, floor_m2)
    demand = (animals + bacteria + plants) / net_l
    depth_m = 1e-3 * net_l / floor_m2
    where = (hottest_c, pressure)
    still, stirred = gas_transfer_rates(depth_m, net_l, wish.air_flow_l_per_h, where)
    wanted = wanted_mg_per_l(saturation)
    return OxygenPlan(
        temperature_c=hottest_c,
        saturation_mg_per_l=saturation,
        animals_mg_per_h=animals,
        filter_mg_per_h=bacteria,
        plants_mg_per_h=plants,
        still_mg_per_l=max(saturation - float(oxygen_deficit_mg_per_l(demand, still)), 0.0),
        stirred_mg_per_l=max(saturation - float(oxygen_deficit_mg_per_l(demand, stirred)), 0.0),
        wanted_mg_per_l=wanted,
        air_needed_l_per_h=_air_needed(demand / (saturation - wanted), depth_m, net_l, where),
    )


def _air_needed(
    needed_per_h: float, depth_m: float, net_l: float, where: tuple[float, float]
) -> float:
    """Air that brings the transfer up to what is needed, the surface rippled anyhow."""
    _, without = gas_transfer_rates(depth_m, net_l, 0.0, where)
    _, with_one = gas_transfer_rates(depth_m, net_l, 1.0, where)
    return max(needed_per_h - without, 0.0) / (with_one - without)
