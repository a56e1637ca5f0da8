"""Members weighed by their readings."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from observation_cases import drop, read, seen, tank

from watervane.inference.weighting import (
    agreement,
    bias_names,
    effective_members,
    latent_names,
    power_for,
    resample,
)


def test_above_and_below_are_one_sided() -> None:
    levels = {"ammonia_mg_n_per_l": np.array([0.05, 9.0])}
    for kind, likelier in (("above", 1), ("below", 0)):
        told = [read(3.0, kind=kind)]
        at = seen(told, levels)
        found = agreement(tank(drop()), told, at.course, at.stops, {})
        assert int(np.argmax(found.total)) == likelier


def test_readings_agree_as_much_as_their_models_say_in_any_order() -> None:
    told = [read(0.7, 3), read(0.25, 1, "nitrite"), read(1.5, 2)]
    levels = {"ammonia_mg_n_per_l": np.array([0.8, 2.0, 5.0]), "nitrite_mg_n_per_l": 0.2}
    at, log = seen(told, levels), tank(drop())
    names = latent_names(log, told)
    assert names == ("bias drop ammonia", "bias drop nitrite")
    unknowns = {name: np.array([0.3, -0.2, 1.0]) for name in names}
    found = agreement(log, told, at.course, at.stops, unknowns)
    back = seen(told[::-1], levels)
    again = agreement(log, told[::-1], back.course, back.stops, unknowns)
    assert found.total == pytest.approx(found.each.sum(axis=0))
    assert again.each[::-1] == pytest.approx(found.each)


def test_an_unknown_left_out_stands_in_the_middle_of_its_prior() -> None:
    told = [read(0.7)]
    at = seen(told, {"ammonia_mg_n_per_l": np.array([0.8, 2.0])})
    middle = {name: np.zeros(2) for name in bias_names(told)}
    one = agreement(tank(drop()), told, at.course, at.stops, {})
    two = agreement(tank(drop()), told, at.course, at.stops, middle)
    assert one.total == pytest.approx(two.total)


def test_effective_members_of_known_weights() -> None:
    assert effective_members(np.zeros(40)) == pytest.approx(40.0)
    assert effective_members(np.array([0.0, -800.0])) == pytest.approx(1.0)


def test_softening_leaves_as_many_members_as_asked() -> None:
    log_weights = 20.0 * np.linspace(0.0, 1.0, 500) ** 2
    power = power_for(log_weights, 60.0)
    assert 0.0 < power < 1.0
    assert effective_members(power * log_weights) == pytest.approx(60.0, rel=0.01)
    assert power_for(np.zeros(500), 60.0) == 1.0


@given(st.lists(st.floats(0.01, 1.0), min_size=2, max_size=20), st.floats(0.01, 0.99))
def test_resampling_takes_each_member_as_often_as_its_weight_asks(
    weights: list[float], offset: float
) -> None:
    shares = np.array(weights) / sum(weights)
    taken = np.bincount(resample(np.log(shares), 1000, offset), minlength=len(shares))
    assert taken.sum() == 1000
    assert np.abs(taken - 1000 * shares).max() <= 1.0 + 1e-6
