"""Growth of plants and algae by light and carbon, on ammonia first and on nitrate.

Carbon dioxide comes first, bicarbonate second and only as long as pH is not too high: what
plants take out lifts pH, which is what ends it.
"""

from __future__ import annotations

from watervane.process.arrays import Array, apart, at_least, namespace
from watervane.process.rates.conditions import Conditions, Forcing, Geometry, Parameters, monod
from watervane.reference import value

HALF_SATURATION_MG_N_PER_L = 0.1
PLANT_GROWTH_PER_D = 0.05
ALGAL_GROWTH_PER_D = 0.4
# Water in which growth is as told: 1.3 mg CO2/L and five degrees of KH, as tanks without injection.
USUAL_CO2_MMOL_PER_L, USUAL_BICARBONATE_MMOL_PER_L = 0.03, 1.8
CO2_HALF = {
    "plant": value("plant_half_saturation_co2_mmol_per_l").value,
    "algal": value("algal_half_saturation_co2_mmol_per_l").value,
}
BICARBONATE_HALF = value("plant_half_saturation_bicarbonate_mmol_per_l").value
BICARBONATE_SHARE = {
    "plant": value("plant_bicarbonate_share").value,
    "algal": value("algal_bicarbonate_share").value,
}
HIGHEST_PH = value("carbon_uptake_highest_ph").value
FADING_PER_PH = 5.0


def carbon_share(kind: str, co2: Array, bicarbonate: Array, ph: Array) -> Array:
    """Growth by the carbon there is, one in usual water. [-]

    Parameters
    ----------
    kind
        ``plant`` or ``algal``.
    co2, bicarbonate
        [mmol/L]
    ph
        [-]
    """
    usual = _got(kind, USUAL_CO2_MMOL_PER_L, USUAL_BICARBONATE_MMOL_PER_L)
    # Half a unit under the highest pH half is left; smooth, for pH swings through it every day.
    left = 1.0 / (1.0 + namespace(ph).exp(FADING_PER_PH * (ph - HIGHEST_PH + 0.5)))
    return _got(kind, co2, bicarbonate * left) / usual


def _got(kind: str, co2: Array, bicarbonate: Array) -> Array:
    first = monod(co2, CO2_HALF[kind])
    second = BICARBONATE_SHARE[kind] * monod(bicarbonate, BICARBONATE_HALF)
    return first + (1.0 - first) * second


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
    bicarbonate = at_least(
        at.concentration["inorganic_carbon"] - at.co2_mmol_per_l - at.carbonate_mmol_per_l, 0.0
    )
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
        carbon = carbon_share(kind, at_least(at.co2_mmol_per_l, 0.0), bicarbonate, at.ph)
        most = growth * forcing["light"] * present * room * carbon
        rates[f"{kind}_growth_on_ammonia"] = most * on_ammonia
        rates[f"{kind}_growth_on_nitrate"] = most * on_nitrate
        rates[f"{kind}_loss"] = 0.2 * growth * present
    return rates
