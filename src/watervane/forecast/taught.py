"""What readings taught: unknowns learned, and unknowns a date still hangs on."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from watervane.records import Learned, StillOpen

Numbers = NDArray[np.float64]
LUCK = 0.001  # chance that an unknown of which nothing was learned is called learned
LEAST_WEIGHT = 0.04  # of the date's spread, to be worth a line


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


def still_open(
    names: Sequence[str], z: Numbers, date_d: Numbers, effective: float
) -> tuple[StillOpen, ...]:
    """Unknowns that a date still hangs on, by squared rank correlation, the most first.

    Parameters
    ----------
    names, z, effective
        See `learned`.
    date_d
        Of each member, infinite where never, shape (members,). [d]
    """
    if len(np.unique(date_d)) < 2:
        return ()
    ranks = _standard(_ranks(date_d))
    weights = np.array([float((_standard(_ranks(row)) * ranks).mean()) ** 2 for row in z])
    least = max(LEAST_WEIGHT, float(ndtri(0.5 * LUCK)) ** 2 / max(effective, 1.0))
    order = [int(i) for i in np.argsort(-weights) if weights[i] > least]
    return tuple(StillOpen(names[i], float(weights[i])) for i in order)


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
