"""What readings of one kit say once some of them are left out.

Where a kit may be read in more than one way the readings depend on each other beyond the
members' unknowns: leaving one out changes how the ways are weighed for all the others.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

Array = NDArray[np.float64]


@dataclass(frozen=True)
class LeftOut:
    """One kit's readings, left out part by part.

    Parameters
    ----------
    gained
        Log likelihood of the readings kept, less that of all, for each part left out, shape
        (parts, members).
    below, above
        Chance that a reading which is no stray shows this or less, this or more, given the
        readings of the other parts, shape (readings, members).
    """

    gained: Array
    below: Array
    above: Array


def left_out(
    log_chances: Array, rows: Array, below: Array, above: Array, parts: NDArray[np.int64]
) -> LeftOut:
    """Leave parts of a group out whose readings depend on each other by the ways only.

    Parameters
    ----------
    log_chances
        Of each way, shape (ways,).
    rows
        Log likelihood of each reading under each way, shape (ways, readings, members).
    below, above
        See `LeftOut`, under each way, shape (ways, readings, members).
    parts
        To which part each reading belongs, from 0 on, shape (readings,).
    """
    every = rows.sum(axis=1) + log_chances[:, None]
    whole = logsumexp(every, axis=0)
    gained = np.empty((int(parts.max()) + 1, rows.shape[2]))
    low, high = np.empty(rows.shape[1:]), np.empty(rows.shape[1:])
    for part in range(len(gained)):
        out = parts == part
        kept = every - rows[:, out].sum(axis=1)
        total = logsumexp(kept, axis=0)
        gained[part] = total - whole
        weights = np.exp(kept - total)[:, None]
        low[out] = (weights * below[:, out]).sum(axis=0)
        high[out] = (weights * above[:, out]).sum(axis=0)
    return LeftOut(gained, low, high)
