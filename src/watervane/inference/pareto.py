"""Weights of members with their largest ones smoothed.

A few members that an importance weight favours by chance would carry the whole answer. The
largest weights are therefore put in the order of the generalised Pareto distribution fitted to
them, whose shape also tells whether weights can be leaned on at all: past 0.7 the members hardly
reach where the weights would have them (vehtari2024).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

Numbers = NDArray[np.float64]
LEANED_ON = 0.7
LEAST_TAIL = 5  # weights, for a shape to be told


def smoothed(log_weights: Numbers) -> tuple[Numbers, float]:
    """Weights that sum to one, the largest smoothed, and the shape of their tail.

    Parameters
    ----------
    log_weights
        Unnormalised, shape (members,).

    Notes
    -----
    Tail, shape and order statistics as in vehtari2024, from memory.
    """
    count = len(log_weights)
    log = log_weights - log_weights.max()
    size = int(np.ceil(min(0.2 * count, 3.0 * np.sqrt(count))))
    order = np.argsort(log)
    tail, cut = order[count - size :], order[count - size - 1]
    shape = -np.inf
    over = np.exp(log[tail]) - np.exp(log[cut])
    if size >= LEAST_TAIL and over[0] < over[-1]:
        shape, scale = fitted_pareto(np.maximum(over, over[-1] * 1e-12))
        places = (np.arange(size) + 0.5) / size
        log[tail] = np.minimum(np.log(np.exp(log[cut]) + _quantile(places, shape, scale)), 0.0)
    weights: Numbers = np.exp(log - logsumexp(log))
    return weights, shape


def fitted_pareto(values: Numbers) -> tuple[float, float]:
    """Shape and scale of a generalised Pareto distribution that starts at zero.

    Parameters
    ----------
    values
        Positive and ascending.

    Notes
    -----
    The mean over a grid of profile likelihoods of zhang2009, drawn ten values' worth towards a
    shape of a half as in vehtari2024; both from memory.
    """
    count = len(values)
    grid = 30 + int(np.sqrt(count))
    quarter = values[int(count / 4 + 0.5) - 1]
    steps = 1.0 - np.sqrt(grid / (np.arange(1, grid + 1) - 0.5))
    rates = steps / (3.0 * quarter) + 1.0 / values[-1]
    shapes = np.log1p(-rates[:, None] * values).mean(axis=1)
    profile = count * (np.log(-rates / shapes) - shapes - 1.0)
    chances = np.exp(profile - logsumexp(profile))
    rate = float((rates * chances).sum())
    shape = float(np.log1p(-rate * values).mean())
    return (count * shape + 5.0) / (count + 10.0), -shape / rate


def _quantile(chance: Numbers, shape: float, scale: float) -> Numbers:
    if abs(shape) < 1e-9:
        return -scale * np.log1p(-chance)
    return np.asarray(scale * np.expm1(-shape * np.log1p(-chance)) / shape)
