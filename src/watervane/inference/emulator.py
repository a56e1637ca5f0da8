"""A cheap stand-in for what members' water would show: a quadratic fitted to runs so far.

Outputs are linear in all unknowns and bend along a few. It is the single unknowns that bend a
process model's answer (rates, starting colonies), so those that matter most are given their own
squares and products; the many small ones, such as every day's noise, share a few directions.
Coefficients are held back by a ridge that is stiffer where the linear part is weak: an unknown
that hardly moves the outputs is not believed to bend them.
"""

from __future__ import annotations

import numpy as np

from watervane.inference.target import Floats

SINGLE, SHARED = 16, 8  # unknowns with bends of their own, and directions of all others
BENT = 22  # of both together, those that matter most
RIDGE = 4.0
STIFFENING = 0.5  # power of an unknown's weakness by which its bends are held back
BEYOND = 0.1  # of the range seen in runs: farther out an output is cut off
LEAST_WEIGHT = 2e-3  # of a run over the largest; lighter ones only cost time
_LEAST_SPREAD = 1e-9


class Emulator:
    """Outputs as linear in all unknowns and quadratic in those that matter most.

    Parameters
    ----------
    unknowns
        Of the runs, shape (unknowns, runs).
    outputs
        Of the runs, shape (outputs, runs).
    weights
        Of the runs in the fit, shape (runs,), none negative.
    """

    def __init__(self, unknowns: Floats, outputs: Floats, weights: Floats) -> None:
        counted = weights > LEAST_WEIGHT * weights.max()
        unknowns, outputs, weights = unknowns[:, counted], outputs[:, counted], weights[counted]
        weights = weights / weights.mean()
        self._centre, self._spread = _moments(unknowns, weights)
        self._level, spread = _moments(outputs, weights)
        response = outputs - self._level
        apart = (unknowns - self._centre) / self._spread
        linear = np.concatenate([np.ones((1, apart.shape[1])), apart])
        self._choose(_ridge(linear, response / spread, weights)[1:])
        low, high = outputs.min(axis=1, keepdims=True), outputs.max(axis=1, keepdims=True)
        self._low, self._high = low - BEYOND * (high - low), high + BEYOND * (high - low)
        self._slopes = _ridge(self._features(unknowns), response, weights)

    def _choose(self, slopes: Floats) -> None:
        """Choose what may bend, by the slopes of standard outputs in standard unknowns."""
        strength = np.sqrt((slopes**2).sum(axis=1))
        order = np.argsort(-strength)
        self._single, self._others = np.sort(order[:SINGLE]), np.sort(order[SINGLE:])
        axes, size, _ = np.linalg.svd(slopes[self._others], full_matrices=False)
        self._axes = axes[:, :SHARED].T
        strength = np.concatenate([strength[self._single], size[:SHARED]])
        self._bent = np.sort(np.argsort(-strength)[:BENT])
        relative = strength[self._bent] / max(float(strength.max()), _LEAST_SPREAD)
        self._give = relative[:, None] ** STIFFENING

    def _features(self, unknowns: Floats) -> Floats:
        apart = (unknowns - self._centre) / self._spread
        all_along = np.concatenate([apart[self._single], self._axes @ apart[self._others]])
        along = all_along[self._bent] * self._give
        count, bent = len(apart), len(along)
        found = np.empty((1 + count + bent * (bent + 1) // 2, apart.shape[1]))
        found[0] = 1.0
        found[1 : 1 + count] = apart
        place = 1 + count
        for first in range(bent):  # squares and products, written where they belong
            size = bent - first
            np.multiply(along[first], along[first:], out=found[place : place + size])
            place += size
        return found

    def __call__(self, unknowns: Floats) -> Floats:
        """Outputs of members, shape (outputs, members)."""
        told = self._level + self._slopes.T @ self._features(unknowns)
        return np.asarray(np.clip(told, self._low, self._high))


def _moments(values: Floats, weights: Floats) -> tuple[Floats, Floats]:
    """Weighted mean and spread of each row, as columns."""
    share = weights / weights.sum()
    mean = (values * share).sum(axis=1, keepdims=True)
    spread = np.sqrt(((values - mean) ** 2 * share).sum(axis=1, keepdims=True))
    return mean, np.where(spread > _LEAST_SPREAD, spread, 1.0)


def _ridge(features: Floats, response: Floats, weights: Floats) -> Floats:
    """Weighted least squares with a ridge on all but the first coefficient."""
    root = np.sqrt(weights)
    weighted = features * root
    normal = weighted @ weighted.T  # of one array by itself: half the work
    normal[np.diag_indices(len(normal))] += np.where(np.arange(len(normal)) == 0, 1e-6, RIDGE)
    return np.asarray(np.linalg.solve(normal, weighted @ (response * root).T))
