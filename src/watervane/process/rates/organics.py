"""Breakdown of food, faeces, carrion and organic matter, and loss of nitrate in the bed."""

from __future__ import annotations

from watervane.process.arrays import Array, apart, jnp
from watervane.process.rates.conditions import Conditions, Parameters, monod


@apart()
def organic_pace(temperature_c: Array) -> Array:
    """Breakdown against 20 degC: doubles about every ten degrees. [-]

    Common practice for sewage and lake models.
    """
    return jnp.exp(0.0693 * (temperature_c - 20.0))


@apart()
def organic_rates(at: Conditions, theta: Parameters, warm: Array) -> dict[str, Array]:
    """Rates of the five breakdown processes. [mg/L/d]

    First order times `organic_pace`; oxidation and denitrification with their Monod terms.
    """
    food = theta["food_decay_per_d"] * warm
    matter = at.amount["organic_matter"]
    oxygen = at.concentration["oxygen"]
    return {
        "decay_of_food": food * at.amount["food_nitrogen"],
        "decay_of_faeces": 0.4 * food * at.amount["faeces_nitrogen"],
        "decay_of_carrion": 0.8 * food * at.amount["carrion_nitrogen"],
        "oxidation_of_organic_matter": 0.5 * food * matter * monod(oxygen, 0.4),
        "denitrification": theta["denitrification_per_d"]
        * warm
        * matter
        / 2.856
        * monod(at.concentration["nitrate"], 0.5)
        * (0.2 + 0.4 / (0.4 + oxygen)),
    }
