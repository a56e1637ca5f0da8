"""Digestion, excretion and breathing of animals, fed or fasting."""

from __future__ import annotations

from watervane.process.arrays import Array, apart, jnp
from watervane.process.rates.conditions import Conditions, Forcing, Parameters, monod


@apart()
def metabolic_pace(temperature_c: Array) -> Array:
    """Metabolism against 25 degC: the Arrhenius slope of clarke_johnston1999. [-]"""
    return jnp.exp(5020.0 * (1.0 / 298.15 - 1.0 / (temperature_c + 273.15)))


@apart()
def animal_rates(
    at: Conditions, theta: Parameters, forcing: Forcing, warm: Array
) -> dict[str, Array]:
    """Rates of meals and metabolism. [mg/L/d]

    Respiration at 25 degC per animal nitrogen comes with the day program (clarke_johnston1999
    over the animals present), times `metabolic_pace`.
    """
    digestion = theta["digestion_per_d"] * warm
    gut = at.amount["gut_nitrogen"] * digestion
    excreted, egested = theta["meal_share_excreted"], 0.2
    body, matter = at.amount["animal_nitrogen"], at.amount["animal_matter"]
    breath = monod(at.concentration["oxygen"], 0.7)
    reserve = matter / (matter + 3.5 * body + 1e-12)
    fasting = at.amount["gut_nitrogen"] / (at.amount["gut_nitrogen"] + 0.002 * body + 1e-12)
    return {
        "excretion_of_meals": excreted * gut,
        "egestion_of_meals": egested * gut,
        "retention_of_meals": (1.0 - egested - excreted) * gut,
        "digestion_of_meal_matter": digestion * at.amount["gut_matter"],
        "respiration_of_animals": forcing["respiration_mg_o2_per_mg_n_d"]
        * warm
        * body
        * breath
        * reserve,
        "excretion_of_fasting_animals": forcing["fasting_excretion_per_d"]
        * warm
        * body
        * (1.0 - 0.5 * fasting),
    }
