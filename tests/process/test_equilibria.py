"""The fitted equilibria agree with the formulas they were fitted to."""

from __future__ import annotations

import numpy as np
import pytest

from watervane.chemistry.activity import log10_activity_davies
from watervane.chemistry.carbonate_constants import carbonate_constants, log10_solubility_calcite
from watervane.chemistry.gases import co2_saturation_mg_per_l, oxygen_saturation_mg_per_l
from watervane.process.equilibria import MG_CO2_PER_MMOL, equilibria

GRID = [
    np.ravel(a)
    for a in np.meshgrid(
        np.linspace(0.5, 45.0, 90),
        [1e-5, 1e-3, 6e-3, 2e-2],
        [0.0, 1.5, 6.0],
        [0.75, 1.0],
    )
]


def test_fits_agree_with_the_formulas_between_freezing_and_forty_five_degrees() -> None:
    temperature, ionic, calcium, pressure = GRID
    found = equilibria(temperature, ionic, calcium, np.full_like(ionic, 700.0), pressure)
    told = carbonate_constants(temperature, ionic, calcium)
    for name in told._fields:
        assert np.asarray(getattr(found.constants, name)) == pytest.approx(
            np.asarray(getattr(told, name)), rel=1e-7
        ), name
    activity = log10_activity_davies(temperature, ionic)
    assert np.asarray(found.calcite_per_product) == pytest.approx(
        10.0 ** (8.0 * activity - log10_solubility_calcite(temperature)), rel=1e-7
    )
    assert np.asarray(found.oxygen_saturation_mg_per_l) == pytest.approx(
        oxygen_saturation_mg_per_l(temperature, 0.0, pressure), rel=1e-7
    )
    assert np.asarray(found.co2_saturation_mmol_per_l) == pytest.approx(
        co2_saturation_mg_per_l(temperature, 700.0, pressure) / MG_CO2_PER_MMOL, rel=1e-7
    )


def test_beyond_its_range_the_edge_holds() -> None:
    one = np.ones(1)
    edge = equilibria(50.0 * one, 1e-3 * one, one, 420.0 * one, one)
    beyond = equilibria(70.0 * one, 1e-3 * one, one, 420.0 * one, one)
    assert np.asarray(edge.constants.k1) == pytest.approx(np.asarray(beyond.constants.k1))
