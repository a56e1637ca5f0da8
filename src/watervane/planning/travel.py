"""What happens to the water in a shut bag with animals in it.

Animals take oxygen from water and gas space, give carbon dioxide to both and ammonia to the water.
Gas and water of a carried bag are taken to be in balance: it is shaken all the way. Carbon dioxide
lowers pH, which keeps ammonia harmless for as long as the bag stays shut.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.chemistry.ammonia import free_ammonia_fraction
from watervane.chemistry.carbonate import bracketed_ph, speciate
from watervane.chemistry.carbonate_constants import carbonate_constants, log10_henry_co2
from watervane.chemistry.dissolved_carbon import inorganic_carbon_from_ph
from watervane.chemistry.gases import oxygen_saturation_mg_per_l
from watervane.process.metabolism import ROUTINE_OVER_RESTING, resting_oxygen_mg_per_d
from watervane.process.population import FASTING_MG_N_PER_G_D

Numbers = NDArray[np.float64]
AIR_OXYGEN_SHARE = 0.2095
GAS_CONSTANT_L_ATM_PER_MOL_K = 0.08205737
KELVIN = 273.15
MG_O2_PER_MOL, MG_O2_PER_MMOL = 31998.0, 31.998
MG_N_PER_MMOL = 14.0067
RESPIRATORY_QUOTIENT = 0.9
WARMTH = 0.07  # of log metabolism per degC: a doubling in ten degrees (from memory)
STRESS_LOG_SD, FASTING_LOG_SD = 0.3, 0.5
STRESSED = 1.3  # times routine: netted and shaken (house estimate)
ROUNDS = 60  # until gas, carbon and pH agree
FRESH_IONIC_STRENGTH = 0.005


@dataclass(frozen=True)
class Water:
    """One water, numbers or arrays of draws.

    Parameters
    ----------
    ph, alkalinity_meq_per_l, temperature_c, ammonia_mg_n_per_l
        As named.
    """

    ph: Numbers
    alkalinity_meq_per_l: Numbers
    temperature_c: Numbers
    ammonia_mg_n_per_l: Numbers

    @property
    def carbon_mmol_per_l(self) -> Numbers:
        """Inorganic carbon that goes with pH and alkalinity."""
        carbon = inorganic_carbon_from_ph(
            self.ph,
            self.alkalinity_meq_per_l,
            self.temperature_c,
            FRESH_IONIC_STRENGTH,
            self.ammonia_mg_n_per_l,
        )
        held: Numbers = np.maximum(np.asarray(carbon), 1e-4)
        return held


@dataclass(frozen=True)
class Bag:
    """A shut bag.

    Parameters
    ----------
    water_l, gas_l
        Volumes. [L]
    oxygen_share
        Of the gas when it is shut: `AIR_OXYGEN_SHARE`, or near 1.
    """

    water_l: float
    gas_l: float
    oxygen_share: float = AIR_OXYGEN_SHARE


@dataclass(frozen=True)
class Metabolism:
    """What all animals together take and give, arrays of draws.

    Parameters
    ----------
    oxygen_mg_per_h, ammonia_mg_n_per_h
        At the temperature of the bag.
    """

    oxygen_mg_per_h: Numbers
    ammonia_mg_n_per_h: Numbers


@dataclass(frozen=True)
class Shut:
    """The bag's water after some time, arrays of draws.

    Parameters
    ----------
    oxygen_mg_per_l, co2_mg_per_l, ammonia_mg_n_per_l, free_ammonia_mg_n_per_l, ph
        As named.
    alkalinity_meq_per_l, carbon_mmol_per_l
        What is conserved when it is opened.
    """

    oxygen_mg_per_l: Numbers
    co2_mg_per_l: Numbers
    ammonia_mg_n_per_l: Numbers
    free_ammonia_mg_n_per_l: Numbers
    ph: Numbers
    alkalinity_meq_per_l: Numbers
    carbon_mmol_per_l: Numbers


def metabolism(
    masses_g: Sequence[float], temperature_c: Numbers, rng: np.random.Generator
) -> Metabolism:
    """Uptake and excretion of animals that were netted and are carried about, fasting.

    Parameters
    ----------
    masses_g
        One an animal.
    temperature_c
        Of the bag, shape (draws,).
    rng
        Of the doubt: how stressed they are, how much they excrete.
    """
    count = len(temperature_c)
    warmth = np.exp(WARMTH * (temperature_c - 25.0))
    resting = sum(resting_oxygen_mg_per_d(mass) for mass in masses_g) / 24.0
    fasting = sum(FASTING_MG_N_PER_G_D * mass**0.8 for mass in masses_g) / 24.0
    stress = STRESSED * np.exp(STRESS_LOG_SD * rng.standard_normal(count))
    doubt = np.exp(FASTING_LOG_SD * rng.standard_normal(count))
    return Metabolism(ROUTINE_OVER_RESTING * stress * resting * warmth, doubt * fasting * warmth)


def shut_for(bag: Bag, water: Water, animals: Metabolism, hours: float) -> Shut:
    """Work out the bag's water after so many hours.

    Uptake goes on at one rate until no oxygen is left.
    """
    kelvin = water.temperature_c + KELVIN
    mol_per_l_atm = 1.0 / (GAS_CONSTANT_L_ATM_PER_MOL_K * kelvin)
    in_water = oxygen_saturation_mg_per_l(water.temperature_c) / AIR_OXYGEN_SHARE
    holds = bag.water_l * in_water + bag.gas_l * mol_per_l_atm * MG_O2_PER_MOL  # mg per share
    at_first = (
        bag.water_l * in_water * AIR_OXYGEN_SHARE
        + bag.gas_l * mol_per_l_atm * MG_O2_PER_MOL * bag.oxygen_share
    )
    used = np.minimum(animals.oxygen_mg_per_h * hours, at_first)
    given = RESPIRATORY_QUOTIENT * used / MG_O2_PER_MMOL
    ammonia = water.ammonia_mg_n_per_l + animals.ammonia_mg_n_per_h * hours / bag.water_l
    gained = (ammonia - water.ammonia_mg_n_per_l) / MG_N_PER_MMOL
    alkalinity = water.alkalinity_meq_per_l + gained
    carbon, ph, co2 = _shared_out(bag, water, alkalinity, ammonia, given, mol_per_l_atm)
    free = ammonia * np.asarray(free_ammonia_fraction(ph, water.temperature_c))
    oxygen = in_water * (at_first - used) / holds
    return Shut(np.asarray(oxygen), 44.0095 * co2, ammonia, free, ph, alkalinity, carbon)


def _shared_out(
    bag: Bag,
    water: Water,
    alkalinity: Numbers,
    ammonia: Numbers,
    given_mmol: Numbers,
    mol_per_l_atm: Numbers,
) -> tuple[Numbers, Numbers, Numbers]:
    """Carbon [mmol/L], pH and CO2 [mmol/L] of water in balance with its gas."""
    constants = carbonate_constants(water.temperature_c, FRESH_IONIC_STRENGTH)
    per_gas = mol_per_l_atm / 10.0 ** np.asarray(log10_henry_co2(water.temperature_c))
    total = bag.water_l * water.carbon_mmol_per_l + given_mmol
    carbon, ph = total / bag.water_l, np.asarray(water.ph)
    co2 = carbon
    for _ in range(ROUNDS):
        ph = np.asarray(
            bracketed_ph(constants, alkalinity, carbon, ammonia / MG_N_PER_MMOL, ph_guess=ph)
        )
        parts = speciate(constants, ph, carbon, ammonia / MG_N_PER_MMOL)
        co2 = np.asarray(parts.co2)
        wanted = total / (bag.water_l + bag.gas_l * per_gas * np.asarray(parts.co2_share))
        carbon = 0.5 * (carbon + wanted)
    return carbon, ph, co2
