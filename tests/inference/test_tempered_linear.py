"""The sampler against closed forms: linear readings of normal unknowns."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from tempered_targets import Linear, linear

from watervane.inference.target import Population, Posterior
from watervane.inference.tempered import sample

MEMBERS = 1000
# 70 means and 70 variances, three seeds: one false alarm in some hundred runs.
SIGMAS = 4.5


@pytest.fixture(scope="module", params=[0, 1, 2])
def run(request) -> tuple[Linear, Posterior]:
    target = linear(request.param)
    return target, sample(target, MEMBERS, request.param)


def off(found: Posterior, values, truth) -> float:
    """Error of a mean over members in units of its Monte Carlo error."""
    independent = values.std() / np.sqrt(MEMBERS)
    return float((values.mean() - truth) / max(found.standard_error(values), independent))


def test_means_and_variances_are_right_to_their_monte_carlo_error(run) -> None:
    target, found = run
    mean, covariance, _ = target.posterior()
    means = [off(found, row, m) for row, m in zip(found.z, mean, strict=True)]
    apart = (found.z - mean[:, None]) ** 2
    variances = [off(found, a, v) for a, v in zip(apart, np.diag(covariance), strict=True)]
    assert np.abs(means).max() < SIGMAS
    assert np.abs(variances).max() < SIGMAS


def test_the_evidence_is_right(run) -> None:
    """Each temperature adds a relative variance of about one in the members."""
    target, found = run
    _, _, log_evidence = target.posterior()
    stages = len(found.info.stages)
    assert found.info.log_evidence == pytest.approx(
        log_evidence, abs=SIGMAS * 2.0 * np.sqrt(stages / MEMBERS)
    )


def test_what_is_kept_stays_with_its_member(run) -> None:
    target, found = run
    again = target.evaluate(found.z)
    assert found.evaluated.kept["each"] == pytest.approx(again.kept["each"])
    assert found.evaluated.kept["first"] == pytest.approx(found.z[0])
    assert found.evaluated.log_likelihood == pytest.approx(again.log_likelihood)


def test_a_start_that_fits_old_readings_ends_where_a_fresh_run_does() -> None:
    target = linear(5)
    old = dataclasses.replace(target, weights=target.weights[:20], values=target.values[:20])
    begun = sample(old, MEMBERS, 1)
    later = dataclasses.replace(target, old=20)
    found = sample(later, MEMBERS, 2, start=Population(begun.z))
    mean, covariance, evidence = target.posterior()
    _, _, before = target.posterior(20)
    errors = (found.z.mean(axis=1) - mean) / np.sqrt(np.diag(covariance))
    spread = found.z.std(axis=1) / np.sqrt(np.diag(covariance))
    # Errors of the start come on top, so twice those of independent members.
    assert np.sqrt((errors**2).mean()) < 2.0 / np.sqrt(MEMBERS)
    assert np.abs(errors).max() < 2.0 * SIGMAS / np.sqrt(MEMBERS)
    assert np.abs(spread - 1.0).max() < 2.0 * SIGMAS / np.sqrt(2.0 * MEMBERS)
    assert found.info.log_evidence == pytest.approx(
        evidence - before, abs=SIGMAS * 2.0 * np.sqrt(len(found.info.stages) / MEMBERS)
    )


def test_weights_of_a_start_are_heeded() -> None:
    """Draws from the wrong prior, weighed right."""
    target = linear(6, lasting=3, days=4, readings=2)
    rng = np.random.default_rng(0)
    z = 1.2 * rng.standard_normal((7, 4000))
    weights = -0.5 * (z**2).sum(axis=0) * (1.0 - 1.0 / 1.44)
    found = sample(target, MEMBERS, 3, start=Population(z, log_weights=weights))
    mean, covariance, _ = target.posterior()
    assert found.z.mean(axis=1) == pytest.approx(mean, abs=0.2)
    assert found.z.std(axis=1) == pytest.approx(np.sqrt(np.diag(covariance)), abs=0.1)


def test_the_same_seed_gives_the_same_members_and_progress_never_falls() -> None:
    told: list[float] = []
    target = linear(2, lasting=4, days=6, readings=5)
    one = sample(target, 200, 9, progress=told.append)
    two = sample(target, 200, 9)
    other = sample(target, 200, 10)
    assert np.array_equal(one.z, two.z)
    assert not np.array_equal(one.z, other.z)
    assert told == sorted(told)
    assert told[-1] == 1.0
