"""A kit whose lid does not say "as N" or "as the ion": two ways to read it, weighed as wholes.

One kit has one basis, so all its readings are taken on the one or on the other. What the
group as a whole says is shared out over its readings as conditional contributions: each row
is the log of how likely the reading is given those before it, and the rows sum to the log of
the mixture.
"""

from __future__ import annotations

import numpy as np

from watervane.kits.face import Array


def conditional_rows(log_chances: Array, rows: Array) -> Array:
    """Rows of a mixture over ways that hold for a whole group.

    Parameters
    ----------
    log_chances
        Of each way, shape (ways,).
    rows
        Log likelihood of each reading under each way, given the readings above it, shape
        (ways, readings, members).

    Returns
    -------
    array, shape (readings, members)
        Conditional contributions.
    """
    if len(rows) == 1:
        return np.asarray(rows[0])
    so_far = np.cumsum(rows, axis=1) + log_chances[:, None, None]
    highest = so_far.max(axis=0)
    total = highest + np.log(np.exp(so_far - highest).sum(axis=0))
    total[1:] -= total[:-1].copy()
    total[0] -= np.log(np.exp(log_chances).sum())
    return np.asarray(total)


def conditional_chances(log_chances: Array, rows: Array, chances: Array) -> Array:
    """Chance of something at each reading, over ways weighed by the readings above it.

    Parameters
    ----------
    log_chances, rows
        See `conditional_rows`.
    chances
        Under each way, shape (ways, readings, members).
    """
    if len(rows) == 1:
        return np.asarray(chances[0])
    before = np.cumsum(rows, axis=1) - rows + log_chances[:, None, None]
    weights = np.exp(before - before.max(axis=0))
    return np.asarray((weights * chances).sum(axis=0) / weights.sum(axis=0))
