"""Targets whose posterior is known in closed form or by quadrature."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.inference.target import Evaluated

Floats = NDArray[np.float64]
NOISE = 12


@dataclass(frozen=True)
class Linear:
    """Readings that are weighted sums of lasting unknowns and daily noise, plus an error."""

    weights: Floats
    values: Floats
    error: float
    lasting: NDArray[np.int64]
    fleeting: Mapping[str, NDArray[np.int64]]
    old: int = 0  # readings that a start agrees with already

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(f"unknown {i}" for i in range(self.weights.shape[1]))

    def evaluate(self, z: Floats) -> Evaluated:
        off = (self.values[:, None] - self.weights @ z) / self.error
        each = -0.5 * off**2 - np.log(self.error * np.sqrt(2.0 * np.pi))
        return Evaluated(
            each.sum(axis=0),
            {"each": each, "first": z[0]},
            each[: self.old].sum(axis=0) if self.old else None,
        )

    def posterior(self, readings: int | None = None) -> tuple[Floats, Floats, float]:
        """Exact mean, covariance and log evidence of the first readings."""
        w, y = self.weights[:readings], self.values[:readings]
        covariance = np.linalg.inv(np.eye(w.shape[1]) + w.T @ w / self.error**2)
        marginal = w @ w.T + self.error**2 * np.eye(len(y))
        log_evidence = -0.5 * y @ np.linalg.solve(marginal, y)
        log_evidence -= 0.5 * np.linalg.slogdet(2.0 * np.pi * marginal)[1]
        return covariance @ w.T @ y / self.error**2, covariance, float(log_evidence)


def linear(seed: int, *, lasting: int = 10, days: int = 60, readings: int = 30) -> Linear:
    """Trends that build up from lasting unknowns and from daily noise that fades slowly."""
    rng = np.random.default_rng(seed)
    unknowns = lasting + days
    weights = np.zeros((readings, unknowns))
    weights[:, :lasting] = 0.3 * rng.normal(size=(readings, lasting))
    weights[:, :lasting] += np.outer(np.linspace(0.0, 1.0, readings), rng.normal(size=lasting))
    for row in range(readings):
        past = (row + 1) * days // readings
        weights[row, lasting : lasting + past] = 0.15 * np.exp(-0.05 * np.arange(past)[::-1])
    error = 0.3
    values = weights @ rng.normal(size=unknowns) + error * rng.normal(size=readings)
    blocks = {"food": np.arange(lasting, unknowns)}
    return Linear(weights, values, error, np.arange(lasting), blocks)


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

BENT = {"banana": banana, "two peaks": two_peaks}
