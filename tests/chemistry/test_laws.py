"""Laws of mixing, disinfection, salts, heat and gases."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from watervane.chemistry import gases, hardness, heat, salts
from watervane.chemistry.ammonia import ammonium_pka, free_ammonia_fraction
from watervane.chemistry.disinfectant import (
    DECHLORINATORS,
    chloramine_formed_mg_per_l,
    dechlorinate,
)
from watervane.chemistry.gas_transfer import kla_at_temperature, kla_of_bubbler_per_h
from watervane.chemistry.mixing import Water, change_water, mix
from watervane.chemistry.nitrite_chloride import (
    chloride_to_nitrite_ratio,
    sodium_chloride_wanted_mg_per_l,
)
from watervane.reference import sourced_functions

SOFT = Water(22.0, 0.5, 0.0, 0.0008, calcium_mmol_per_l=0.2).with_ph(6.4)
HARD = Water(12.0, 5.0, 0.0, 0.008, calcium_mmol_per_l=2.2).with_ph(7.8)


def test_with_ph_is_kept() -> None:
    assert float(SOFT.ph) == pytest.approx(6.4, abs=1e-9)
    assert float(HARD.ph) == pytest.approx(7.8, abs=1e-9)


@settings(max_examples=50, deadline=None, derandomize=True)
@given(st.floats(0.01, 1.0), st.floats(0.01, 1.0))
def test_equal_waters_mix_to_themselves(first: float, second: float) -> None:
    mixed = mix((HARD, HARD), (first, second))
    np.testing.assert_allclose(mixed, HARD, rtol=1e-12, atol=1e-15)
    assert float(mixed.ph) == pytest.approx(7.8, abs=1e-9)


def test_mixing_conserves_and_order_does_not_matter() -> None:
    once = mix((SOFT, HARD, SOFT), (10.0, 20.0, 30.0))
    twice = mix((mix((SOFT, HARD), (10.0, 20.0)), SOFT), (30.0, 30.0))
    np.testing.assert_allclose(once, twice, rtol=1e-12, atol=1e-15)
    assert once.alkalinity_meq_per_l == pytest.approx((40 * 0.5 + 20 * 5.0) / 60)


def test_mean_ph_is_not_the_ph_of_the_mixture() -> None:
    mixed = change_water(SOFT, HARD, 0.5)
    assert abs(float(mixed.ph) - 0.5 * (6.4 + 7.8)) > 0.05


def test_a_change_of_nothing_or_all() -> None:
    np.testing.assert_allclose(change_water(SOFT, HARD, 0.0), SOFT)
    np.testing.assert_allclose(change_water(SOFT, HARD, 1.0), HARD)


def test_a_quarter_changed_leaves_fifteen_of_twenty_nitrate() -> None:
    tank = SOFT._replace(nitrate_mg_n_per_l=20.0)
    assert change_water(tank, SOFT, 0.25).nitrate_mg_n_per_l == pytest.approx(15.0)


def test_mix_wants_one_volume_each() -> None:
    with pytest.raises(ValueError, match="one for each"):
        mix((SOFT, HARD), (1.0,))


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.floats(0, 5), st.floats(0, 5), st.floats(0, 60))
def test_dechlorination_balances(chlorine: float, chloramine: float, dose: float) -> None:
    per = DECHLORINATORS["thiosulfate-pentahydrate"].mg_per_mg_chlorine
    left = dechlorinate(chlorine, chloramine, dose, per)
    assert min(left) >= -1e-12
    gone = chlorine + chloramine - left.chlorine_mg_per_l - left.chloramine_mg_per_l
    assert gone * per + left.dechlorinator_mg_per_l == pytest.approx(dose, abs=1e-9)
    nitrogen = (chloramine - left.chloramine_mg_per_l) * 14.0067 / 70.906
    assert left.ammonia_released_mg_n_per_l == pytest.approx(nitrogen, abs=1e-12)
    if left.dechlorinator_mg_per_l > 1e-9:
        assert left.chlorine_mg_per_l + left.chloramine_mg_per_l == pytest.approx(0.0, abs=1e-9)


def test_chloramine_is_limited_by_either_side() -> None:
    assert float(chloramine_formed_mg_per_l(2.0, 0.0)) == 0.0
    assert float(chloramine_formed_mg_per_l(2.0, 10.0)) == 2.0


@pytest.mark.parametrize("name", salts.SALTS)
def test_salts_are_neutral(name: str) -> None:
    salt = salts.SALTS[name]
    plus = 2.0 * salt.hardness + salt.sodium + salt.potassium + salt.ammonia
    minus = salt.alkalinity_eq + salt.chloride + 2.0 * salt.sulfate + salt.nitrite + salt.nitrate
    assert plus == minus


def test_dose_and_what_it_brings_are_inverse() -> None:
    salt = salts.SALTS["sodium-bicarbonate"]
    grams = salts.dose_for_alkalinity_g(salt, 0.7, 54.0)
    assert salts.brought_mmol_per_l(salt, grams, 54.0)["alkalinity_eq"] == pytest.approx(0.7)


def test_a_salt_without_the_wanted_ion_is_refused() -> None:
    with pytest.raises(ValueError, match="NaCl brings no hardness"):
        salts.dose_for_hardness_g(salts.SALTS["sodium-chloride"], 1.0, 100.0)


def test_hardness_round_trips() -> None:
    calcium, magnesium = hardness.minerals_from_gh(8.0, 0.7)
    assert hardness.gh_from_minerals(calcium, magnesium) == pytest.approx(8.0)
    assert hardness.degrees_from_caco3(hardness.caco3_from_degrees(5.0)) == pytest.approx(5.0)
    assert hardness.kh_from_alkalinity(hardness.alkalinity_from_kh(5.0)) == pytest.approx(5.0)


def test_enough_salt_reaches_the_ratio() -> None:
    grams = float(sodium_chloride_wanted_mg_per_l(0.8, 5.0))
    chloride = 5.0 + grams * 35.453 / (22.98977 + 35.453)
    assert float(chloride_to_nitrite_ratio(chloride, 0.8)) == pytest.approx(10.0)
    assert float(sodium_chloride_wanted_mg_per_l(0.1, 50.0)) == 0.0


def test_ammonia_joins_fresh_and_sea_water_without_a_step() -> None:
    salinity = np.linspace(0.0, 8.0, 801)
    pka = ammonium_pka(25.0, salinity)
    assert np.abs(np.diff(pka)).max() < 0.01
    assert np.abs(np.diff(pka[200:])).max() < 0.001
    assert np.all(np.diff(free_ammonia_fraction(np.linspace(5, 10, 50), 25.0)) > 0.0)


def test_oxygen_falls_with_heat_salt_and_height() -> None:
    assert np.all(np.diff(gases.oxygen_saturation_mg_per_l(np.linspace(0, 40, 80))) < 0.0)
    assert np.all(np.diff(gases.oxygen_saturation_mg_per_l(25.0, np.linspace(0, 40, 80))) < 0.0)
    pressure = gases.standard_pressure_atm(np.linspace(0, 4000, 80))
    assert np.all(np.diff(gases.oxygen_saturation_mg_per_l(25.0, 0.0, pressure)) < 0.0)


def test_bubbler_scales() -> None:
    one = float(kla_of_bubbler_per_h(60.0, 0.02, 60.0))
    assert float(kla_of_bubbler_per_h(120.0, 0.02, 120.0)) == pytest.approx(one)
    assert float(kla_at_temperature(one, 20.0)) == one


def test_no_gap_no_loss_but_evaporation() -> None:
    loss = heat.heat_loss(heat.faces_of_box(0.6, 0.3, 0.3, 6.0), 22.0, 22.0)
    assert loss.sides_w == loss.bottom_w == loss.surface_w == 0.0
    assert float(loss.evaporation_w) > 0.0


def test_tight_lid_stops_evaporation() -> None:
    faces = heat.faces_of_box(0.6, 0.3, 0.3, 6.0)
    closed = heat.heat_loss(faces, 25.0, 20.0, lid_closed=1.0)
    assert float(closed.evaporation_w) == float(closed.surface_w) == 0.0
    assert float(closed.total_w) < float(heat.heat_loss(faces, 25.0, 20.0).total_w)


def test_heater_holds_or_is_too_small() -> None:
    assert float(heat.heater_duty(30.0, 75.0)) == pytest.approx(0.4)
    assert float(heat.heater_duty(90.0, 75.0)) == 1.0
    assert float(heat.heater_duty(-5.0, 75.0)) == 0.0
    # 1.163 Wh warm a litre by a degree, near enough.
    assert float(heat.warming_c_per_h(100.0, 60.0)) == pytest.approx(1.43, abs=0.01)


def test_every_source_named_is_in_the_table() -> None:
    import tomllib
    from importlib import resources

    text = resources.files("watervane.reference").joinpath("data/sources.toml").read_text("utf-8")
    known = set(tomllib.loads(text))
    named = {
        citation.key
        for name, entry in sourced_functions().items()
        if name.startswith("watervane.chemistry.")
        for citation in entry.citations
    }
    assert len(named) > 20
    assert named <= known
