"""A part of the members that tells nearly as much as all of them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def stratified(by: NDArray[np.float64], count: int) -> NDArray[np.int64]:
    """Places of members evenly over a number each has.

    Parameters
    ----------
    by
        Shape (members,).
    count
        How many; all where there are fewer.
    """
    count = min(count, len(by))
    order = np.argsort(by, kind="stable")
    places = np.floor((np.arange(count) + 0.5) * len(by) / count).astype(np.int64)
    return np.sort(order[places])
