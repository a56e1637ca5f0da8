"""Means over an exposure and changes within a while, against what can be worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from watervane.limits import Water, judge, largest_change, limits_for, mean_over


def test_a_steady_value_is_its_own_mean_and_never_changes() -> None:
    times, values = np.linspace(0.0, 9.0, 37), np.full((37, 3), 2.5)
    assert mean_over(times, values, 96.0) == pytest.approx(2.5)
    assert np.all(largest_change(times, values, 1.0) == 0.0)


def test_the_mean_of_a_slope_is_half_way_back() -> None:
    """Two days of exposure on a rise of one a day lag by one; before that by half the record."""
    times = np.array([0.0, 0.5, 1.0, 2.5, 4.0, 7.0])
    mean = mean_over(times, times, 48.0)
    assert mean == pytest.approx(np.maximum(times - 1.0, times / 2.0))


def test_an_hour_is_found_within_coarse_stops() -> None:
    """A quarter of a spike of a day's height lies within its last hour of four."""
    mean = mean_over([0.0, 4.0 / 24.0], [0.0, 4.0], 1.0)
    assert mean == pytest.approx([0.0, 3.5])


def test_largest_change_of_a_refill_and_of_a_slow_night() -> None:
    hours = np.array([0.0, 0.25, 0.5, 0.75, 4.0])
    warm = np.array([25.0, 23.5, 22.0, 21.5, 18.0])
    change = largest_change(hours / 24.0, warm, 1.0)
    assert change == pytest.approx([0.0, 1.5, 3.0, 3.5, 3.5 / 3.25])


def test_a_rise_counts_as_a_fall_does() -> None:
    times = np.arange(0.0, 1.0, 1.0 / 48.0)
    course = np.cumsum(np.random.default_rng(3).normal(size=(len(times), 2)), axis=0)
    there, back = largest_change(times, course, 3.0), largest_change(times, -course, 3.0)
    assert np.array_equal(there, back)


@settings(max_examples=60, deadline=None)
@given(
    values=st.lists(st.floats(0.0, 1e3), min_size=2, max_size=20),
    hours=st.floats(0.5, 400.0),
    seed=st.integers(0, 99),
)
def test_a_mean_lies_within_what_was(values, hours, seed) -> None:
    times = np.cumsum(np.random.default_rng(seed).uniform(0.05, 2.0, len(values)))
    mean = mean_over(times, values, hours)
    reached = np.maximum.accumulate(values)
    assert np.all(mean <= reached * (1.0 + 1e-9) + 1e-9)
    assert np.all(mean >= np.minimum.accumulate(values) * (1.0 - 1e-9) - 1e-6)


@pytest.mark.parametrize(
    ("times", "values"), [([0.0, 0.0], [1.0, 2.0]), ([0.0], [1.0, 2.0]), ([], [])]
)
def test_a_course_that_is_none_is_refused(times, values) -> None:
    with pytest.raises(ValueError, match="course"):
        mean_over(times, values, 1.0)
    with pytest.raises(ValueError, match="course"):
        largest_change(times, values, 1.0)


def test_a_short_spike_is_acute_and_not_chronic() -> None:
    """Six hours at five times the chronic level in ten days: shape (stops, members)."""
    times = np.arange(0.0, 10.0, 1.0 / 24.0)
    spike = (times >= 5.0) & (times < 5.25)
    ammonia = np.where(spike, 4.5, 0.02)[:, None] * np.ones(3)
    water = Water(ph=7.4, temperature_c=25.0, ammonia_mg_n_per_l=ammonia)
    judged = judge(limits_for(["neon tetra"]), water, times)
    assert judged["acute", "ammonia"].passed.any(axis=0).all()
    assert not judged["chronic", "ammonia"].passed.any()
    steady = Water(ph=7.4, temperature_c=25.0, ammonia_mg_n_per_l=np.full((240, 3), 1.6))
    held = judge(limits_for(["neon tetra"]), steady, times)
    assert held["chronic", "ammonia"].passed.all()
    assert not held["acute", "ammonia"].passed.any()
