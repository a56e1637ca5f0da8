"""What readings taught: unknowns learned, unknowns still open, the reading that counts most."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from watervane.records import Learned, StillOpen

Numbers = NDArray[np.float64]
LUCK = 0.001  # chance that an unknown of which nothing was learned is called learned
LEAST_WEIGHT = 0.04  # of the date's spread, to be worth a line
LEAST_EFFECTIVE = 25.0  # members, for a reading taken out by weights
HEAVIEST_TAIL = 0.7  # shape of the weights' tail beyond which their mean is not to be trusted


def learned(names: Sequence[str], z: Numbers, effective: float) -> tuple[Learned, ...]:
    """Unknowns of which more was learned than chance explains, the most first.

    Parameters
    ----------
    names
        Of the rows.
    z
        Whitened unknowns of posterior members: standard normal where nothing was learned, shape
        (unknowns, members).
    effective
        Independent members these are worth.

    Notes
    -----
    The measure is the information gained, the divergence of a normal with the members' mean and
    spread from the standard one, ``(m^2 + s^2 - 1 - ln s^2) / 2``. Of ``n`` draws of an unknown
    nobody learned of it is half a chi-square of two degrees over ``n``.
    """
    middle, spread = z.mean(axis=1), np.maximum(z.std(axis=1), 1e-6)
    gained = 0.5 * (middle**2 + spread**2 - 1.0 - 2.0 * np.log(spread))
    least = -float(np.log(LUCK)) / max(effective, 1.0)
    order = [int(i) for i in np.argsort(-gained) if gained[i] > least]
    return tuple(
        Learned(names[i], max(1.0 - float(spread[i]) ** 2, 0.0), float(middle[i])) for i in order
    )


def still_open(names: Sequence[str], z: Numbers, date_d: Numbers) -> tuple[StillOpen, ...]:
    """Unknowns that a date still hangs on, by squared rank correlation, the most first.

    Parameters
    ----------
    names, z
        See `learned`.
    date_d
        Of each member, infinite where never, shape (members,). [d]
    """
    if len(np.unique(date_d)) < 2:
        return ()
    ranks = _standard(_ranks(date_d))
    weights = np.array([float((_standard(_ranks(row)) * ranks).mean()) ** 2 for row in z])
    least = max(LEAST_WEIGHT, float(ndtri(0.5 * LUCK)) ** 2 / len(date_d))
    order = [int(i) for i in np.argsort(-weights) if weights[i] > least]
    return tuple(StillOpen(names[i], float(weights[i])) for i in order)


def weights_without(each: Numbers, reading: int) -> tuple[Numbers, float]:
    """Weights that take one reading out of members that agree with all, and their worth.

    Importance weights, the inverse of the reading's likelihood, cut off at the square root of
    their number times their mean (ionides2008, from memory). Kits' steady errors are unknowns of
    the members, so readings of one kit stand each for itself; a probe's next reading, told by the
    one before, keeps what it was told.

    Parameters
    ----------
    each
        Log likelihood of each reading, shape (readings, members).
    reading
        Which to take out.

    Returns
    -------
    weights, effective
        Summing to one; independent members they are worth.
    """
    log = -each[reading]
    weights = np.exp(log - log.max())
    weights = np.minimum(weights, weights.mean() * np.sqrt(len(weights)))
    weights = weights / weights.sum()
    return weights, float(1.0 / (weights**2).sum())


def told_alone(each: Numbers) -> Numbers:
    """What each reading told that the others did not, shape (readings,). [nat]

    The divergence of the members' distribution from what it would be without the reading:
    ``mean(log L) + log mean(1 / L)`` over members that agree with all.
    """
    highest = (-each).max(axis=1, keepdims=True)
    inverse = np.log(np.exp(-each - highest).mean(axis=1)) + highest[:, 0]
    told: Numbers = np.maximum(each.mean(axis=1) + inverse, 0.0)
    return told


def tail_shape(each: Numbers, reading: int) -> float:
    """Shape of the tail of the weights that take a reading out; their trust ends at 0.7.

    Hill's mean of logarithms over the largest weights, of as many as Pareto smoothing looks at
    (vehtari2017, from memory).
    """
    log = np.sort(-each[reading])
    count = int(min(0.2 * len(log), 3.0 * np.sqrt(len(log))))
    return float((log[-count:] - log[-count - 1]).mean())


def distance_d(date_d: Numbers, weights: Numbers, cap_d: float) -> float:
    """How far apart dates are with and without weights: the area between both curves. [d]

    Parameters
    ----------
    date_d
        Of the members; later than ``cap_d`` counts as ``cap_d``. [d]
    weights
        Summing to one.
    """
    capped = np.minimum(date_d, cap_d)
    order = np.argsort(capped)
    gaps = np.diff(capped[order])
    plain = np.arange(1, len(order)) / len(order)
    return float((np.abs(np.cumsum(weights[order])[:-1] - plain) * gaps).sum())


def weighted_date_d(date_d: Numbers, weights: Numbers, share: float) -> float:
    """A quantile of a date, infinite where it lies among members that never get there. [d]"""
    order = np.argsort(date_d)
    at = int(np.searchsorted(np.cumsum(weights[order]), share - 1e-12))
    return float(date_d[order[min(at, len(order) - 1)]])


def _ranks(values: Numbers) -> Numbers:
    """Ranks from 0, equal values sharing their mean rank."""
    _, place, count = np.unique(values, return_inverse=True, return_counts=True)
    ended = np.cumsum(count)
    middle: Numbers = ended - 0.5 * (count + 1.0)
    return middle[place]


def _standard(values: Numbers) -> Numbers:
    spread = values.std()
    standard: Numbers = (values - values.mean()) / (spread if spread > 0.0 else 1.0)
    return standard
