"""Oxygen and density beside GSW, the oceanographers' own library (used in tests only)."""

from __future__ import annotations

import gsw
import numpy as np

from watervane.chemistry.density import water_density_kg_per_l
from watervane.chemistry.gases import oxygen_saturation_mg_per_l

TEMPERATURES = np.arange(0.0, 35.5, 0.5)


def _gsw_density(salinity: float) -> np.ndarray:
    absolute = gsw.SA_from_SP(salinity, 0.0, 0.0, 0.0)
    return gsw.rho(absolute, gsw.CT_from_t(absolute, TEMPERATURES, 0.0), 0.0)


def test_oxygen_within_two_micrograms() -> None:
    for salinity in (0.0, 35.0):
        per_kg = gsw.O2sol_SP_pt(salinity, TEMPERATURES)
        theirs = per_kg * 31.9988e-6 * _gsw_density(salinity)
        ours = oxygen_saturation_mg_per_l(TEMPERATURES, salinity)
        assert np.abs(ours - theirs).max() <= 0.002, salinity


def test_density_of_fresh_and_sea_water() -> None:
    for salinity in (0.0, 5.0, 20.0, 35.0):
        ours = 1e3 * water_density_kg_per_l(TEMPERATURES, salinity)
        assert np.abs(ours - _gsw_density(salinity)).max() <= 0.02, salinity
