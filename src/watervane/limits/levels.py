"""How a row's figure becomes a level in a water: most stand as they are, three depend on it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

import numpy as np

from watervane.limits.ammonia import acute_ph_factor_epa2013
from watervane.limits.limit import Constant
from watervane.limits.nitrite import (
    PROTECTED,
    highest_nitrite_bc,
    mean_nitrite_bc,
    nitrite_blocked_by_chloride,
    nitrite_level,
)
from watervane.limits.water import Array, Water
from watervane.reference import Row, value

Level = Callable[[Water], Array]


def level_of(row: Row) -> Level:
    """The level of a row of the table of limits, as a function of the water."""
    return _BY_QUANTITY.get(row.quantity, _as_it_stands)(row)


def _as_it_stands(row: Row) -> Level:
    return Constant(row.value)


def _total_ammonia(row: Row) -> Level:
    """The row holds the level at pH 7."""
    at_neutral = row.value / float(acute_ph_factor_epa2013(7.0))
    return lambda water: at_neutral * acute_ph_factor_epa2013(water.condition("ph"))


def _nitrite(row: Row) -> Level:
    group = row.extra["group"]
    if group not in PROTECTED:
        return _as_it_stands(row)
    tested = value(f"nitrite_tested_chloride_{group}").value
    credited = value("nitrite_chloride_credited").value
    steps = highest_nitrite_bc if row.extra["tier"] == "acute" else mean_nitrite_bc

    def level(water: Water) -> Array:
        chloride = water.condition("chloride_mg_per_l")
        blocked = nitrite_blocked_by_chloride(chloride, credited_mg_per_l=credited)
        if row.extra["tier"] != "acute":
            blocked = np.zeros_like(blocked)  # shown over days, not over a month
        return nitrite_level(row.value, tested, chloride, steps(chloride), blocked)

    return level


def _oxygen(row: Row) -> Level:
    """Never more than a share of what the water can hold."""
    share = value("oxygen_share_of_saturation").value
    return lambda water: np.minimum(row.value, share * water.oxygen_saturation_mg_per_l)


_BY_QUANTITY: Mapping[str, Callable[[Row], Level]] = MappingProxyType(
    {
        "ammonia_mg_n_per_l": _total_ammonia,
        "nitrite_mg_n_per_l": _nitrite,
        "oxygen_mg_per_l": _oxygen,
    }
)
