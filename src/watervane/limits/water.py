"""The water a limit is held against: arrays of any one shape, members last."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from watervane.chemistry.ammonia import free_ammonia_fraction
from watervane.chemistry.gases import oxygen_saturation_mg_per_l

Array = NDArray[np.float64]
# What has to be told for a limit's level to be known.
CONDITIONS = ("ph", "temperature_c", "chloride_mg_per_l")


@dataclass(frozen=True)
class Water:
    """Waters of members, or one water as plain numbers; all of them broadcast.

    Parameters
    ----------
    ph
        Meter scale. [-]
    temperature_c
        [degC]
    chloride_mg_per_l
        Zero where nobody knows, which credits no protection. [mg Cl/L]
    ammonia_mg_n_per_l, nitrite_mg_n_per_l, nitrate_mg_n_per_l
        Total ammonia, nitrite and nitrate; ``None`` leaves their limits out, here and below.
        [mg N/L]
    co2_mg_per_l, oxygen_mg_per_l
        [mg/L]
    chlorine_mg_per_l
        Free and combined together. [mg Cl2/L]
    alkalinity_meq_per_l
        [meq/L]
    gh_dgh
        [dGH]
    temperature_change_k, ph_change
        Largest within an hour, see `largest_change`. [K]
    salinity_g_per_kg
        [g/kg]
    pressure_atm
        [atm]
    """

    ph: ArrayLike
    temperature_c: ArrayLike
    chloride_mg_per_l: ArrayLike = 0.0
    ammonia_mg_n_per_l: ArrayLike | None = None
    nitrite_mg_n_per_l: ArrayLike | None = None
    nitrate_mg_n_per_l: ArrayLike | None = None
    co2_mg_per_l: ArrayLike | None = None
    oxygen_mg_per_l: ArrayLike | None = None
    chlorine_mg_per_l: ArrayLike | None = None
    alkalinity_meq_per_l: ArrayLike | None = None
    gh_dgh: ArrayLike | None = None
    temperature_change_k: ArrayLike | None = None
    ph_change: ArrayLike | None = None
    salinity_g_per_kg: ArrayLike = 0.0
    pressure_atm: ArrayLike = 1.0

    def value(self, quantity: str) -> Array | None:
        """What the water holds of a quantity, in the unit its name carries, or ``None``."""
        if quantity == "free_ammonia_mg_n_per_l":
            return self._free_ammonia
        told = getattr(self, quantity)
        return None if told is None else np.asarray(told, dtype=np.float64)

    def condition(self, quantity: str) -> Array:
        """One of the conditions, as an array."""
        return np.asarray(getattr(self, quantity), dtype=np.float64)

    @cached_property
    def _free_ammonia(self) -> Array | None:
        total = self.value("ammonia_mg_n_per_l")
        return None if total is None else total * self.free_ammonia_fraction

    @cached_property
    def free_ammonia_fraction(self) -> Array:
        """Un-ionised share of total ammonia. [-]"""
        return np.asarray(
            free_ammonia_fraction(
                self.condition("ph"),
                self.condition("temperature_c"),
                self.condition("salinity_g_per_kg"),
            )
        )

    @cached_property
    def oxygen_saturation_mg_per_l(self) -> Array:
        """What the water can hold of oxygen under its air. [mg O2/L]"""
        return np.asarray(
            oxygen_saturation_mg_per_l(
                self.condition("temperature_c"),
                self.condition("salinity_g_per_kg"),
                self.condition("pressure_atm"),
            )
        )
