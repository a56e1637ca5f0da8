"""Smoothed weights: on tails of a known shape, and where the answer is known."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import genpareto

from watervane.inference.pareto import LEANED_ON, fitted_pareto, smoothed

RNG = np.random.default_rng(4)


@pytest.mark.parametrize("shape", [-0.3, 0.2, 0.6, 1.1])
def test_the_shape_and_scale_of_a_tail_are_found(shape: float) -> None:
    values = np.sort(genpareto.rvs(shape, scale=2.0, size=4000, random_state=RNG))
    found, scale = fitted_pareto(values)
    assert found == pytest.approx(shape, abs=0.07)
    assert scale == pytest.approx(2.0, rel=0.08)


def test_equal_weights_stay_equal_and_all_sum_to_one() -> None:
    weights, _ = smoothed(np.zeros(300))
    assert weights == pytest.approx(np.full(300, 1.0 / 300))
    weights, _ = smoothed(RNG.standard_normal(300))
    assert weights.sum() == pytest.approx(1.0)


def test_a_tail_that_members_do_not_reach_is_told() -> None:
    """Weights from a normal to one w times as wide have a tail of the shape 1 - 1 / w^2."""
    z = RNG.standard_normal(20_000)
    shapes = [smoothed(0.5 * z**2 * (1.0 - wide**-2.0))[1] for wide in (1.1, 3.0)]
    assert shapes[0] < LEANED_ON < shapes[1]


def test_smoothing_comes_nearer_to_the_truth_than_raw_weights() -> None:
    """The mean of z^2 without a reading of half the posterior's precision: known to be 2."""
    raw, fine = [], []
    for _ in range(400):
        z = RNG.standard_normal(200)
        log = 0.25 * z**2
        weights = np.exp(log - log.max())
        raw.append((weights / weights.sum() * z**2).sum())
        fine.append((smoothed(log)[0] * z**2).sum())
    errors = [np.sqrt(np.mean((np.array(found) - 2.0) ** 2)) for found in (raw, fine)]
    assert errors[1] < errors[0]
    assert np.mean(fine) == pytest.approx(2.0, abs=0.2)
