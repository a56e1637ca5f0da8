"""The sampler, given hare and lynx instead of a tank, lands on reference quantiles.

Source: 10,000 checked draws of another code; see the folder under ``data``. Tolerances are
Monte Carlo errors of both sides, and the bounds its README calls fair.
"""

from __future__ import annotations

import numpy as np
import pytest
from lynx_hare import LynxHare, rows
from numpy.typing import NDArray
from scipy.stats import norm

from watervane.inference.target import Posterior
from watervane.inference.tempered import CHANCE, Effort, sample

MEMBERS = 2000
# Readings that tell a hundred and fifty nats want small steps: with half the members kept at
# each, some seeds end up to a spread off and only a dwindled number of ancestors tells of it.
EFFORT = Effort(effective_share=0.9, between=0.35, most_between=20)
REFERENCE_DRAWS = 10_000
# 56 comparisons: one false alarm in some thousand runs.
SIGMAS = 4.5
FAIR_MEAN, FAIR_QUANTILE = 0.1, 0.15  # standard deviations
QUANTILES = {"p05": 0.05, "p25": 0.25, "p50": 0.5, "p75": 0.75, "p95": 0.95}
REFERENCE = {row["parameter"]: row for row in rows("reference_posterior.csv")}

Found = tuple[Posterior, dict[str, NDArray[np.float64]]]


@pytest.fixture(scope="module")
def found() -> Found:
    target = LynxHare()
    posterior = sample(target, MEMBERS, 1, effort=EFFORT)
    return posterior, target.parameters(posterior.z)


def independent(posterior: Posterior, values: NDArray[np.float64]) -> float:
    """Independent draws that would tell as much of a value's mean."""
    return min(float(values.var()) / posterior.standard_error(values) ** 2, float(MEMBERS))


@pytest.mark.slow
@pytest.mark.parametrize("name", REFERENCE)
def test_means_and_spreads_are_the_reference_ones(name: str, found: Found) -> None:
    posterior, told = found
    values, row = told[name], REFERENCE[name]
    mean, spread = float(row["mean"]), float(row["sd"])
    error = np.sqrt(1.0 / REFERENCE_DRAWS + 1.0 / independent(posterior, values))
    off = abs(values.mean() - mean) / spread
    assert off < SIGMAS * error
    assert off < FAIR_MEAN
    # A variance's own error, from how its terms spread.
    terms = ((values - mean) / spread) ** 2
    error = terms.std() * np.sqrt(1.0 / REFERENCE_DRAWS + 1.0 / independent(posterior, terms))
    assert abs(terms.mean() - 1.0) < SIGMAS * error


@pytest.mark.slow
@pytest.mark.parametrize("name", REFERENCE)
def test_quantiles_are_the_reference_ones(name: str, found: Found) -> None:
    posterior, told = found
    values, row = told[name], REFERENCE[name]
    for column, share in QUANTILES.items():
        below = (values <= float(row[column])).astype(np.float64)
        error = np.sqrt(1.0 / REFERENCE_DRAWS + 1.0 / independent(posterior, below))
        assert abs(below.mean() - share) < SIGMAS * np.sqrt(share * (1.0 - share)) * error
        off = abs(np.quantile(values, share) - float(row[column])) / float(row["sd"])
        assert off < FAIR_QUANTILE


@pytest.mark.slow
def test_the_members_have_mixed(found: Found) -> None:
    posterior, _ = found
    mixing = posterior.info.stages[-1].mixing
    assert mixing.worst <= 0.2 + CHANCE / np.sqrt(MEMBERS)
    assert posterior.info.health == "good"


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4))
def test_a_run_that_has_not_arrived_says_so(seed: int) -> None:
    """Large steps, few members, few moves: most such runs stop on the way."""
    target = LynxHare()
    hasty = Effort(effective_share=0.3, most_between=8, most_at_end=12)
    posterior = sample(target, 600, seed, effort=hasty)
    told = target.parameters(posterior.z)
    off = [
        abs(told[name].mean() - float(row["mean"])) / float(row["sd"])
        for name, row in REFERENCE.items()
    ]
    assert max(off) > 0.3, "this run was meant to be too hasty"
    assert posterior.info.health in {"thin", "poor"}


@pytest.mark.slow
def test_the_course_is_integrated_finely_enough(found: Found) -> None:
    posterior, _ = found
    finer = LynxHare(steps_a_year=80).evaluate(posterior.z).log_likelihood
    assert np.abs(posterior.evaluated.log_likelihood - finer).max() < 0.01


def test_the_prior_is_the_one_told() -> None:
    """Cut normals by their means in closed form."""
    shares = (np.arange(200_000) + 0.5) / 200_000
    told = LynxHare().parameters(np.tile(norm.ppf(shares), (8, 1)))
    hazard = norm.pdf(-2.0) / norm.sf(-2.0)
    assert told["theta[1]"].mean() == pytest.approx(1.0 + 0.5 * hazard, abs=1e-4)
    hazard = norm.pdf(-1.0) / norm.sf(-1.0)
    assert told["theta[2]"].mean() == pytest.approx(0.05 * (1.0 + hazard), abs=1e-5)
    assert np.median(told["sigma[1]"]) == pytest.approx(np.exp(-1.0), rel=1e-4)
    assert min(told["theta[4]"].min(), told["theta[3]"].min()) > 0.0
