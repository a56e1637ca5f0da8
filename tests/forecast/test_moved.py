"""The reading that moved a date most, where every date without a reading is known exactly."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import norm

from watervane.forecast.moved import Asked, distance_d, moved_most, weighted_date_d

Z80 = float(norm.ppf(0.9))
ERROR = 1.2
# Readings of a rate, by one kit with a steady error of its own that has a prior spread of 1.
BEARING = np.array([0.0, 0.2, 0.4, 0.6, 0.8])


def posterior(values: np.ndarray, kept: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Of rate and steady error, both standard normal before."""
    design = np.stack([BEARING, np.ones(len(BEARING))], axis=1)[kept] / ERROR
    covariance = np.linalg.inv(np.eye(2) + design.T @ design)
    return covariance @ design.T @ (values[kept] / ERROR), covariance


def drawn(values: np.ndarray, count: int, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Members, and what leaving out each reading does to their likelihood."""
    middle, covariance = posterior(values, np.ones(len(values), dtype=bool))
    z = np.random.default_rng(seed).multivariate_normal(middle, covariance, count).T
    shown = BEARING[:, None] * z[0] + z[1]
    return z, 0.5 * ((values[:, None] - shown) / ERROR) ** 2


def asked(rate: np.ndarray, cap_d: float = 90.0) -> Asked:
    return Asked("settled", np.arange(len(rate)), 30.0 - 5.0 * rate, cap_d)


VALUES = np.array([0.3, 0.1, 0.5, 0.2, 2.6])


def test_shift_and_narrowing_are_those_of_the_exact_posteriors() -> None:
    count = 40_000
    z, without = drawn(VALUES, count, 1)
    most, within_d = moved_most(without, asked(z[0]), count)
    every = np.ones(len(VALUES), dtype=bool)
    middle, covariance = posterior(VALUES, every)
    shifts, widths = [], []
    for place in range(len(VALUES)):
        less, wider = posterior(VALUES, every & (np.arange(len(VALUES)) != place))
        shifts.append(-5.0 * (middle[0] - less[0]))
        widths.append(2.0 * Z80 * 5.0 * (np.sqrt(wider[0, 0]) - np.sqrt(covariance[0, 0])))
    assert most is not None
    assert most.told
    assert most.place == int(np.abs(shifts).argmax()) == 4
    assert most.days == pytest.approx(shifts[4], abs=0.25)
    assert most.narrowed_days == pytest.approx(widths[4], abs=0.4)
    assert abs(shifts[4]) < within_d < 1.5 * abs(shifts[4])


def test_a_reading_that_only_tells_of_the_kit_moves_no_date() -> None:
    """One reading that bears on the steady error alone, of which it leaves less open."""
    found = []
    for seed in range(40):
        rng = np.random.default_rng([2, seed])
        rate, bias = rng.standard_normal((2, 400))
        left = 1.0 / (1.0 + ERROR**-2)
        bias = left * 0.4 / ERROR**2 + np.sqrt(left) * bias
        without = 0.5 * ((0.4 - bias[None]) / ERROR) ** 2
        found.append(moved_most(without, asked(rate), 400.0)[0])
    assert sum(each is not None for each in found) <= 1


def test_few_effective_members_tell_nothing_of_small_moves() -> None:
    z, without = drawn(np.array([0.1, 0.0, 0.1, 0.0, 1.4]), 4000, 3)
    found, least_d = moved_most(without, asked(z[0]), 4000.0)
    assert found is not None
    most, within_d = moved_most(without, asked(z[0]), 40.0)
    assert most is None or not most.told
    assert within_d > 1.5 * least_d, "nor so surely that none moved it"


def test_a_reading_that_weights_cannot_take_out_is_named_without_a_number() -> None:
    """One exact reading among none: members without it are out of the reach of weights."""
    rate = np.random.default_rng(4).normal(1.5, 0.4, 600)
    without = 0.5 * ((1.5 - rate[None]) / 0.4) ** 2
    most, within_d = moved_most(without, asked(rate), 600.0)
    assert most is not None
    assert not most.told
    assert most.days is None
    assert within_d == np.inf


def test_only_members_that_wait_are_asked() -> None:
    z, without = drawn(VALUES, 4000, 5)
    some = np.arange(0, 4000, 2)
    chosen = Asked("settled", some, 30.0 - 5.0 * z[0, some], 90.0)
    half, whole = (moved_most(without, each, 2000.0)[0] for each in (chosen, asked(z[0])))
    assert half is not None
    assert whole is not None
    assert half.place == whole.place
    assert half.days == pytest.approx(whole.days, abs=1.0)


def test_a_middle_past_the_end_gives_no_number_of_days() -> None:
    z, without = drawn(VALUES, 4000, 6)
    date = 30.0 - 5.0 * z[0]
    date[date > np.median(date) - 0.2] = np.inf
    most, _ = moved_most(without, Asked("settled", np.arange(4000), date, 90.0), 4000.0)
    assert most is None or most.days is None


def test_the_distance_of_two_shifted_dates_is_their_shift() -> None:
    date = np.concatenate([np.full(500, 10.0), np.full(500, 14.0)])
    weights = np.concatenate([np.zeros(500), np.full(500, 1.0 / 500)])
    assert distance_d(date, weights, 60.0) == pytest.approx(2.0, abs=1e-9)
    assert distance_d(date, np.full(1000, 0.001), 60.0) == pytest.approx(0.0, abs=1e-9)


def test_a_weighted_date_counts_members_by_weight() -> None:
    date = np.array([10.0, 20.0, np.inf])
    assert weighted_date_d(date, np.array([0.1, 0.5, 0.4]), 0.5) == 20.0
    assert weighted_date_d(date, np.array([0.1, 0.1, 0.8]), 0.5) == np.inf
