"""A shut bag keeps its books, and agrees with PHREEQC; opening it frees ammonia."""

from __future__ import annotations

import numpy as np
import pytest
from phreeqpython import PhreeqPython

from watervane.planning.arrival import dripped
from watervane.planning.travel import (
    AIR_OXYGEN_SHARE,
    Bag,
    Metabolism,
    Shut,
    Water,
    metabolism,
    shut_for,
)

DRAWS = 200
LEVEL = 0.041


def _water(ph: float = 7.2, alkalinity: float = 2.0, warmth: float = 24.0) -> Water:
    return Water(*(np.full(DRAWS, v) for v in (ph, alkalinity, warmth, 0.1)))


def _fish(grams: float = 5.0) -> Metabolism:
    return metabolism([1.0] * round(grams), np.full(DRAWS, 24.0), np.random.default_rng(1))


def _shut(grams: float = 5.0, hours: float = 6.0, bag: Bag | None = None) -> Shut:
    return shut_for(bag or Bag(1.0, 2.0), _water(), _fish(grams), hours)


@pytest.mark.parametrize(("ph", "alkalinity", "given"), [(7.2, 2.0, 1.0), (8.0, 4.0, 3.0)])
def test_carbon_dioxide_of_a_bag_shares_out_as_in_phreeqc(
    ph: float, alkalinity: float, given: float
) -> None:
    """One litre under two litres of gas at one fixed volume; PHREEQC's own gas phase."""
    engine = PhreeqPython()
    told = {"units": "mmol/kgw", "temp": 24.0, "pH": ph, "Na": "5 charge", "Cl": 1.0}
    solution = engine.add_solution({**told, "Alkalinity": alkalinity})
    gas = engine.add_gas(
        {"CO2(g)": 1e-9, "N2(g)": 0.99}, volume=2.0, fixed_pressure=False, fixed_volume=True
    )
    solution.add("CO2", given)
    solution.interact(gas)
    one = np.ones(1)
    water = Water(ph * one, alkalinity * one, 24.0 * one, 0.0 * one)
    oxygen = given * 31.998 / 0.9 * one  # whose carbon dioxide that is
    found = shut_for(Bag(1.0, 2.0, 0.95), water, Metabolism(oxygen, 0.0 * one), 1.0)
    assert found.ph[0] == pytest.approx(solution.pH, abs=0.02)
    in_gas = water.carbon_mmol_per_l[0] + given - found.carbon_mmol_per_l[0]
    assert in_gas == pytest.approx(1000.0 * gas.components["CO2(g)"], rel=0.02)


def test_nobody_in_the_bag_changes_nothing_but_the_gas_balance() -> None:
    none = Metabolism(np.zeros(DRAWS), np.zeros(DRAWS))
    found = shut_for(Bag(1.0, 0.001), _water(), none, 24.0)
    assert np.allclose(found.ph, 7.2, atol=0.01)
    assert np.allclose(found.ammonia_mg_n_per_l, 0.1)


def test_water_in_balance_with_air_holds_what_the_tables_say() -> None:
    """8.418 mg/L at 24 degC (apha4500_o)."""
    none = Metabolism(np.zeros(DRAWS), np.zeros(DRAWS))
    found = shut_for(Bag(1.0, 2.0), _water(), none, 1.0)
    assert np.allclose(found.oxygen_mg_per_l, 8.42, atol=0.02)


def test_oxygen_used_is_oxygen_gone() -> None:
    fish, bag = _fish(), Bag(1.0, 2.0)
    start, later = (shut_for(bag, _water(), fish, hours) for hours in (0.0, 5.0))
    kelvin = 24.0 + 273.15
    per_share = start.oxygen_mg_per_l / AIR_OXYGEN_SHARE + 2.0 * 31998.0 / (0.08205737 * kelvin)
    gone = (start.oxygen_mg_per_l - later.oxygen_mg_per_l) * (
        AIR_OXYGEN_SHARE * per_share / start.oxygen_mg_per_l
    )
    assert np.allclose(gone, 5.0 * fish.oxygen_mg_per_h, rtol=1e-9)


def test_more_animals_and_more_hours_leave_less_oxygen_and_lower_ph() -> None:
    for less, more in ((_shut(3.0), _shut(9.0)), (_shut(hours=2.0), _shut(hours=20.0))):
        assert np.all(more.oxygen_mg_per_l < less.oxygen_mg_per_l)
        assert np.all(more.ph < less.ph)
        assert np.all(more.ammonia_mg_n_per_l > less.ammonia_mg_n_per_l)


def test_pure_oxygen_lasts_longer_but_ph_falls_the_same() -> None:
    air, oxygen = _shut(), _shut(bag=Bag(1.0, 2.0, 0.95))
    assert np.all(oxygen.oxygen_mg_per_l > 3.0 * air.oxygen_mg_per_l)
    assert np.allclose(oxygen.ph, air.ph, atol=1e-6)


def test_oxygen_runs_out_and_no_further() -> None:
    found = _shut(60.0, 48.0)
    assert np.all(found.oxygen_mg_per_l >= -1e-12)
    assert np.all(np.isfinite(found.ph))


def test_opening_a_long_shut_bag_turns_its_ammonia_harmful() -> None:
    """Common practice, no source: after a long trip do not drip."""
    shut = _shut(15.0, 24.0)
    tank = Water(*(np.full(DRAWS, v) for v in (8.2, 4.0, 25.0, 0.0)))
    rng = np.random.default_rng(2)
    opened = dripped(shut, 1.0, tank, _fish(15.0), 45.0, LEVEL, rng)
    assert np.median(opened.highest_free_ammonia_mg_n_per_l) > 2.0 * np.median(
        shut.free_ammonia_mg_n_per_l
    )
    assert np.all(opened.ph > shut.ph)


def test_after_a_short_trip_dripping_does_no_harm() -> None:
    shut = _shut(3.0, 0.5)
    tank = Water(*(np.full(DRAWS, v) for v in (7.4, 2.0, 25.0, 0.0)))
    opened = dripped(shut, 1.0, tank, _fish(3.0), 45.0, LEVEL, np.random.default_rng(2))
    assert (opened.minutes_above > 0.0).mean() < 0.02
    assert not opened.acute_ratio.any(), "that was not asked"


def test_what_is_borne_on_the_way_in_is_the_mean_of_an_hour() -> None:
    """Held at a constant share of the limit for three quarters of an hour: three quarters of it."""
    shut = _shut(3.0, 0.5)
    tank = Water(*(np.full(DRAWS, v) for v in (7.4, 2.0, 25.0, 0.0)))
    rng = np.random.default_rng(2)
    opened = dripped(
        shut, 1.0, tank, _fish(3.0), 45.0, LEVEL, rng, lambda ammonia, ph: np.full_like(ph, 2.0)
    )
    assert opened.acute_ratio == pytest.approx(1.5)
