"""How good a forecast was, in numbers: it is told by weighted values, or by quantiles.

All scores are penalties: smaller is better. The continuous ranked probability score (CRPS) is
in the unit of the value, and of a single sure value it is the distance from it. Both it and
the logarithmic score are proper: nobody gains by claiming other chances than he believes
(Gneiting & Raftery 2007, doi:10.1198/016214506000001437).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]
IMPOSSIBLE = 1e-12  # chances are not taken for smaller, so that one miss is not all that counts
_SAME = 1e-9


def log_score(chance: float) -> float:
    """Minus the natural logarithm of the chance that was given to what came.

    Parameters
    ----------
    chance
        Of what came.
    """
    return -math.log(max(chance, IMPOSSIBLE))


def crps(values: Numbers, chances: Numbers, observed: float) -> float:
    """CRPS of weighted values, exact.

    The mean distance from what came, less half the mean distance of two draws (Gneiting &
    Raftery 2007, equation 21).

    Parameters
    ----------
    values
        Any order, finite, shape (values,).
    chances
        Of each value, summing to one.
    observed
        What came.
    """
    order = np.argsort(values)
    ordered, weights = values[order], chances[order]
    below = np.cumsum(weights)[:-1]
    spread = float((below * (1.0 - below) * np.diff(ordered)).sum())
    return float((weights * np.abs(ordered - observed)).sum()) - spread


def crps_of_quantiles(
    levels: Sequence[float], quantiles: Sequence[float], observed: float
) -> float:
    """CRPS where only some quantiles are known.

    CRPS is twice the quantile score averaged over all levels (Laio & Tamea 2007,
    doi:10.5194/hess-11-1267-2007); here each known level stands for those nearest to it.

    Parameters
    ----------
    levels
        Ascending, each between 0 and 1.
    quantiles
        At the levels, finite.
    observed
        What came.
    """
    told, at = np.asarray(levels, dtype=float), np.asarray(quantiles, dtype=float)
    edges = np.concatenate([[0.0], 0.5 * (told[1:] + told[:-1]), [1.0]])
    missed = observed - at
    return float(2.0 * (np.diff(edges) * np.maximum(told * missed, (told - 1.0) * missed)).sum())


def places(values: Numbers, chances: Numbers, low: float, high: float) -> tuple[float, float]:
    """Between which of the forecast's cumulative chances an observation lies.

    A value that can come takes the whole of its own chance. What lies between two of them
    reaches from the middle of the one to the middle of the other.

    Parameters
    ----------
    values
        All that can come, ascending, shape (values,).
    chances
        Of each, summing to one.
    low, high
        What came; the same twice for one value, infinite for an open end.
    """
    upto = np.minimum(np.cumsum(chances), 1.0)
    before = upto - chances
    tolerance = _SAME * max(1.0, float(np.abs(values).max(initial=0.0)))
    if high - low <= tolerance:
        nearest = int(np.abs(values - low).argmin())
        if abs(values[nearest] - low) <= tolerance:
            return max(float(before[nearest]), 0.0), float(upto[nearest])
    middle = 0.5 * (before + upto)
    under = int(np.searchsorted(values, low + tolerance)) - 1
    over = int(np.searchsorted(values, high - tolerance))
    first = 0.0 if under < 0 else float(middle[under])
    last = 1.0 if over >= len(values) else float(middle[over])
    return max(first, 0.0), max(first, last)


def share_inside(place: tuple[float, float], level: float) -> float:
    """How much of an observation lies inside the central interval of a level.

    Without randomisation (Czado, Gneiting & Held 2009,
    doi:10.1111/j.1541-0420.2009.01191.x): what a randomised count would give on average, so
    a right forecast of coarse steps still covers 80 of 100 at 80 %.

    Parameters
    ----------
    place
        See `places`.
    level
        Such as 0.8.
    """
    begin, end = 0.5 * (1.0 - level), 0.5 * (1.0 + level)
    first, last = place
    if last - first <= _SAME:
        return float(begin <= first <= end)
    return max(min(last, end) - max(first, begin), 0.0) / (last - first)


def place_among_quantiles(
    levels: Sequence[float], quantiles: Sequence[float], observed: float
) -> tuple[float, float]:
    """Between which levels an observation lies where only some quantiles are known.

    Parameters
    ----------
    levels, quantiles, observed
        See `crps_of_quantiles`.
    """
    at = np.asarray(quantiles, dtype=float)
    told = np.concatenate([[0.0], levels, [1.0]])
    return (
        float(told[np.searchsorted(at, observed, side="left")]),
        float(told[np.searchsorted(at, observed, side="right") + 1]),
    )
