"""Scores against closed forms, against their definitions, and as penalties nobody can cheat."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some
from scipy.stats import norm

from watervane.forecast.scores import (
    crps,
    crps_of_quantiles,
    log_score,
    place_among_quantiles,
    places,
    share_inside,
)

CHANCES = np.array([0.1, 0.4, 0.3, 0.2])
STEPS = np.array([0.0, 0.5, 1.0, 2.0])


def normal_crps(mean: float, sd: float, observed: float) -> float:
    """Gneiting et al. 2005, doi:10.1175/MWR2904.1, equation 5."""
    z = (observed - mean) / sd
    return sd * float(z * (2 * norm.cdf(z) - 1) + 2 * norm.pdf(z) - 1 / math.sqrt(math.pi))


def integrated(values: np.ndarray, chances: np.ndarray, observed: float) -> float:
    """CRPS by its definition: the squared gap of two step functions, integrated."""
    edges = np.unique([*values, observed])
    total = 0.0
    for low, high in pairwise(edges):
        forecast = float(chances[values <= low].sum())
        total += (high - low) * (forecast - float(observed <= low)) ** 2
    return total


@pytest.mark.parametrize("observed", [-2.0, 0.0, 0.3, 2.5])
def test_members_of_a_normal_score_as_the_normal(observed: float) -> None:
    values = norm.ppf((np.arange(4000) + 0.5) / 4000, 0.4, 0.7)
    found = crps(values, np.full(4000, 1 / 4000), observed)
    assert found == pytest.approx(normal_crps(0.4, 0.7, observed), abs=2e-4)


@given(
    some.lists(some.tuples(some.floats(-5, 5), some.floats(0.01, 1)), min_size=1, max_size=8),
    some.floats(-6, 6),
)
def test_weighted_values_score_as_the_definition(
    told: list[tuple[float, float]], observed: float
) -> None:
    values = np.array([value for value, _ in told])
    weights = np.array([weight for _, weight in told])
    weights /= weights.sum()
    assert crps(values, weights, observed) == pytest.approx(
        integrated(values, weights, observed), abs=1e-9
    )


def test_a_sure_value_scores_its_distance() -> None:
    assert crps(np.array([3.0]), np.array([1.0]), 4.5) == pytest.approx(1.5)


def test_weights_count_like_repeats() -> None:
    twice = crps(np.array([1.0, 1.0, 4.0]), np.full(3, 1 / 3), 2.0)
    assert crps(np.array([1.0, 4.0]), np.array([2 / 3, 1 / 3]), 2.0) == pytest.approx(twice)


@pytest.mark.parametrize("observed", [-1.0, 0.1, 2.0])
def test_many_quantiles_of_a_normal_score_as_the_normal(observed: float) -> None:
    levels = (np.arange(2000) + 0.5) / 2000
    found = crps_of_quantiles(list(levels), list(norm.ppf(levels)), observed)
    assert found == pytest.approx(normal_crps(0.0, 1.0, observed), abs=1e-3)


def test_quantiles_that_all_agree_score_their_distance() -> None:
    levels = (0.05, 0.25, 0.5, 0.75, 0.95)
    assert crps_of_quantiles(levels, (3.0,) * 5, 5.0) == pytest.approx(2.0, rel=0.05)


def test_claiming_other_chances_than_the_true_ones_costs() -> None:
    claims = [np.array(c) for c in ([0.25] * 4, [0.0, 0.6, 0.3, 0.1], [0.3, 0.4, 0.1, 0.2])]

    def expected(claim: np.ndarray) -> tuple[float, float]:
        by_crps = sum(p * crps(STEPS, claim, s) for p, s in zip(CHANCES, STEPS, strict=True))
        by_log = sum(p * log_score(c) for p, c in zip(CHANCES, claim, strict=True))
        return float(by_crps), float(by_log)

    honest = expected(CHANCES)
    for claim in claims:
        other = expected(claim)
        assert other[0] > honest[0]
        assert other[1] > honest[1]


def test_one_impossible_thing_is_not_all_that_counts() -> None:
    assert log_score(0.0) == pytest.approx(-math.log(1e-12))
    assert log_score(0.5) == pytest.approx(math.log(2.0))


@pytest.mark.parametrize(
    ("low", "high", "place"),
    [
        (0.0, 0.0, (0.0, 0.1)),
        (1.0, 1.0, (0.5, 0.8)),
        (2.0, 2.0, (0.8, 1.0)),
        (0.5, 1.0, (0.3, 0.65)),
        (0.7, 0.7, (0.3, 0.65)),
        (1.0, math.inf, (0.65, 1.0)),
        (2.0, math.inf, (0.9, 1.0)),
        (5.0, math.inf, (0.9, 1.0)),
        (-math.inf, 0.5, (0.0, 0.3)),
    ],
)
def test_what_came_lies_between_two_cumulative_chances(
    low: float, high: float, place: tuple[float, float]
) -> None:
    assert places(STEPS, CHANCES, low, high) == pytest.approx(place)


@pytest.mark.parametrize("level", [0.5, 0.8, 0.9])
def test_a_right_forecast_of_coarse_steps_covers_what_it_claims(level: float) -> None:
    inside = [share_inside(places(STEPS, CHANCES, s, s), level) for s in STEPS]
    assert float(CHANCES @ np.array(inside)) == pytest.approx(level)


def test_a_point_is_inside_or_not() -> None:
    assert share_inside((0.2, 0.2), 0.5) == 0.0
    assert share_inside((0.3, 0.3), 0.5) == 1.0


def test_among_quantiles_a_value_lies_between_its_neighbours() -> None:
    levels, quantiles = (0.05, 0.25, 0.5, 0.75, 0.95), (1.0, 2.0, 3.0, 4.0, 5.0)
    assert place_among_quantiles(levels, quantiles, 2.5) == (0.25, 0.5)
    assert place_among_quantiles(levels, quantiles, 0.0) == (0.0, 0.05)
    assert place_among_quantiles(levels, quantiles, 9.0) == (0.95, 1.0)
    assert place_among_quantiles(levels, quantiles, 3.0) == (0.25, 0.75)
