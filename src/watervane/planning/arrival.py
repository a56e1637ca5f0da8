"""What happens when a bag is opened: its carbon dioxide leaves, and pH and free ammonia rise."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.chemistry.ammonia import free_ammonia_fraction
from watervane.chemistry.carbonate import bracketed_ph, speciate
from watervane.chemistry.carbonate_constants import carbonate_constants
from watervane.chemistry.gases import co2_saturation_mg_per_l
from watervane.planning.travel import FRESH_IONIC_STRENGTH, MG_N_PER_MMOL, Metabolism, Shut, Water

Numbers = NDArray[np.float64]
STEP_MIN = 1.0
ROOM_CO2_PPM = 800.0
# Of an open bag or bucket with drops falling in: between a still tank and a vigorous air stone
# (from memory), per hour.
LEAST_KLA_PER_H, MOST_KLA_PER_H = 0.5, 4.0


@dataclass(frozen=True)
class Opened:
    """An opened bag into which tank water drips, arrays of draws.

    Parameters
    ----------
    highest_free_ammonia_mg_n_per_l
        On the way.
    minutes_above
        That free ammonia stays over the level asked about.
    ph
        In the end.
    acute_ratio
        Mean of an hour, as a share of what harms at once in one; 0 where that was not asked. [1]
    """

    highest_free_ammonia_mg_n_per_l: Numbers
    minutes_above: Numbers
    ph: Numbers
    acute_ratio: Numbers


def dripped(
    shut: Shut,
    bag_l: float,
    tank: Water,
    animals: Metabolism,
    minutes: float,
    level_mg_n_per_l: float,
    rng: np.random.Generator,
    acute: Callable[[Numbers, Numbers], Numbers] | None = None,
) -> Opened:
    """Open the bag and let tank water drip in until its volume has doubled.

    Parameters
    ----------
    shut, bag_l
        The bag's water and its volume. [L]
    tank
        What drips in.
    animals
        Still in it.
    minutes
        Of dripping.
    level_mg_n_per_l
        Of free ammonia.
    rng
        Of the doubt how fast gas leaves.
    acute
        Ammonia as a share of what harms at once within an hour, by ammonia [mg N/L] and pH.
    """
    count = len(shut.ph)
    kla_per_min = np.exp(rng.uniform(np.log(LEAST_KLA_PER_H), np.log(MOST_KLA_PER_H), count)) / 60.0
    constants = carbonate_constants(tank.temperature_c, FRESH_IONIC_STRENGTH)
    room = co2_saturation_mg_per_l(tank.temperature_c, ROOM_CO2_PPM) / 44.0095
    carbon, alkalinity = shut.carbon_mmol_per_l, shut.alkalinity_meq_per_l
    ammonia, volume, ph = shut.ammonia_mg_n_per_l, bag_l, shut.ph
    highest, above, borne = np.zeros(count), np.zeros(count), np.zeros(count)
    inflow = bag_l / minutes * STEP_MIN
    for _ in range(max(round(minutes / STEP_MIN), 1)):
        parts = speciate(constants, ph, carbon, ammonia / MG_N_PER_MMOL)
        gone = (1.0 - np.exp(-kla_per_min * STEP_MIN)) * (np.asarray(parts.co2) - room)
        share = inflow / (volume + inflow)
        carbon = carbon - gone
        excreted = animals.ammonia_mg_n_per_h * STEP_MIN / 60.0 / volume
        ammonia, alkalinity = ammonia + excreted, alkalinity + excreted / MG_N_PER_MMOL
        carbon = carbon + share * (tank.carbon_mmol_per_l - carbon)
        ammonia = ammonia + share * (tank.ammonia_mg_n_per_l - ammonia)
        alkalinity = alkalinity + share * (tank.alkalinity_meq_per_l - alkalinity)
        volume += inflow
        ph = np.asarray(
            bracketed_ph(constants, alkalinity, carbon, ammonia / MG_N_PER_MMOL, ph_guess=ph)
        )
        free = ammonia * np.asarray(free_ammonia_fraction(ph, tank.temperature_c))
        highest = np.maximum(highest, free)
        above = above + STEP_MIN * (free > level_mg_n_per_l)
        if acute is not None:
            borne = borne + acute(ammonia, ph) * STEP_MIN / 60.0
    return Opened(highest, above, ph, borne)
