"""A sequential test for a number that leaves the course foretold for it.

Each forecast made before a reading starts a test of its own: how much likelier are the readings
since, if the water drifts away from that forecast, than if only its own doubt and the kit's errors
part them? The ratios of all starts are summed (Shiryaev 1963, Roberts 1966). Where the forecasts
are honest, that sum grows by one at each reading on average, so that it reaches a threshold A no
sooner than after A readings on average (Pollak 1985): a threshold is the number of readings a year
over the false alarms a year that are put up with.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

Numbers = NDArray[np.float64]
_NODES = 25  # of what a kit's steady error and the forecast's doubt may be together
_REACH = 4.0  # of them, in standard deviations
NEVER = 1e-300


@dataclass(frozen=True)
class Shape:
    """One way to leave a course: by so much a week, at once, or by a larger spread."""

    by_week: float = 0.0
    at_once: float = 0.0
    wider: float = 1.0


@dataclass(frozen=True)
class Compared:
    """Readings of one quantity beside the forecasts that came before them.

    Parameters
    ----------
    day
        Of each reading, ascending, shape (readings,). [d]
    low, high
        The levels each stands for; infinite where open, shape (readings,).
    stray, outlier
        Chance that a reading which has nothing to do with the water falls there, and chance of
        being such a one, shape (readings,).
    start_d
        When the forecast in force before each reading was made, shape (readings,). [d]
    middle, doubt
        What that forecast (row) says of every reading (column) and its standard deviation; not a
        number where it says nothing, shape (readings, readings).
    noise, bias
        Standard deviation of one reading, and of the kit's steady error, as `middle`.
    positive
        Whether the level cannot be under 0.
    """

    day: Numbers
    low: Numbers
    high: Numbers
    stray: Numbers
    outlier: Numbers
    start_d: Numbers
    middle: Numbers
    doubt: Numbers
    noise: Numbers
    bias: Numbers
    positive: bool = True


@dataclass(frozen=True)
class Evidence:
    """How far readings speak for a drift, one value a reading.

    ``total`` is the sum over all starts; ``start`` and ``shape`` are the strongest ones.
    """

    total: Numbers
    start: NDArray[np.int64]
    shape: NDArray[np.int64]


def drift_evidence(
    compared: Compared, shapes: Sequence[Shape], *, anchors: int = 4, most: int = 12
) -> Evidence:
    """Weigh drifts from every start against none.

    Parameters
    ----------
    compared
        The readings.
    shapes
        Of a drift, all as likely.
    anchors
        Readings before a start that tell of the kit's steady error.
    most
        Readings that a start is followed for.
    """
    count = len(compared.day)
    total, best = np.zeros(count), np.full(count, -1.0)
    start, shape = np.zeros(count, np.int64), np.zeros(count, np.int64)
    nodes = np.linspace(-_REACH, _REACH, _NODES)
    prior = np.exp(-0.5 * nodes**2)
    own = _own_rows(compared, nodes) if anchors else np.ones((count, _NODES))
    for first in range(count):
        if not np.isfinite(compared.middle[first, first]):
            continue
        weights = prior * own[max(0, first - anchors) : first].prod(axis=0)
        ratios, rows = _followed(compared, shapes, first, most, nodes, weights / weights.sum())
        total[rows] += ratios.mean(axis=1)
        stronger = ratios.max(axis=1) > best[rows]
        at = rows[stronger]
        best[at] = ratios.max(axis=1)[stronger]
        start[at], shape[at] = first, ratios.argmax(axis=1)[stronger]
    return Evidence(total, start, shape)


def _followed(
    compared: Compared,
    shapes: Sequence[Shape],
    first: int,
    most: int,
    nodes: Numbers,
    weights: Numbers,
) -> tuple[Numbers, NDArray[np.int64]]:
    """Ratios of one start, shape (rows, shapes), and the readings they belong to."""
    rows = np.arange(first, min(first + most, len(compared.day)))
    ends = np.flatnonzero(~np.isfinite(compared.middle[first, rows]))
    rows = rows[: ends[0]] if len(ends) else rows
    weeks = (compared.day[rows] - compared.start_d[first]) / 7.0
    middle, doubt = compared.middle[first, rows], compared.doubt[first, rows]
    away = np.hypot(doubt, compared.bias[first, rows])
    by_week, at_once, wider = (
        np.array([0.0 if name != "wider" else 1.0, *(getattr(s, name) for s in shapes)])
        for name in ("by_week", "at_once", "wider")
    )
    shift = by_week * weeks[:, None] + at_once
    centre = middle[:, None, None] + shift[:, :, None] + nodes * away[:, None, None]
    spread = compared.noise[first, rows][:, None, None] * wider[:, None]
    logs = np.log(_likelihood(compared, rows, centre, spread)).cumsum(axis=0)
    logs -= logs.max(axis=(1, 2), keepdims=True)
    chances = np.maximum((np.exp(logs) * weights).sum(axis=2), NEVER)
    return chances[:, 1:] / chances[:, :1], rows


def _own_rows(compared: Compared, nodes: Numbers) -> Numbers:
    """Each reading by the forecast just before it; its own doubt is no steady error."""
    middle, doubt, bias, noise = (
        np.diagonal(each)
        for each in (compared.middle, compared.doubt, compared.bias, compared.noise)
    )
    told = np.isfinite(middle)
    centre = np.where(told, middle, 0.0)[:, None] + nodes * np.where(told, bias, 0.0)[:, None]
    spread = np.where(told, np.hypot(noise, doubt), 1.0)[:, None]
    found = _likelihood(compared, np.arange(len(middle)), centre, spread)
    return np.where(told[:, None], found, 1.0)


def _likelihood(
    compared: Compared, rows: NDArray[np.int64], centre: Numbers, spread: Numbers
) -> Numbers:
    """Of readings, given the levels a kit would show on average; readings are the first axis."""
    if compared.positive:
        centre = np.maximum(centre, 0.0)
    low, high, stray, outlier = (
        each[rows].reshape(-1, *(1,) * (centre.ndim - 1))
        for each in (compared.low, compared.high, compared.stray, compared.outlier)
    )
    inside = ndtr((high - centre) / spread) - ndtr((low - centre) / spread)
    return np.asarray((1.0 - outlier) * np.maximum(inside, 0.0) + outlier * stray)
