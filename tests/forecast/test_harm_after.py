"""Harm is counted from the step on, over the time a limit is about."""

from __future__ import annotations

import numpy as np
import pytest

from watervane.forecast.harm_after import BORNE, chance_by_tier, harm_after
from watervane.limits import limits_for
from watervane.process.run import Course
from watervane.process.state import OUTPUT, OUTPUTS, TankState

STOPS = np.arange(0.0, 14.0, 0.125)
BEGIN = 5.0
LIMITS = limits_for(["Danio rerio"])


def _course(ammonia: np.ndarray, members: int = 3, **told: float) -> Course:
    usual = {"ph": 7.5, "temperature_c": 25.0, "oxygen_mg_per_l": 8.0,
             "alkalinity_meq_per_l": 2.0, "minerals_mmol_per_l": 1.5,
             "chloride_mg_per_l": 20.0, "co2_mg_per_l": 3.0}  # fmt: skip
    outputs = np.zeros((len(OUTPUTS), len(STOPS), members))
    for name, value in {**usual, **told}.items():
        outputs[OUTPUT[name]] = value
    outputs[OUTPUT["ammonia_mg_n_per_l"]] = ammonia[:, None]
    state = TankState(*(np.zeros(0) for _ in TankState._fields))
    return Course(STOPS, outputs, np.zeros((14, 2, members)), 0, state)


def _ammonia(tier: str, ammonia: np.ndarray) -> bool:
    found = harm_after(_course(ammonia), LIMITS, BEGIN, BEGIN + 7.0)
    return bool(found[tier, "ammonia"].passed.all())


def test_what_was_suffered_before_the_step_condemns_no_step() -> None:
    assert not _ammonia("acute", np.where(STOPS < BEGIN, 50.0, 0.0))
    assert not _ammonia("chronic", np.where(STOPS < BEGIN, 50.0, 0.0))


def test_what_lasts_is_harm_over_time_and_what_is_high_is_harm_at_once() -> None:
    steady = np.full(len(STOPS), 6.0)
    assert _ammonia("chronic", steady)
    assert not _ammonia("acute", steady)
    assert _ammonia("acute", np.where(np.abs(STOPS - 8.0) < 0.2, 60.0, 0.0))


def test_hours_are_those_beyond_the_limit() -> None:
    high = np.where((STOPS >= 7.0) & (STOPS < 8.0), 60.0, 0.0)
    hours = harm_after(_course(high), LIMITS, BEGIN, BEGIN + 7.0)["acute", "ammonia"].hours
    np.testing.assert_allclose(hours, 24.0, atol=4.0)


def test_a_week_bears_what_lies_between_four_days_and_thirty() -> None:
    """EPA 2013: 2.5 times the criterion of thirty days over four of them."""
    assert (30.0 / 4.0) ** BORNE["ammonia"] == pytest.approx(2.5)
    assert (30.0 / 30.0) ** BORNE["ammonia"] == 1.0
    assert 1.5 < (30.0 / 7.0) ** BORNE["ammonia"] < 2.5


def test_a_jump_of_ph_by_a_refill_is_held_against_its_limit() -> None:
    course = _course(np.zeros(len(STOPS)))
    course.outputs[OUTPUT["ph"]] = np.where(STOPS < 6.0, 5.5, 9.0)[:, None]
    jump = np.array([*STOPS[STOPS < 6.0], 6.0 - 4e-4, *STOPS[STOPS >= 6.0]])
    outputs = np.insert(course.outputs, int((STOPS < 6.0).sum()), course.outputs[:, 40], axis=1)
    found = harm_after(Course(jump, outputs, course.daily_means, 0, course.final), LIMITS, BEGIN,
                       BEGIN + 7.0)  # fmt: skip
    assert found["acute", "ph_change"].passed.all()


def test_tiers_are_kept_apart_and_an_empty_tank_is_held_to_nothing() -> None:
    found = harm_after(_course(np.full(len(STOPS), 6.0)), LIMITS, BEGIN, BEGIN + 7.0)
    chances = chance_by_tier(found)
    assert chances["acute"] == 0.0
    assert chances["chronic"] == 1.0
    assert chance_by_tier({}) == {"acute": 0.0, "chronic": 0.0, "comfort": 0.0}


def test_working_out_only_who_passes_finds_the_same_harm() -> None:
    rng = np.random.default_rng(11)
    course = _course(np.zeros(len(STOPS)), members=40)
    shape = course.outputs.shape[1:]
    for name, values in (
        ("ammonia_mg_n_per_l", rng.lognormal(0.5, 1.2, shape)),
        ("nitrite_mg_n_per_l", rng.lognormal(-1.0, 1.5, shape)),
        ("nitrate_mg_n_per_l", rng.lognormal(3.0, 1.0, shape)),
        ("ph", rng.uniform(6.0, 9.0, shape)),
    ):
        course.outputs[OUTPUT[name]] = values * np.linspace(0.2, 1.5, 40)
    whole, short = (
        harm_after(course, LIMITS, BEGIN, BEGIN + 7.0, passing_only=only) for only in (False, True)
    )
    assert whole.keys() == short.keys()
    assert any(0.0 < one.passed.mean() < 1.0 for one in whole.values())
    for key, one in whole.items():
        assert np.array_equal(one.passed, short[key].passed), key
        for name in ("hours", "burden"):
            np.testing.assert_allclose(getattr(short[key], name), getattr(one, name), err_msg=name)
