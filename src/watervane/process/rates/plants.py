"""Growth of plants and algae by light, on ammonia first and on nitrate."""

from __future__ import annotations

from watervane.process.arrays import Array, apart
from watervane.process.rates.conditions import Conditions, Forcing, Geometry, Parameters, monod

HALF_SATURATION_MG_N_PER_L = 0.1
PLANT_GROWTH_PER_D = 0.05
ALGAL_GROWTH_PER_D = 0.4


@apart()
def plant_rates(
    at: Conditions, theta: Parameters, geometry: Geometry, forcing: Forcing
) -> dict[str, Array]:
    """Rates of growth and loss. [mg N/L/d]

    Growth slows towards a ceiling: the tank's plant capacity, the lit surfaces for algae.
    """
    ammonia, nitrate = at.concentration["ammonia"], at.concentration["nitrate"]
    on_ammonia = monod(ammonia, HALF_SATURATION_MG_N_PER_L)
    on_nitrate = monod(nitrate, 5.0 * HALF_SATURATION_MG_N_PER_L) * (1.0 - on_ammonia)
    carbon = monod(at.concentration["inorganic_carbon"], 0.02)
    rates: dict[str, Array] = {}
    for kind, growth, ceiling in (
        (
            "plant",
            PLANT_GROWTH_PER_D,
            geometry["plant_ceiling_mg_n_per_l"] * theta["plant_multiplier"],
        ),
        (
            "algal",
            ALGAL_GROWTH_PER_D,
            geometry["algal_ceiling_mg_n_per_l"] * theta["algal_multiplier"],
        ),
    ):
        present = at.amount[f"{kind}_nitrogen"]
        room = 1.0 - present / (present + 0.5 * ceiling + 1e-12)
        most = growth * forcing["light"] * present * room * carbon
        rates[f"{kind}_growth_on_ammonia"] = most * on_ammonia
        rates[f"{kind}_growth_on_nitrate"] = most * on_nitrate
        rates[f"{kind}_loss"] = 0.2 * growth * present
    return rates
