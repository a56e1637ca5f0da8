"""What animals need to be fed: their metabolism, paid in food."""

from __future__ import annotations

import math

from watervane.process.metabolism import (
    FOOD_MG_O2_PER_G,
    ROUTINE_OVER_RESTING,
    resting_oxygen_mg_per_d,
)
from watervane.records import Span

DIGESTED_SHARE = 0.8  # from memory; the model egests a fifth of each meal
EATEN_SHARE = 0.9  # as the model's own; the rest is left lying
# Routine over resting metabolism is 1.5 to 2 (from memory); kept fish also grow, and are fed less.
SPREAD = 1.5
ARRHENIUS_K = 5020.0  # clarke_johnston1999


def food_need_g_per_d(mass_g: float, temperature_c: float = 25.0) -> Span:
    """Daily food of one animal that holds its weight. [g/d]

    Parameters
    ----------
    mass_g : float [g]
    temperature_c : float [degC]

    Notes
    -----
    Resting uptake of oxygen by clarke_johnston1999 times routine activity, over the oxygen demand
    of food and the share of it that is eaten and digested. It goes with mass to the power 0.80,
    so ten small animals eat more than a large one of their weight.
    """
    warm = math.exp(ARRHENIUS_K * (1.0 / 298.15 - 1.0 / (temperature_c + 273.15)))
    burnt_mg_per_d = ROUTINE_OVER_RESTING * resting_oxygen_mg_per_d(mass_g) * warm
    middle = burnt_mg_per_d / FOOD_MG_O2_PER_G / DIGESTED_SHARE / EATEN_SHARE
    return Span(middle / SPREAD, middle * SPREAD)


def mass_fed_by_g(food_g_per_d: float, temperature_c: float = 25.0) -> float:
    """Mass of the one animal that a daily food just keeps: `food_need_g_per_d` turned round. [g]"""
    of_one_gram = food_need_g_per_d(1.0, temperature_c).centre
    return float((food_g_per_d / of_one_gram) ** (1.0 / 0.80))
