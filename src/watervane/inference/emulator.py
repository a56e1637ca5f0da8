"""A cheap stand-in for what members' water would show: a quadratic fitted to runs so far."""

from __future__ import annotations

import numpy as np

from watervane.inference.target import Floats

BENT = 10  # directions along which the response may bend
RIDGE = 2.0
LEAST_WEIGHT = 2e-3  # of a run over the largest; lighter ones only cost time
_BLUR = 0.15  # error below which outputs need not be told apart


class Emulator:
    """Outputs as linear in all unknowns and quadratic along the directions that matter most.

    The directions are those of the linear part's largest singular values, each output in
    units of what the linear part leaves unexplained.

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
        share = weights / weights.sum()
        self._centre = (unknowns * share).sum(axis=1, keepdims=True)
        self._level = (outputs * share).sum(axis=1, keepdims=True)
        apart, response = unknowns - self._centre, outputs - self._level
        linear = np.concatenate([np.ones((1, apart.shape[1])), apart])
        slopes = _ridge(linear, response, weights)
        left = response - slopes.T @ linear
        spread = np.sqrt(_BLUR**2 + (left**2 * share).sum(axis=1))
        axes, _, _ = np.linalg.svd(slopes[1:] / spread, full_matrices=False)
        self._axes = axes[:, :BENT].T
        self._pairs = np.triu_indices(len(self._axes))
        self._weights = _ridge(self._features(unknowns), response, weights)

    def _features(self, unknowns: Floats) -> Floats:
        apart = unknowns - self._centre
        along = self._axes @ apart
        first, second = self._pairs
        return np.concatenate([np.ones((1, apart.shape[1])), apart, along[first] * along[second]])

    def __call__(self, unknowns: Floats) -> Floats:
        """Outputs of members, shape (outputs, members)."""
        return np.asarray(self._level + self._weights.T @ self._features(unknowns))


def _ridge(features: Floats, response: Floats, weights: Floats) -> Floats:
    weighted = features * weights
    return np.asarray(
        np.linalg.solve(
            weighted @ features.T + RIDGE * np.eye(len(features)), weighted @ response.T
        )
    )
