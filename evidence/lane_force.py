"""The force on a chain, from members that stand a little beside it.

The day program steps through events that differ from log to log and offers no reverse mode, but
runs 500 members at a time. So the likelihood's slope is taken from differences, along the
directions in which it is steep anywhere in the posterior; elsewhere the prior alone pulls. Any
force that is a function of the position alone leaves a leapfrog reversible and true to volume, so
what a sampler accepts by the exact density stays exact, and a poor force only costs time.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from watervane.inference.target import Evaluated, Floats, Surrogate

STEP = 1e-5  # of whitened unknowns: far under any bend of the likelihood, far over rounding


class Weighing(Protocol):
    """What tells how likely points are."""

    def evaluate(self, z: Floats) -> Evaluated:
        """Weigh points, shape (unknowns, points)."""


@dataclass(frozen=True)
class Guess:
    """A surrogate in the place of what it stands for."""

    surrogate: Surrogate

    def evaluate(self, z: Floats) -> Evaluated:
        """Guess."""
        return self.surrogate(z)


class LaneForce:
    """Log posterior and force at many points, all lanes in one call of the target.

    Parameters
    ----------
    target
        Whitened unknowns to their likelihood.
    axes
        Orthonormal directions of the slope, shape (axes, unknowns).
    guide
        Whose slope is the force, in place of the target's own: a cheap guess lets every lane of
        the target be a chain.
    """

    def __init__(self, target: Weighing, axes: Floats, guide: Weighing | None = None) -> None:
        self._target, self._axes, self._guide = target, axes, guide
        self.calls = 0

    def __call__(self, z: Floats) -> tuple[Floats, Floats]:
        """Log posterior but a constant, shape (points,), and its slope, (unknowns, points)."""
        self.calls += 1
        here, slope = slopes(self._guide or self._target, z, self._axes)
        if self._guide is not None:
            here = self._target.evaluate(z).log_likelihood
            here = np.where(np.isnan(here), -np.inf, here)
        return here - 0.5 * (z * z).sum(axis=0), self._axes.T @ slope - z


def slopes(target: Weighing, z: Floats, axes: Floats) -> tuple[Floats, Floats]:
    """Log likelihood at points, and its slope along axes.

    Parameters
    ----------
    target
        See `LaneForce`.
    z
        Points, shape (unknowns, points).
    axes
        Shape (axes, unknowns).

    Returns
    -------
    here, slope
        Shapes (points,) and (axes, points). No slope is told where a point or its neighbour
        cannot be.
    """
    points, lanes = z.shape[1], len(axes) + 1
    beside = np.repeat(z[:, :, None], lanes, axis=2)
    beside[:, :, 1:] += STEP * axes.T[:, None, :]
    found = target.evaluate(beside.reshape(len(z), -1)).log_likelihood.reshape(points, lanes)
    found = np.where(np.isnan(found), -np.inf, found)
    with np.errstate(invalid="ignore"):
        slope = ((found[:, 1:] - found[:, :1]) / STEP).T
    return found[:, 0], np.where(np.isfinite(slope), slope, 0.0)


def steep_axes(target: Weighing, z: Floats, count: int) -> tuple[Floats, float]:
    """Directions in which the log likelihood is steepest on the mean over some points.

    Parameters
    ----------
    target
        See `LaneForce`.
    z
        Draws that resemble the posterior, shape (unknowns, points).
    count
        Directions wanted.

    Returns
    -------
    axes, left_out
        Shape (count, unknowns), and the mean square of the slope in all other directions.
    """
    _, slope = slopes(target, z, np.eye(len(z)))
    squares, turned = np.linalg.eigh(slope @ slope.T / z.shape[1])
    return turned[:, ::-1][:, :count].T.copy(), float(squares[: len(z) - count].sum())
