"""Limits of the animals present: who makes one strict, and the keeper's own figures."""

from __future__ import annotations

import numpy as np
import pytest

from watervane.limits import SUBJECTS, Limit, Water, judge, limit_keys, limits_for
from watervane.records import LimitEdit
from watervane.reference import UnknownNameError, load_table, source

NEUTRAL = Water(ph=7.0, temperature_c=25.0, chloride_mg_per_l=19.0)


def keyed(limits: tuple[Limit, ...]) -> dict[str, Limit]:
    """Limits by their key."""
    return {limit.key: limit for limit in limits}


def test_no_animals_no_limits() -> None:
    assert limits_for([]) == ()


def test_every_limit_says_who_says_so() -> None:
    for limit in limits_for(["zebrafish", "unheard of"]):
        assert source(limit.source)
        assert limit.quality
        assert limit.animals
        assert limit.exposure_hours > 0.0
        assert limit.quantity in SUBJECTS
        told = limit.arguments(NEUTRAL)
        assert told["source"] == limit.source
        assert np.isfinite(told["level"])


def test_every_figure_of_the_table_is_used() -> None:
    shipped = {row.id for row in load_table("limits") if row.extra["tier"]}
    assert {f"limit_{key}" for key in limit_keys()} >= shipped


def test_the_result_names_the_animal_and_the_source_that_made_it_strict() -> None:
    water = Water(ph=7.2, temperature_c=25.0, chloride_mg_per_l=19.0, nitrite_mg_n_per_l=0.5)
    present = ("zebra danios", "neon tetras", "guppies")
    judged = judge(limits_for(present), water)["acute", "nitrite"]
    assert judged.leader.animals == ("neon tetras",)
    assert judged.leader.source == "deoliveira2008"
    without = judge(limits_for(present[::2]), water)["acute", "nitrite"]
    assert without.leader.animals == ("guppies",)
    assert not without.passed


def test_two_names_of_one_kind_share_its_limit() -> None:
    found = keyed(limits_for(["zebrafish", "Danio rerio", "zebrafish"]))
    assert found["nitrite_acute_tolerant"].animals == ("zebrafish", "Danio rerio")


def test_of_free_and_total_ammonia_the_stricter_counts_member_by_member() -> None:
    """In acid water the total leads, in alkaline water the free share."""
    water = Water(
        ph=np.array([6.0, 6.5, 7.0, 8.0, 8.5, 9.0]), temperature_c=25.0, ammonia_mg_n_per_l=1.0
    )
    judged = judge(limits_for(["zebrafish"]), water)["chronic", "ammonia"]
    leading = [judged.limits[place].key for place in judged.leading]
    assert leading[0] == "total_ammonia_chronic"
    tetra = judge(limits_for(["neon tetra"]), water)["chronic", "ammonia"]
    assert [tetra.limits[place].key for place in tetra.leading] == [
        *("total_ammonia_chronic",) * 2,
        *("free_ammonia_chronic_sensitive",) * 4,
    ]
    assert judged.ratio.shape == (6,)


def test_snails_bring_the_criteria_that_mussels_set() -> None:
    water = Water(ph=8.0, temperature_c=25.0, ammonia_mg_n_per_l=1.0)
    fish, snails, strangers = (
        {limit.key: float(limit.level(water)) for limit in limits_for(animals)}
        for animals in (["zebrafish"], ["zebrafish", "Planorbella"], ["zebrafish", "a stranger"])
    )
    assert fish["total_ammonia_chronic"] > 2.0 * snails["total_ammonia_chronic"]
    assert fish["total_ammonia_acute"] == snails["total_ammonia_acute"], "it guards fish as well"
    for key in ("total_ammonia_acute", "total_ammonia_chronic"):
        assert strangers[key] == snails[key], "who nobody knows may be a snail"


def test_the_chance_of_passing_is_taken_over_the_doubt_about_ph() -> None:
    """The middle member's pH would call it harmless, a third of the members would not."""
    rng = np.random.default_rng(5)
    members = Water(ph=rng.normal(7.6, 0.3, 4000), temperature_c=25.0, ammonia_mg_n_per_l=0.6)
    judged = judge(limits_for(["neon tetra"]), members)["chronic", "ammonia"]
    middle = Water(ph=7.6, temperature_c=25.0, ammonia_mg_n_per_l=0.6)
    assert judge(limits_for(["neon tetra"]), middle)["chronic", "ammonia"].ratio < 1.0
    assert 0.2 < judged.passed.mean() < 0.5


def test_a_planted_tank_with_injection_is_not_in_permanent_alarm() -> None:
    day = Water(ph=6.6, temperature_c=24.0, co2_mg_per_l=28.0, ph_change=0.8)
    plain = judge(limits_for(["neon tetra"]), day)
    injected = judge(limits_for(["neon tetra"], injected=True), day)
    for subject in ("co2", "ph_change"):
        assert plain["comfort", subject].passed
        for tier in ("comfort", "chronic", "acute"):
            assert not injected[tier, subject].passed
    gassed = Water(ph=6.2, temperature_c=24.0, co2_mg_per_l=65.0)
    assert judge(limits_for(["neon tetra"], injected=True), gassed)["acute", "co2"].passed


@pytest.mark.parametrize(
    ("target", "level"), [(None, 30.0), (5.0, 30.0), (35.0, 35.0), (90.0, 40.0)]
)
def test_the_gas_a_keeper_means_to_hold(target: float | None, level: float) -> None:
    found = keyed(limits_for(["guppy"], injected=True, injected_co2_mg_per_l=target))
    assert float(found["co2_comfort"].level(NEUTRAL)) == level
    assert found["co2_comfort"].animals == ("guppy",)


def test_oxygen_asked_for_on_a_mountain_in_summer_is_what_water_can_hold() -> None:
    high = Water(ph=7.0, temperature_c=31.0, pressure_atm=0.7)
    found = keyed(limits_for(["unheard of"]))["oxygen_comfort_unknown"]
    assert float(found.level(high)) == pytest.approx(0.8 * 7.43 * 0.69, abs=0.1)
    assert float(found.level(NEUTRAL)) == 6.5


def test_a_keepers_figure_takes_the_place_of_a_shipped_one_and_says_so() -> None:
    edits = (LimitEdit("nitrate_comfort", 22.6, "my well"), LimitEdit("nitrite_acute", 0.5))
    found = keyed(limits_for(["guppy", "neon tetra"], edits=edits))
    assert float(found["nitrate_comfort"].level(NEUTRAL)) == 22.6
    assert found["nitrate_comfort"].note == "my well"
    for key in ("nitrite_acute_sensitive", "nitrite_acute_very_sensitive"):
        assert float(found[key].level(NEUTRAL)) == 0.5
    changed = {key for key, limit in found.items() if limit.edited}
    assert changed == {
        *("nitrate_comfort", "nitrite_acute_sensitive", "nitrite_acute_very_sensitive"),
    }
    assert {found[key].source for key in changed} == {"keeper"}


def test_an_edit_of_what_is_not_present_is_kept_quiet_and_a_misspelt_one_is_not() -> None:
    shrimp = LimitEdit("nitrate_chronic_crustacean", 5.0)
    found = limits_for(["guppy"], edits=(shrimp,))
    assert [limit.key for limit in found] == [limit.key for limit in limits_for(["guppy"])]
    with pytest.raises(UnknownNameError, match="did you mean 'nitrate_comfort'"):
        limits_for(["guppy"], edits=(LimitEdit("nitrat_comfort", 5.0),))
    with pytest.raises(UnknownNameError):
        limits_for(["guppy"], edits=(LimitEdit("nitr", 5.0),))


@pytest.mark.parametrize("figure", [0.0, -1.0, float("nan"), float("inf")])
def test_a_figure_that_is_no_level_is_refused(figure: float) -> None:
    with pytest.raises(ValueError, match="cannot be a level of nitrate_comfort"):
        limits_for(["guppy"], edits=(LimitEdit("nitrate_comfort", figure),))
