"""Readings as interval likelihoods, and members weighed by them."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from watervane.inference.kits import OUTLIER_SHARE, log_likelihood, reading_interval
from watervane.inference.weighting import effective_members, power_for, resample
from watervane.records import Kit, KitScale, Reading, ReadingValue

STEPS = (0.0, 0.3, 0.7, 1.5, 3.0, 6.0)
KIT = Kit("drop", "drop", (KitScale("ammonia", STEPS, "n"),))


def read(value: float, kind: str = "exact") -> Reading:
    low = None if kind == "below" else value
    high = None if kind == "above" else value
    return Reading(
        datetime(2026, 3, 10, tzinfo=UTC), "ammonia", ReadingValue(kind, low, high, "n"), kit="drop"
    )


@given(truth=st.floats(0.0, 8.0), bias=st.floats(-2.0, 2.0))
def test_the_steps_of_a_kit_share_out_all_that_is_no_outlier(truth: float, bias: float) -> None:
    water, error = np.array([truth]), np.array([bias])
    chances = [np.exp(log_likelihood(read(s), KIT, water, error))[0] for s in STEPS]
    assert 1.0 - OUTLIER_SHARE <= sum(chances) <= 1.0 + OUTLIER_SHARE * len(STEPS)


def test_the_top_step_is_open_and_zero_means_under_the_first() -> None:
    assert reading_interval(read(6.0), KIT) == (4.5, np.inf)
    assert reading_interval(read(0.0), KIT) == (-np.inf, pytest.approx(0.15))
    assert reading_interval(read(0.7), KIT) == (pytest.approx(0.5), pytest.approx(1.1))


def test_the_likeliest_step_is_the_nearest_and_no_reading_is_impossible() -> None:
    water = np.array([1.6])
    likely = [log_likelihood(read(s), KIT, water, np.zeros(1))[0] for s in STEPS]
    assert int(np.argmax(likely)) == STEPS.index(1.5)
    assert np.isfinite(likely).all()


def test_above_and_below_are_one_sided() -> None:
    water = np.array([0.05, 9.0])
    above = log_likelihood(read(3.0, "above"), KIT, water, np.zeros(2))
    below = log_likelihood(read(3.0, "below"), KIT, water, np.zeros(2))
    assert above[1] > above[0]
    assert below[0] > below[1]


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
