"""The sampler against quadrature where the posterior is bent or has two peaks."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from tempered_targets import BENT, VALUES, Plane

from watervane.inference.mixing import measure
from watervane.inference.shape import fit_shape, fit_within
from watervane.inference.target import Posterior
from watervane.inference.tempered import sample

Floats = NDArray[np.float64]
MEMBERS = 1000
SIGMAS = 4.5  # some dozen comparisons a seed: one false alarm in thousands of runs


def off(found: Posterior, values: Floats, truth: float) -> float:
    """Error of a mean in units of its Monte Carlo error."""
    independent = values.std() / np.sqrt(MEMBERS)
    return float((values.mean() - truth) / max(found.standard_error(values), independent))


@pytest.mark.parametrize(
    "seed", [0, *(pytest.param(more, marks=pytest.mark.slow) for more in (1, 2))]
)
@pytest.mark.parametrize("likelihood", BENT.values(), ids=BENT.keys())
def test_moments_and_masses_agree_with_quadrature(likelihood, seed) -> None:
    target = Plane(likelihood)
    found = sample(target, MEMBERS, seed)
    errors = {
        name: off(found, value(found.z[0], found.z[1]), target.expected(value))
        for name, value in VALUES.items()
    }
    assert max(abs(error) for error in errors.values()) < SIGMAS, errors
    # Plain moves crawl along a banana; a run may say so, but not that it failed.
    assert found.info.health in {"good", "thin"}
    # Each temperature adds a relative variance of about one in the members.
    steps = len(found.info.stages)
    assert found.info.log_evidence == pytest.approx(
        target.log_evidence(), abs=SIGMAS * np.sqrt(2.0 * steps / MEMBERS)
    )


@pytest.mark.parametrize("seed", range(3))
def test_what_is_not_told_keeps_its_prior(seed) -> None:
    found = sample(Plane(BENT["banana"]), MEMBERS, seed)
    for row in found.z[2:]:
        assert abs(off(found, row, 0.0)) < SIGMAS
        assert abs(off(found, row**2, 1.0)) < SIGMAS


def test_a_population_on_its_way_has_forgotten_but_drifts() -> None:
    rng = np.random.default_rng(0)
    old, new = rng.standard_normal((5, 2000)), rng.standard_normal((5, 2000))
    shape = fit_shape(new)
    here = measure((old, old[0]), (new, new[0]), shape, 3)
    away = measure((old - 0.5, old[0]), (new, new[0]), shape, 3)
    assert here.worst == pytest.approx(away.worst)
    assert here.drift < 5.0 * np.sqrt(2.0 / 2000)
    assert away.drift > 0.4


def test_unmoved_members_resemble_themselves() -> None:
    z = np.random.default_rng(1).standard_normal((5, 500))
    found = measure((z, z[0]), (z, z[0]), fit_shape(z), 3)
    assert found.worst == pytest.approx(1.0)
    assert found.likelihood == pytest.approx(1.0)
    assert found.drift == 0.0


def test_members_that_are_all_one_have_a_shape() -> None:
    alike = np.repeat(np.arange(5.0)[:, None], 4, axis=1)
    for shape in (fit_shape(alike), fit_within(alike, np.eye(5)[:2])):
        assert np.isfinite(shape.spread).all()
        assert shape.freedom > 2.0
