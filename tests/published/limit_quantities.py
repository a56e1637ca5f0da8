"""What each published limit is compared with: a name in the tables, a call in the code."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from watervane.chemistry.nitrite_chloride import (
    chloride_to_nitrite_ratio,
    sodium_chloride_wanted_mg_per_l,
)
from watervane.limits import (
    Water,
    acute_criterion_epa2013,
    acute_criterion_trout_epa2013,
    chronic_criterion_epa2013,
    limits_for,
)
from watervane.limits.ammonia import (
    acute_ph_factor_epa2013,
    chronic_criterion_without_mussels_epa2013,
)
from watervane.limits.nitrite import (
    highest_nitrite_bc,
    mean_nitrite_bc,
    nitrite_blocked_by_chloride,
)
from watervane.units import conversions as mass

ION = {
    "nh3": mass.NH3_PER_N,
    "no2": mass.NO2_PER_N,
    "no3": mass.NO3_PER_N,
    "n": 1.0,
    "plain": 1.0,
}
EVERYONE = (
    *("Danio rerio", "Poecilia reticulata", "Paracheirodon axelrodi", "Caridina", "Pomacea"),
    *("Ambystoma mexicanum", "Carassius auratus", "Neritina", "unheard of"),
)


def shipped(limit: str, basis: str = "n", chloride_mg_per_l: float = 19.0) -> float:
    """Level of a shipped limit in neutral water of 25 degC, counted in a basis."""
    found = {each.key: each for each in limits_for(EVERYONE)}[limit]
    water = Water(ph=7.0, temperature_c=25.0, chloride_mg_per_l=chloride_mg_per_l)
    return float(found.level(water)) * ION[basis]


def four_day(ph: float, temperature_c: float) -> float:
    """The chronic criterion's mean of four days."""
    found = {each.key: each for each in limits_for(EVERYONE)}["total_ammonia_chronic_four_days"]
    return float(found.level(Water(ph=ph, temperature_c=temperature_c)))


def chronic_as_free(ph: float, temperature_c: float) -> float:
    """Free ammonia at the chronic criterion for the total."""
    fraction = Water(ph=ph, temperature_c=temperature_c).free_ammonia_fraction
    return float(chronic_criterion_epa2013(ph, temperature_c) * fraction)


def free_at_which_total_is(free_mg_nh3_per_l: float, ph: float, temperature_c: float) -> float:
    """Total ammonia that holds so much free ammonia."""
    fraction = Water(ph=ph, temperature_c=temperature_c).free_ammonia_fraction
    return free_mg_nh3_per_l / mass.NH3_PER_N / float(fraction)


QUANTITIES: Mapping[str, Callable[..., object]] = {
    "chronic_no_mussels": chronic_criterion_without_mussels_epa2013,
    "acute_absent": acute_criterion_epa2013,
    "acute_present": acute_criterion_trout_epa2013,
    "acute_ph_factor": acute_ph_factor_epa2013,
    "blocked": nitrite_blocked_by_chloride,
    "chronic": chronic_criterion_epa2013,
    "chronic_as_free": chronic_as_free,
    "four_day": four_day,
    "highest_nitrite": lambda chloride_mg_per_l: highest_nitrite_bc(np.asarray(chloride_mg_per_l)),
    "mean_nitrite": lambda chloride_mg_per_l: mean_nitrite_bc(np.asarray(chloride_mg_per_l)),
    "ratio": chloride_to_nitrite_ratio,
    "salt": sodium_chloride_wanted_mg_per_l,
    "shipped": shipped,
    "total_at_free": free_at_which_total_is,
}
