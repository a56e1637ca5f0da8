"""Laws of the carbonate system: round trips, direction, limits, slopes, hard starts."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from watervane.chemistry.carbonate import (
    bracketed_ph,
    buffer_capacity_meq_per_l,
    co2_slope,
    ph_from_alkalinity,
    solve_ph,
    speciate,
)
from watervane.chemistry.carbonate_constants import carbonate_constants
from watervane.chemistry.dissolved_carbon import (
    alkalinity_from_ph_and_co2,
    calcite_saturation_index,
    co2_mg_per_l,
    inorganic_carbon_from_ph,
    ph_from_alkalinity_and_co2,
)

TEMPERATURE = st.floats(0.0, 40.0)
STRENGTH = st.floats(0.0, 0.05)
PH = st.floats(3.0, 11.0)
CARBON = st.one_of(st.just(0.0), st.floats(1e-5, 30.0))
NITROGEN = st.floats(0.0, 20.0)


@settings(max_examples=300, deadline=None, derandomize=True)
@given(PH, CARBON, NITROGEN, NITROGEN, TEMPERATURE, STRENGTH)
def test_ph_comes_back_from_alkalinity(ph, carbon, ammonia, nitrite, t, strength) -> None:
    constants = carbonate_constants(t, strength)
    parts = speciate(constants, ph, carbon, ammonia / 14.0067, nitrite / 14.0067)
    back = ph_from_alkalinity(parts.alkalinity_meq_per_l, carbon, t, strength, ammonia, nitrite)
    assert float(back) == pytest.approx(ph, abs=1e-9)


def test_twenty_steps_suffice_everywhere() -> None:
    rng = np.random.default_rng(20)
    count = 50_000
    ph = rng.uniform(1.0, 13.5, count)
    carbon = np.where(rng.random(count) < 0.1, 0.0, 10.0 ** rng.uniform(-6, 1.5, count))
    ammonia = 10.0 ** rng.uniform(-5, 1, count)
    nitrite = 10.0 ** rng.uniform(-5, 0.5, count)
    constants = carbonate_constants(rng.uniform(0, 40, count), rng.uniform(0, 0.05, count))
    alkalinity = speciate(constants, ph, carbon, ammonia, nitrite).alkalinity_meq_per_l
    found = bracketed_ph(constants, alkalinity, carbon, ammonia, nitrite)
    assert np.abs(found - ph).max() < 1e-9


@settings(max_examples=200, deadline=None, derandomize=True)
@given(PH, st.floats(0.05, 20.0), NITROGEN, TEMPERATURE, STRENGTH)
def test_carbon_and_co2_come_back_from_ph(ph, carbon, ammonia, t, strength) -> None:
    parts = speciate(carbonate_constants(t, strength), ph, carbon, ammonia / 14.0067)
    alkalinity = parts.alkalinity_meq_per_l
    # The inverse subtracts water's own acid and base: digits are lost where they dominate.
    worst = (parts.hydrogen + parts.hydroxide + parts.ammonia + carbon) * 1e-12
    charge = float(parts.mean_charge)
    back = float(inorganic_carbon_from_ph(ph, alkalinity, t, strength, ammonia))
    assert abs(back - carbon) <= max(1e-9 * carbon, float(worst) / charge)


@settings(max_examples=200, deadline=None, derandomize=True)
@given(st.floats(4.0, 10.5), st.floats(0.01, 300.0), NITROGEN, TEMPERATURE, STRENGTH)
def test_ph_alkalinity_and_co2_agree_all_ways(ph, co2, ammonia, t, strength) -> None:
    alkalinity = alkalinity_from_ph_and_co2(ph, co2, t, strength, ammonia)
    back = ph_from_alkalinity_and_co2(alkalinity, co2, t, strength, ammonia)
    assert float(back) == pytest.approx(ph, abs=1e-9)
    assert float(co2_mg_per_l(ph, alkalinity, t, strength, ammonia)) == pytest.approx(co2, rel=1e-6)


@settings(max_examples=200, deadline=None, derandomize=True)
@given(st.floats(-1.0, 8.0), st.floats(0.0, 10.0), TEMPERATURE, st.floats(0.01, 2.0))
def test_base_lifts_ph_and_carbon_lowers_it(alkalinity, carbon, t, more) -> None:
    ph = float(ph_from_alkalinity(alkalinity, carbon, t))
    assert float(ph_from_alkalinity(alkalinity + more, carbon, t)) > ph
    assert float(ph_from_alkalinity(alkalinity, carbon + more, t)) < ph


def test_pure_water_is_neutral() -> None:
    assert float(ph_from_alkalinity(0.0, 0.0, 25.0)) == pytest.approx(6.9998, abs=1e-4)


def test_strong_acid_and_base_alone() -> None:
    assert float(ph_from_alkalinity(-1.0, 0.0, 25.0)) == pytest.approx(3.0, abs=1e-4)
    assert float(ph_from_alkalinity(1.0, 0.0, 25.0)) == pytest.approx(11.0, abs=1e-3)


def test_slopes_match_differences() -> None:
    rng = np.random.default_rng(4)
    ph, t = rng.uniform(5.0, 10.0, 500), rng.uniform(5.0, 32.0, 500)
    carbon, tan = rng.uniform(0.1, 8.0, 500), rng.uniform(0.0, 0.5, 500)
    constants = carbonate_constants(t, 0.003)
    alkalinity = speciate(constants, ph, carbon, tan).alkalinity_meq_per_l
    step = 1e-4 * carbon
    sides = [
        speciate(
            constants,
            bracketed_ph(constants, alkalinity, carbon + sign * step, tan),
            carbon + sign * step,
            tan,
        ).co2
        for sign in (-1.0, 1.0)
    ]
    slope = (sides[1] - sides[0]) / (2.0 * step)
    assert np.allclose(co2_slope(constants, ph, carbon, tan), slope, rtol=2e-4, atol=1e-7)
    up, down = (
        speciate(constants, ph + d, carbon, tan).alkalinity_meq_per_l for d in (1e-4, -1e-4)
    )
    buffer = buffer_capacity_meq_per_l(constants, ph, carbon, tan)
    assert np.allclose(buffer, (up - down) / 2e-4, rtol=1e-5)


def test_warm_start_converges_in_three_steps() -> None:
    rng = np.random.default_rng(5)
    count = 20_000
    ph = rng.uniform(5.0, 9.5, count)
    carbon, tan = 10.0 ** rng.uniform(-2, 1, count), rng.uniform(0.0, 1.0, count)
    constants = carbonate_constants(rng.uniform(5, 35, count), 0.004)
    alkalinity = speciate(constants, ph, carbon, tan).alkalinity_meq_per_l
    for distance, bound in ((0.05, 1e-9), (0.2, 2e-5), (0.5, 2e-3)):
        guess = ph + distance * rng.choice([-1.0, 1.0], count)
        error = np.abs(solve_ph(constants, alkalinity, carbon, tan, guess, 3) - ph).max()
        assert error < bound, (distance, error)


def test_newton_converges_quadratically() -> None:
    constants = carbonate_constants(25.0, 0.003)
    alkalinity = speciate(constants, 7.4, 2.0, 0.05).alkalinity_meq_per_l
    errors = [
        abs(float(solve_ph(constants, alkalinity, 2.0, 0.05, 7.7, steps)) - 7.4)
        for steps in (1, 2, 3)
    ]
    assert errors[1] < errors[0] ** 1.7
    assert errors[2] < errors[1] ** 1.7


def test_calcite_index_rises_with_ph_and_calcium() -> None:
    base = float(calcite_saturation_index(7.5, 3.0, 1.0, 25.0, 0.005))
    assert float(calcite_saturation_index(8.0, 3.0, 1.0, 25.0, 0.005)) > base
    assert float(calcite_saturation_index(7.5, 3.0, 2.0, 25.0, 0.005)) > base
