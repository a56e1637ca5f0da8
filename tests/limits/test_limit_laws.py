"""What must hold of limits whatever the animals and the water."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from any_tanks import STRANGER, animals, waters
from hypothesis import given, settings
from hypothesis import strategies as st

from watervane.limits import (
    TIERS,
    Water,
    acute_criterion_epa2013,
    acute_criterion_trout_epa2013,
    chronic_criterion_epa2013,
    judge,
    limits_for,
)
from watervane.limits.nitrite import highest_nitrite_bc, mean_nitrite_bc

CRITERIA = (acute_criterion_epa2013, acute_criterion_trout_epa2013, chronic_criterion_epa2013)
few = settings(max_examples=60, deadline=None)


@few
@given(first=animals, more=animals, water=waters())
def test_more_animals_never_loosen_anything(first, more, water) -> None:
    alone = judge(limits_for(first), water)
    together = judge(limits_for([*first, *more]), water)
    assert set(alone) <= set(together)
    for key, judged in alone.items():
        assert together[key].ratio >= judged.ratio


@few
@given(known=animals, water=waters())
def test_an_unknown_animal_is_held_to_the_strictest_of_poisons(known, water) -> None:
    """Its ranges are not known; what poisons is taken as for the most sensitive."""
    stranger = judge(limits_for([STRANGER]), water)
    for key, judged in judge(limits_for(known), water).items():
        if key[1] in {"temperature", "ph", "hardness"}:
            continue
        assert stranger[key].ratio >= judged.ratio


@few
@given(temperature_c=st.floats(0.0, 35.0), low=st.floats(5.0, 9.9), step=st.floats(1e-3, 3.0))
def test_criteria_fall_as_ph_rises(temperature_c, low, step) -> None:
    for criterion in CRITERIA:
        assert criterion(low + step, temperature_c) < criterion(low, temperature_c)


@few
@given(ph=st.floats(5.0, 10.0), low=st.floats(0.0, 34.0), step=st.floats(1e-3, 20.0))
def test_criteria_never_rise_with_temperature(ph, low, step) -> None:
    for criterion in CRITERIA:
        assert criterion(ph, low + step) <= criterion(ph, low)


@few
@given(present=animals, water=waters(), more=st.floats(0.0, 300.0))
def test_chloride_never_lowers_what_nitrite_is_borne(present, water, more) -> None:
    salted = replace(water, chloride_mg_per_l=float(water.chloride_mg_per_l) + more)
    for limit in limits_for(present):
        if limit.subject == "nitrite":
            assert limit.level(salted) >= limit.level(water)


def test_chloride_does_not_protect_all() -> None:
    fresh, salted = (Water(ph=7.0, temperature_c=25.0, chloride_mg_per_l=c) for c in (1.0, 100.0))
    levels = {
        name: [
            float(limit.level(water))
            for water in (fresh, salted)
            for limit in limits_for([name])
            if (limit.subject, limit.tier) == ("nitrite", "acute")
        ]
        for name in ("Paracheirodon axelrodi", "Poecilia reticulata")
    }
    assert levels["Paracheirodon axelrodi"][0] == levels["Paracheirodon axelrodi"][1]
    assert levels["Poecilia reticulata"][1] > 10.0 * levels["Poecilia reticulata"][0]


@few
@given(chloride=st.floats(0.0, 50.0), more=st.floats(0.0, 50.0))
def test_steps_go_up_with_chloride_and_the_mean_is_a_third(chloride, more) -> None:
    assert highest_nitrite_bc(chloride + more) >= highest_nitrite_bc(chloride)
    assert np.isclose(mean_nitrite_bc(chloride), highest_nitrite_bc(chloride) / 3.0)


@few
@given(present=animals, water=waters())
def test_no_limit_asks_for_more_oxygen_than_water_can_hold(present, water) -> None:
    for limit in limits_for(present):
        if limit.quantity == "oxygen_mg_per_l":
            assert limit.side == "below"
            assert 0.0 < limit.level(water) < water.oxygen_saturation_mg_per_l


@few
@given(present=animals, water=waters(), target=st.none() | st.floats(5.0, 200.0))
def test_injection_moves_comfort_alone_and_only_for_gas_and_swing(present, water, target) -> None:
    plain = judge(limits_for(present), water)
    injected = judge(limits_for(present, injected=True, injected_co2_mg_per_l=target), water)
    assert plain.keys() == injected.keys()
    for key, judged in plain.items():
        if key in {("comfort", "co2"), ("comfort", "ph_change")}:
            assert injected[key].ratio <= judged.ratio
        else:
            assert injected[key].ratio == judged.ratio


@few
@given(present=animals, water=waters())
def test_the_ratio_tells_on_which_side_of_the_level_the_water_is(present, water) -> None:
    for limit in limits_for(present):
        value, level, ratio = water.value(limit.quantity), limit.level(water), limit.ratio(water)
        beyond = value > level if limit.side == "above" else value < level
        if not np.isclose(value, level):
            assert bool(ratio > 1.0) == bool(beyond), limit.key


@few
@given(present=animals, water=waters())
def test_tiers_stay_apart_and_the_strictest_of_each_counts(present, water) -> None:
    limits = limits_for(present)
    judged = judge(limits, water)
    assert {limit.tier for limit in limits} == set(TIERS)
    for (tier, subject), found in judged.items():
        mine = [each for each in limits if (each.tier, each.subject) == (tier, subject)]
        assert {each.key for each in found.limits} <= {each.key for each in mine}
        ratios = [float(each.ratio(water)) for each in mine]
        assert float(found.ratio) == max(ratios)
        assert float(found.leader.ratio(water)) == max(ratios)
