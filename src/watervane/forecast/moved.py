"""Which single reading moved a date most, and where the date would lie without it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from watervane.inference.pareto import LEANED_ON, smoothed

Numbers = NDArray[np.float64]
LEAST_EFFECTIVE = 25.0  # members, for a date without a reading to be told
BEYOND_CHANCE = 3.0  # standard errors: the farthest of a dozen moves is two of them off by chance
LEAST_MOVE_D = 0.5
HOPELESS = 0.8  # shape of weights past which not even a bound is told
RANGE = (0.1, 0.9)


@dataclass(frozen=True)
class Asked:
    """The date that is asked about.

    Parameters
    ----------
    about
        ``settled``, ``nitrite_peak`` or ``ammonia_peak``.
    members
        Members that have such a date or wait for it.
    date_d
        When each reaches it, infinite where never. [d]
    cap_d
        Dates later than this count as this. [d]
    """

    about: str
    members: NDArray[np.int64]
    date_d: Numbers
    cap_d: float


@dataclass(frozen=True)
class Most:
    """The reading that moved a date most.

    Parameters
    ----------
    place
        Which.
    days
        How much later the middle date is with it than without; ``None`` where one of both lies
        past the end, or where weights do not tell. [d]
    narrowed_days
        How much narrower the 80 % range is; ``None`` likewise. [d]
    told
        Whether weights tell: else members would have to be drawn anew without it.
    """

    place: int
    days: float | None
    narrowed_days: float | None
    told: bool


def moved_most(without: Numbers, asked: Asked, effective: float) -> tuple[Most | None, float]:
    """Take each reading out in turn, and see how far the date goes.

    Members are weighed by how likely the readings are without the one, over all of them. Steady
    errors of kits are unknowns of the members, so what is left of a kit's readings still tells of
    its error, and a reading that only told how far a kit is off moves no date. Where a reading
    counts much, members hardly reach where they would lie without it, and what is told of the
    range is rather too little.

    Parameters
    ----------
    without
        Log likelihood of all readings but one, less that of all, shape (readings, members).
    asked
        The date.
    effective
        Independent members those asked are worth.

    Returns
    -------
    most
        ``None`` where no reading moved it farther than chance does, or by half a day.
    within_d
        No reading moved it farther than this; infinite where weights cannot tell. [d]
    """
    spread = float(np.minimum(asked.date_d, asked.cap_d).std())
    best: Most | None = None
    farthest, within_d = LEAST_MOVE_D, 0.0
    for place, log_weights in enumerate(without):
        weights, shape = smoothed(log_weights)
        weights = weights[asked.members] / weights[asked.members].sum()
        apart = distance_d(asked.date_d, weights, asked.cap_d)
        uneven = max(len(weights) * float((weights**2).sum()) - 1.0, 0.0)
        shaky = shape > LEANED_ON or effective < LEAST_EFFECTIVE * (1.0 + uneven)
        by_chance = BEYOND_CHANCE * spread * float(np.sqrt(uneven / effective))
        within_d = max(within_d, apart + by_chance if shape < HOPELESS else np.inf)
        if apart > max(farthest, by_chance):
            farthest = apart
            best = Most(place, None, None, told=False) if shaky else _told(place, weights, asked)
    return best, within_d


def _told(place: int, weights: Numbers, asked: Asked) -> Most:
    even = np.full(len(weights), 1.0 / len(weights))
    low, middle, high = (
        [weighted_date_d(asked.date_d, each, share) for each in (even, weights)]
        for share in (RANGE[0], 0.5, RANGE[1])
    )
    with np.errstate(invalid="ignore"):
        days = middle[0] - middle[1]
        narrowed = (high[1] - low[1]) - (high[0] - low[0])
    return Most(place, _finite(days), _finite(narrowed), told=True)


def _finite(value: float) -> float | None:
    return value if np.isfinite(value) else None


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
