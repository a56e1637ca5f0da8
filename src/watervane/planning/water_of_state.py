"""The water of a model's state, as the quantities that mixing averages."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from watervane.chemistry.mixing import Water
from watervane.process.source_water import MG_CL_PER_MMOL
from watervane.process.state import COLUMN, TankState
from watervane.units.conversions import MMOL_PER_L_PER_DGH

Numbers = NDArray[np.float64]
IONIC_STRENGTH_MOL_PER_L = 0.005  # of fresh water; pH hardly depends on it
LEAST = 1e-9


def water_of(state: TankState, members: slice | NDArray[np.int64] = slice(None)) -> Water:
    """Each member's water, for a litre of it.

    Parameters
    ----------
    state
        One tank by members.
    members
        Some of them.
    """
    present = np.asarray(state.volume_ratio)[0, members]
    held = {n: np.asarray(state.amounts)[i, 0, members] / present for n, i in COLUMN.items()}
    water = _water(held, np.asarray(state.temperature_c)[0, members])
    return water.with_ph(np.asarray(state.ph)[0, members])


def tap_of(source: Numbers, temperature_c: Numbers) -> Water:
    """Each member's source water at the tank's warmth, its disinfectant taken out.

    Parameters
    ----------
    source
        Components a litre, shape (components, members).
    temperature_c
        [degC]
    """
    held = {n: source[i] for n, i in COLUMN.items()}
    nitrogen = held["ammonia"] + held["chloramine"] * 14.0067 / 70.906
    held = {**held, "ammonia": nitrogen}
    water = _water(held, temperature_c)
    return water._replace(inorganic_carbon_mmol_per_l=held["inorganic_carbon"])


def _water(held: dict[str, Numbers], temperature_c: Numbers) -> Water:
    return Water(
        temperature_c=temperature_c,
        alkalinity_meq_per_l=held["alkalinity"],
        inorganic_carbon_mmol_per_l=np.maximum(held["inorganic_carbon"], LEAST),
        ionic_strength_mol_per_l=np.full_like(temperature_c, IONIC_STRENGTH_MOL_PER_L),
        ammonia_mg_n_per_l=np.maximum(held["ammonia"], 0.0),
        nitrite_mg_n_per_l=np.maximum(held["nitrite"], 0.0),
        nitrate_mg_n_per_l=np.maximum(held["nitrate"], 0.0),
        calcium_mmol_per_l=held["calcium"],
        magnesium_mmol_per_l=held["magnesium"],
        sodium_mmol_per_l=held["sodium"],
        chloride_mg_per_l=MG_CL_PER_MMOL * held["chloride"],
    )


def gh_dgh(water: Water) -> Numbers:
    """General hardness. [dGH]"""
    minerals = np.asarray(water.calcium_mmol_per_l) + np.asarray(water.magnesium_mmol_per_l)
    return np.asarray(minerals / MMOL_PER_L_PER_DGH)
