"""What tells calibrated posteriors from others, tried on places of known make."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import beta, norm

from watervane.inference.calibration import (
    coverage_bounds,
    covered,
    ecdf_band,
    mean_coverage,
    place,
    stratified_truths,
    uniformity,
)


def test_truths_are_stratified_unknown_by_unknown() -> None:
    truths = stratified_truths(7, 50, 1)
    assert truths.shape == (7, 50)
    strata = np.floor(50 * norm.cdf(truths)).astype(int)
    assert all(sorted(row) == list(range(50)) for row in strata.tolist())
    assert not np.array_equal(truths, stratified_truths(7, 50, 2))


def test_a_truth_among_its_like_is_placed_evenly() -> None:
    rng = np.random.default_rng(0)
    places = np.array([place(rng.normal(), rng.normal(size=99), rng) for _ in range(600)])
    assert uniformity(places).least > 0.001
    steps = [place(rng.integers(3), rng.integers(3, size=99), rng) for _ in range(600)]
    assert uniformity(np.array(steps)).least > 0.001


@pytest.mark.parametrize(
    ("places", "why"),
    [
        (beta(0.6, 0.6), "too sure"),
        (beta(1.8, 1.8), "too unsure"),
        (beta(1.5, 1.0), "too low"),
    ],
    ids=["sure", "unsure", "biased"],
)
def test_wrong_posteriors_are_found_out(places, why) -> None:
    drawn = places.rvs(size=300, random_state=3)
    assert uniformity(drawn).least < 0.001, why


def test_chances_of_uniform_places_are_uniform_themselves() -> None:
    rng = np.random.default_rng(4)
    found = [uniformity(rng.uniform(size=60)) for _ in range(300)]
    low, high = coverage_bounds(300, 0.1, 0.001)
    assert low <= np.mean([f.band < 0.1 for f in found]) <= high
    assert low <= np.mean([f.kolmogorov < 0.1 for f in found]) <= high


def test_the_band_holds_all_ordered_places_as_often_as_it_says() -> None:
    low, high = ecdf_band(40, 0.9)
    drawn = np.sort(np.random.default_rng(5).uniform(size=(2000, 40)), axis=1)
    held = ((drawn >= low) & (drawn <= high)).all(axis=1).mean()
    bounds = coverage_bounds(2000, 0.9, 0.001)
    assert bounds[0] - 0.01 <= held <= bounds[1] + 0.01  # the band itself is from 2,000 draws


def test_coverage_counts_truths_inside() -> None:
    places = np.array([0.05, 0.3, 0.5, 0.7, 0.95])
    assert covered(places, 0.5) == pytest.approx(0.6)
    assert covered(places, 0.95) == pytest.approx(1.0)
    mean, error = mean_coverage({"one": places, "two": places}, 0.5)
    assert mean == pytest.approx(0.6)
    assert error == pytest.approx(np.std([0, 1, 1, 1, 0], ddof=1) / np.sqrt(5))
