"""Far moves on a surrogate: exact whatever the surrogate, and far where it is good."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pytest
from numpy.typing import NDArray

from watervane.inference.emulator import Emulator
from watervane.inference.scouting import informed_directions, run_weights
from watervane.inference.target import Evaluated, Guessable
from watervane.inference.tempered import Effort, sample

Numbers = NDArray[np.float64]
RNG = np.random.default_rng(3)


def _bent(z: Numbers) -> Numbers:
    """Outputs that bend along directions in which they also rise."""
    return np.stack([z[0] + 0.5 * z[0] * z[1], z[1] - z[2], z[2], 2.0 * z[3] + z[3] ** 2])


def test_an_emulator_finds_a_quadratic_again() -> None:
    z = RNG.standard_normal((6, 4000))
    outputs = _bent(z)
    emulator = Emulator(z, outputs, np.ones(4000))
    fresh = np.clip(RNG.standard_normal((6, 500)), -2.0, 2.0)  # far out it is cut off
    told = _bent(fresh)
    assert emulator(fresh) == pytest.approx(told, abs=0.1)


def test_runs_far_below_the_members_hardly_count() -> None:
    weights = run_weights(np.array([0.0, -8.0, -60.0, -np.inf]), 0.0)
    assert weights[0] > 0.9
    assert weights[1] == pytest.approx(0.5, abs=0.01)
    assert np.all(weights[2:] < 2e-4)


class Guessed:
    """Normal readings of some unknowns, with a surrogate that is off by a factor and a shift."""

    ERROR, READ = 0.5, np.array([1.0, -0.5, 0.8])

    def __init__(self, scale: float, shift: float) -> None:
        self._scale, self._shift = scale, shift

    @property
    def names(self) -> tuple[str, ...]:
        return tuple("abcdefgh")

    @property
    def lasting(self) -> NDArray[np.int64]:
        return np.arange(6)

    @property
    def fleeting(self) -> Mapping[str, NDArray[np.int64]]:
        return {"noise": np.array([6, 7])}

    def _likelihood(self, z: Numbers, shift: float = 0.0) -> Numbers:
        off = (self.READ[:, None] - z[:3] - 0.3 * z[6] - shift) / self.ERROR
        return np.asarray(-0.5 * (off**2).sum(axis=0))

    def evaluate(self, z: Numbers) -> Evaluated:
        return Evaluated(self._likelihood(z), {"z": z})

    @property
    def needed(self) -> tuple[str, ...]:
        return ("z",)

    def surrogate(self, z: Numbers, kept: Mapping[str, Numbers], weights: Numbers) -> object:
        assert kept["z"].shape[1] == z.shape[1] == len(weights)
        return lambda at: Evaluated(self._scale * self._likelihood(at, self._shift))

    def exact(self) -> tuple[Numbers, Numbers]:
        rows = np.zeros((3, 8))
        rows[np.arange(3), np.arange(3)] = 1.0
        rows[:, 6] = 0.3
        covariance = np.linalg.inv(np.eye(8) + rows.T @ rows / self.ERROR**2)
        return covariance @ rows.T @ self.READ / self.ERROR**2, np.sqrt(np.diag(covariance))


@pytest.mark.parametrize(("scale", "shift"), [(1.0, 0.0), (0.6, 0.0), (1.3, 0.25)])
def test_any_surrogate_gives_the_same_posterior(scale: float, shift: float) -> None:
    target = Guessed(scale, shift)
    assert isinstance(target, Guessable)
    effort = Effort(at_end=0.1, most_at_end=40)
    means, spreads, shares = [], [], []
    for seed in range(4):
        found = sample(target, 1000, seed, effort=effort)
        means.append(found.z.mean(axis=1))
        spreads.append(found.z.std(axis=1))
        shares.append(found.info.stages[-1].acceptance["scouted"])
    mean, spread = target.exact()
    assert np.mean(means, axis=0) == pytest.approx(mean, abs=0.06)
    assert np.mean(spreads, axis=0) == pytest.approx(spread, rel=0.05)
    if (scale, shift) == (1.0, 0.0):
        assert np.mean(shares) > 0.85, "a surrogate that is right is hardly ever turned down"


def test_informed_directions_are_those_the_readings_look_at() -> None:
    target = Guessed(1.0, 0.0)
    z = RNG.standard_normal((8, 300))
    basis = informed_directions(
        z,
        8,
        target.surrogate(z, {"z": z}, np.ones(300)),
        np.eye(8),
        lambda f: f.log_likelihood,
    )
    assert basis.shape == (3, 8)
    assert basis @ basis.T == pytest.approx(np.eye(3), abs=1e-9)
    assert np.abs(basis[:, [3, 4, 5, 7]]).max() < 1e-6
