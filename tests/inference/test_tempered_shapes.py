"""The sampler against quadrature where the posterior is bent or has two peaks."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray

from watervane.inference.mixing import measure
from watervane.inference.shape import fit_shape
from watervane.inference.target import Evaluated, Posterior
from watervane.inference.tempered import sample

Floats = NDArray[np.float64]
MEMBERS = 1000
NOISE = 12
SIGMAS = 4.5  # some dozen comparisons a seed: one false alarm in thousands of runs


@dataclass(frozen=True)
class Plane:
    """Two unknowns that the readings tell of, two of which they tell nothing, and noise."""

    log_likelihood: Callable[[Floats, Floats], Floats]

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(f"unknown {i}" for i in range(4 + NOISE))

    @property
    def lasting(self) -> NDArray[np.int64]:
        return np.arange(4)

    @property
    def fleeting(self) -> Mapping[str, NDArray[np.int64]]:
        return {"noise": np.arange(4, 4 + NOISE)}

    def evaluate(self, z: Floats) -> Evaluated:
        return Evaluated(self.log_likelihood(z[0], z[1]))

    def expected(self, value: Callable[[Floats, Floats], Floats]) -> float:
        """Posterior mean of a value, by quadrature."""
        return self._integral(value) / self._integral(lambda x, _: np.ones_like(x))

    def log_evidence(self) -> float:
        return float(np.log(self._integral(lambda x, _: np.ones_like(x))))

    def _integral(self, value: Callable[[Floats, Floats], Floats]) -> float:
        grid = np.linspace(-7.0, 7.0, 1401)
        x, y = np.meshgrid(grid, grid, indexing="ij")
        density = np.exp(self.log_likelihood(x, y) - 0.5 * (x * x + y * y)) / (2.0 * np.pi)
        return float((value(x, y) * density).sum() * (grid[1] - grid[0]) ** 2)


def banana(x: Floats, y: Floats) -> Floats:
    return -0.5 * ((y - x**2 + 1.0) / 0.15) ** 2 - 0.5 * ((x - 0.5) / 0.8) ** 2


def two_peaks(x: Floats, y: Floats) -> Floats:
    """Peaks of 3 to 7 far apart, each a third as wide as the prior."""
    one = -0.5 * ((x - 1.5) ** 2 + (y - 1.0) ** 2) / 0.35**2
    two = -0.5 * ((x + 1.5) ** 2 + (y + 1.0) ** 2) / 0.35**2
    return np.logaddexp(np.log(0.3) + one, np.log(0.7) + two)


VALUES: dict[str, Callable[[Floats, Floats], Floats]] = {
    "first": lambda x, _: x,
    "second": lambda _, y: y,
    "first squared": lambda x, _: x * x,
    "second squared": lambda _, y: y * y,
    "product": lambda x, y: x * y,
    "upper peak": lambda x, _: (x > 0.0).astype(np.float64),
}


def off(found: Posterior, values: Floats, truth: float) -> float:
    """Error of a mean in units of its Monte Carlo error."""
    independent = values.std() / np.sqrt(MEMBERS)
    return float((values.mean() - truth) / max(found.standard_error(values), independent))


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("likelihood", [banana, two_peaks])
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
    found = sample(Plane(banana), MEMBERS, seed)
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
