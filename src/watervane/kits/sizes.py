"""How large the errors of kits are, read from the sourced table of observation.

A kit's error has three parts: a steady bias of this kit, a spread that is new at each
reading (relative, never under a floor), and now and then a reading that has nothing to do
with the water. Where ``low`` and ``high`` of a row are not used by a formula they tell how
far the value itself is in doubt.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, logit

from watervane.records import Kit, KitScale
from watervane.reference import Row, value
from watervane.units import conversions

Array = NDArray[np.float64]

UNTOLD = "untold"
KINDS = ("drop", "strip", "photometer", "probe")
ADDITIVE = ("ph", "temperature")  # their errors do not grow with the value
RATIO_ION_TO_N = {
    "ammonia": conversions.NH4_PER_N,
    "nitrite": conversions.NO2_PER_N,
    "nitrate": conversions.NO3_PER_N,
}


@dataclass(frozen=True, slots=True)
class Scale:
    """What is usual for a quantity, in its canonical unit.

    Parameters
    ----------
    floor
        Error where the value itself tends to zero.
    half_step
        Half the distance to the next step near zero, where a kit's steps are not told.
    relative_step
        Half the distance to the next step, relative to the value.
    stray_median
        Middle of the readings that have nothing to do with the water.
    stray_scale
        Their spread, for a quantity whose errors do not grow with the value.
    """

    floor: float
    half_step: float
    relative_step: float
    stray_median: float
    stray_scale: float

    def half(self, level: float) -> float:
        """Half the distance to the next step of a usual kit."""
        return max(self.half_step, self.relative_step * level)


@dataclass(frozen=True, slots=True)
class KitSizes:
    """Errors of a kind of kit.

    Parameters
    ----------
    relative_error
        Of one reading, a standard deviation.
    floor_factor
        Of the quantity's floor.
    bias_log_sd
        Of one kit.
    outlier_chance
        Of readings that have nothing to do with the water.
    """

    relative_error: float
    floor_factor: float
    bias_log_sd: float
    outlier_chance: float


def number(row_id: str) -> float:
    """The value of a row of the sourced tables."""
    return value(row_id).value


def log_sd(row: Row) -> float:
    """Log spread of a row whose ``low`` and ``high`` are its 95 % range."""
    return math.log(row.geometric_sd)


def _scale(quantity: str) -> Scale:
    additive = quantity in ADDITIVE
    return Scale(
        floor=number(f"{quantity}_floor"),
        half_step=number(f"{quantity}_half_step"),
        relative_step=0.0 if additive else number(f"{quantity}_relative_half_step"),
        stray_median=number(f"{quantity}_stray_median"),
        stray_scale=number(f"{quantity}_stray_scale") if additive else 0.0,
    )


def _kit_sizes(kind: str) -> KitSizes:
    return KitSizes(
        relative_error=number(f"{kind}_relative_error"),
        floor_factor=number(f"{kind}_floor_factor"),
        bias_log_sd=number(f"{kind}_bias_log_sd"),
        outlier_chance=number(f"{kind}_outlier_chance"),
    )


SCALES: Mapping[str, Scale] = MappingProxyType(
    {
        quantity: _scale(quantity)
        for quantity in (
            *("ammonia", "nitrite", "nitrate", "ph", "kh", "gh"),
            *("oxygen", "co2", "temperature", "chlorine", "chloride"),
        )
    }
)
SIZES: Mapping[str, KitSizes] = MappingProxyType({kind: _kit_sizes(kind) for kind in KINDS})
# Drops of these are counted until a colour turns; of all else a colour is compared.
COUNTED, _COUNTED_SIZES = ("kh", "gh"), _kit_sizes("counted")


@dataclass(frozen=True, slots=True)
class Errors:
    """Errors of one kit at one quantity.

    Parameters
    ----------
    quantity
        What is tested.
    relative, floor
        Of one reading, a standard deviation: over the value, and never under this.
    bias_log_sd, bias_floor
        Steady error of the kit, natural log; for pH and temperature in their own unit.
    outlier_chance
        Of readings that have nothing to do with the water.
    """

    quantity: str
    relative: float
    floor: float
    bias_log_sd: float
    bias_floor: float
    outlier_chance: float

    def biased(self, level: Array, bias: Array) -> Array:
        """What a kit with a steady error makes of levels, given its standard normal number."""
        if self.quantity in ADDITIVE:
            return level + self.bias_floor * bias
        return level * np.exp(self.bias_log_sd * bias)

    def spread(self, shown: Array, further: Array | float = 0.0) -> Array:
        """Standard deviation of one reading about what the kit shows on average.

        ``further`` is the relative error of what was done to the sample.
        """
        if self.quantity in ADDITIVE:
            return np.full_like(shown, self.floor)
        relative = np.hypot(self.relative, further)
        return np.asarray(np.hypot(self.floor, relative * shown))


def errors_of(
    kind: str, quantity: str, *, relative: float | None = None, floor: float | None = None
) -> Errors:
    """Errors of a kit, what its keeper tells of them first.

    Parameters
    ----------
    kind, quantity
        Of kit, `UNTOLD` where nobody knows, and what is tested.
    relative, floor
        As told.
    """
    counted = kind == "drop" and quantity in COUNTED
    sizes = _COUNTED_SIZES if counted else SIZES["drop" if kind == UNTOLD else kind]
    usual = SCALES[quantity].floor
    return Errors(
        quantity,
        sizes.relative_error if relative is None else relative,
        sizes.floor_factor * usual if floor is None else floor,
        sizes.bias_log_sd,
        usual if floor is None else floor,
        sizes.outlier_chance,
    )


def errors_of_kit(kit: Kit | None, quantity: str) -> Errors:
    """Errors of a keeper's kit at a quantity; of a usual kit of colours where none is told.

    Nobody knows then whether drops were counted or a strip was held against a card.
    """
    scale = (None if kit is None else kit.scale(quantity)) or KitScale(quantity)
    kind = UNTOLD if kit is None else kit.kind
    return errors_of(kind, quantity, relative=scale.relative_error, floor=scale.error_floor)


def stray_below(quantity: str, level: Array) -> Array:
    """Chance that a reading which has nothing to do with the water lies under a level.

    Log-logistic about the quantity's middle, so that no reading is impossible; logistic for
    pH and temperature.
    """
    scale = SCALES[quantity]
    if quantity in ADDITIVE:
        return np.asarray(expit((level - scale.stray_median) / scale.stray_scale))
    above = np.maximum(level, 0.0)
    return np.asarray(1.0 - scale.stray_median / (above + scale.stray_median))


def stray_density(quantity: str, level: Array) -> Array:
    """Slope of `stray_below`, per unit of the quantity."""
    scale = SCALES[quantity]
    if quantity in ADDITIVE:
        apart = (level - scale.stray_median) / scale.stray_scale
        return np.asarray(expit(apart) * expit(-apart) / scale.stray_scale)
    return scale.stray_median / (np.maximum(level, 0.0) + scale.stray_median) ** 2


def stray_level(quantity: str, chance: Array) -> Array:
    """The level under which a stray reading lies with a chance; undoes `stray_below`."""
    scale = SCALES[quantity]
    if quantity in ADDITIVE:
        return np.asarray(scale.stray_median + scale.stray_scale * logit(chance))
    return scale.stray_median * chance / (1.0 - chance)
