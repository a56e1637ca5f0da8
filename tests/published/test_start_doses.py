"""Ammonia and soda for a start without animals, against printed stoichiometry."""

from __future__ import annotations

import pytest

from watervane.planning.start_doses import alkalinity_cost_dkh_per_mg_n_per_l, dose_amount, soda_g
from watervane.planning.start_kinds import SALT, SOLUTION


def test_ammonium_chloride_for_a_milligram_of_nitrogen() -> None:
    # exact arithmetic from atomic masses: 53.4915 / 14.0067 = 3.819 mg per mg N
    dose = dose_amount(SALT, 1.0, 1000.0)
    assert dose.grams == pytest.approx(3.819, abs=0.0005)
    assert dose.millilitres is None


def test_what_nitrification_takes_of_the_buffering() -> None:
    # 7.146 g CaCO3 per g N, 0.400 dKH per mg N/L of a salt; 3.57 g and 0.200 dKH where one
    # equivalent came back before: stoichiometry without growth, timmons_ebeling2007 rounds to 7.14
    assert alkalinity_cost_dkh_per_mg_n_per_l(SALT) == pytest.approx(0.400, abs=0.0005)
    assert alkalinity_cost_dkh_per_mg_n_per_l(SOLUTION) == pytest.approx(0.200, abs=0.0005)
    twice = alkalinity_cost_dkh_per_mg_n_per_l(SALT)
    assert twice == pytest.approx(2.0 * alkalinity_cost_dkh_per_mg_n_per_l(SOLUTION), rel=1e-12)


def test_soda_for_a_degree_of_carbonate_hardness() -> None:
    # exact arithmetic: 2.996 g NaHCO3 in 100 L
    assert soda_g(1.0, 100.0) == pytest.approx(2.996, abs=0.0005)


def test_a_solution_is_told_in_millilitres_too() -> None:
    dose = dose_amount("ammonia solution 10 %", 2.0, 100.0)
    # 200 mg N are 243.2 mg NH3, 2.432 g of the solution; 0.957 g/mL from memory
    assert dose.grams == pytest.approx(2.432, abs=0.001)
    assert dose.millilitres == pytest.approx(2.432 / 0.957, rel=0.01)


def test_what_brings_no_ammonia_is_refused() -> None:
    with pytest.raises(ValueError, match="brings no ammonia"):
        dose_amount("sodium chloride", 1.0, 100.0)
