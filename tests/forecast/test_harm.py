"""A course against the limits of the animals present."""

from __future__ import annotations

import numpy as np
import pytest

from watervane.forecast.harm import Held, course_water, harm_ahead, harm_to
from watervane.limits import TIERS, judge, limits_for
from watervane.process.run import Course
from watervane.process.state import OUTPUT, OUTPUTS, TankState

NO_STATE = TankState(*(np.zeros(1) for _ in TankState._fields))
QUIET = {
    "ph": 7.0,
    "temperature_c": 25.0,
    "oxygen_mg_per_l": 8.0,
    "alkalinity_meq_per_l": 1.5,
    "chloride_mg_per_l": 20.0,
    "minerals_mmol_per_l": 1.6,
}
STOPS = np.arange(0.0, 8.0, 0.25)
MEMBERS = 4


def course(**series: np.ndarray | float) -> Course:
    outputs = np.zeros((len(OUTPUTS), len(STOPS), MEMBERS))
    for name, level in {**QUIET, **series}.items():
        outputs[OUTPUT[name]] = level
    return Course(STOPS, outputs, np.zeros((0, 2, MEMBERS)), 0, NO_STATE)


def test_quiet_water_harms_no_guppy() -> None:
    found = harm_ahead(course(), limits_for(["guppy"]), 1.0, 5)
    assert {tier for tier, _ in found} == set(TIERS)
    for harm in found.values():
        assert (harm.daily, harm.within) == ((0.0,) * 5, 0.0), harm.leader.key


def test_the_chance_is_the_share_of_members_that_pass_within_the_day() -> None:
    nitrite = np.zeros((len(STOPS), MEMBERS))
    nitrite[(STOPS >= 2.25) & (STOPS < 2.8), 0] = 1.0
    nitrite[STOPS >= 4.25, :] = 1.0
    found = harm_ahead(course(nitrite_mg_n_per_l=nitrite), limits_for(["neon tetra"]), 1.0, 5)
    acute = found["acute", "nitrite"]
    assert acute.daily == (0.0, 0.25, 0.0, 1.0, 1.0)
    assert acute.within == 1.0
    assert acute.leader.animals == ("neon tetra",)
    assert found["chronic", "nitrite"].daily[0] == 0.0


def test_what_stays_below_names_the_limit_it_is_nearest_to() -> None:
    found = harm_ahead(course(ammonia_mg_n_per_l=0.2), limits_for(["guppy", "apple snail"]), 0.0, 3)
    assert found["chronic", "ammonia"].within == 0.0
    assert found["chronic", "ammonia"].leader.key == "total_ammonia_chronic"


def test_the_past_counts_towards_a_long_exposure_as_long_as_the_present_adds_to_it() -> None:
    limits = limits_for(["guppy"])
    level = harm_ahead(course(), limits, 4.5, 3)["chronic", "nitrate"].told.level

    def daily(before: float, now: float) -> tuple[float, ...]:
        nitrate = np.where(STOPS < 4.4, before, now)[:, None] * np.ones(MEMBERS) * level
        return harm_ahead(course(nitrate_mg_n_per_l=nitrate), limits, 4.5, 3)[
            "chronic", "nitrate"
        ].daily

    assert daily(3.0, 1.1) == (1.0, 1.0, 1.0)
    assert daily(0.2, 1.1) == (0.0, 0.0, 0.0)
    # What is over cannot be helped, and is nothing that lies ahead.
    assert daily(3.0, 0.9) == (0.0, 0.0, 0.0)


def test_hardness_is_counted_in_degrees_and_thin_air_known() -> None:
    water = course_water(course(), pressure_atm=0.7)
    assert np.asarray(water.gh_dgh) == pytest.approx(1.6 / 0.178325, rel=1e-4)
    assert water.oxygen_saturation_mg_per_l == pytest.approx(8.263 * 0.69, rel=0.01)


def test_water_before_they_came_and_after_they_left_did_them_no_harm() -> None:
    nitrite = np.where((STOPS >= 2.0) & (STOPS < 3.0), 1.0, 0.0)[:, None] * np.ones(MEMBERS)
    bad = course(nitrite_mg_n_per_l=nitrite)
    limits = limits_for(["neon tetra"])

    def daily(**stay: float) -> tuple[float, ...]:
        return harm_to(bad, [Held(limits, **stay)], 1.0, 5)["acute", "nitrite"].daily

    assert daily() == (1.0, 1.0, 0.0, 0.0, 0.0)
    assert daily(from_d=3.1) == daily(until_d=1.9) == (0.0,) * 5
    assert daily(from_d=2.5) == (0.0, 1.0, 0.0, 0.0, 0.0)


def test_those_who_come_later_add_their_harm_and_lead_with_their_limit() -> None:
    held = [Held(limits_for(["zebrafish"])), Held(limits_for(["neon tetra"]), from_d=3.0)]
    found = harm_to(course(nitrite_mg_n_per_l=0.5), held, 1.0, 4)["acute", "nitrite"]
    assert found.daily == (0.0, 1.0, 1.0, 1.0)  # the second day ends on the stop they come at
    assert found.leader.animals == ("neon tetra",)
    assert found.told.level == pytest.approx(0.1116)


def test_a_limit_is_told_with_its_level_and_free_ammonia_as_total_too() -> None:
    harm = harm_ahead(course(ammonia_mg_n_per_l=3.0, ph=8.5), limits_for(["neon tetra"]), 1.0, 2)
    told = harm["chronic", "ammonia"].told
    assert (told.quantity, told.level) == ("free_ammonia_mg_n_per_l", pytest.approx(0.0156))
    assert told.total_mg_n_per_l == pytest.approx(0.0156 / 0.153, rel=0.05)
    assert told.source == "ccme_ammonia"


def test_judging_only_who_passes_finds_the_same_as_judging_all() -> None:
    """The short way must not lose anybody."""
    rng = np.random.default_rng(3)
    shape = (len(STOPS), MEMBERS)
    water = course_water(
        course(
            ammonia_mg_n_per_l=rng.lognormal(0.0, 1.0, shape),
            nitrite_mg_n_per_l=rng.lognormal(-1.0, 1.5, shape),
            oxygen_mg_per_l=rng.uniform(2.0, 9.0, shape),
            ph=rng.uniform(6.0, 9.0, shape),
        )
    )
    limits = limits_for(["neon tetra", "guppy", "cherry shrimp"])
    whole, short = judge(limits, water, STOPS), judge(limits, water, STOPS, 8, passing_only=True)
    assert whole.keys() == short.keys()
    for key, judged in whole.items():
        assert np.array_equal(judged.passed[8:], short[key].passed), key
        assert short[key].ratio.shape == (len(STOPS) - 8, MEMBERS)
