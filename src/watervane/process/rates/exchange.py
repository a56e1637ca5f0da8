"""Ammonium held by a zeolite: taken for sodium, and given back where other ions crowd it out.

Of the exchanger's capacity ammonium holds the share it has among the ions it competes with, each
counted by its charge over how much rather ammonium is taken (an equilibrium of one kind of site
with constant selectivity). So in soft water a gram holds more than in hard, in salt water next to
nothing, a spent one no more, and salt poured in drives ammonium out again.
"""

from __future__ import annotations

from watervane.process.arrays import Array, apart, at_least
from watervane.process.rates.conditions import Conditions
from watervane.reference import value

EXCHANGE = "exchange_with_zeolite"
MG_N_PER_MMOL = 14.0067
CAPACITY_MG_N_PER_G = value("zeolite_capacity_mg_n_per_g").value
OVER_SODIUM = value("zeolite_ammonium_over_sodium").value
OVER_HARDNESS = value("zeolite_ammonium_over_hardness").value
PACE_PER_D = value("zeolite_exchange_per_d").value


@apart()
def zeolite_exchange(at: Conditions) -> tuple[Array, Array]:
    """Rate of taking up ammonium and its slope with the ammonia there is. [mg N/L/d, 1/d]"""
    ammonium = at_least(at.concentration["ammonia"] - at.free_ammonia_mg_n_per_l, 0.0)
    hardness = at.concentration["calcium"] + at.concentration["magnesium"]
    rivals = MG_N_PER_MMOL * (
        at.concentration["sodium"] / OVER_SODIUM + 2.0 * hardness / OVER_HARDNESS
    )
    crowd = ammonium + rivals + 1e-9
    most = PACE_PER_D * CAPACITY_MG_N_PER_G * at.amount["zeolite"]
    rate = most * ammonium / crowd - PACE_PER_D * at.amount["zeolite_nitrogen"]
    return rate, most * rivals / (crowd * crowd) * at.per_volume
