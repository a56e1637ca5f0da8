"""Quantiles over members of equal weight; what never happens ranks last."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from watervane.process.calendar import Calendar
from watervane.records import QUANTILES, Band, DateQuantiles, NumberQuantiles


def number_quantiles(values: NDArray[np.float64]) -> NumberQuantiles:
    """Five quantiles of a number; infinite values stand for "does not exist"."""
    return NumberQuantiles(*(None if not np.isfinite(q) else float(q) for q in _ranked(values)))


def date_quantiles(
    moments_d: NDArray[np.float64], calendar: Calendar, horizon_d: float
) -> DateQuantiles:
    """Five quantiles of a moment; beyond the horizon is ``None``.

    Parameters
    ----------
    moments_d
        Elapsed days since the fill date's midnight, infinite where never. [d]
    calendar
        Of the tank.
    horizon_d
        Last moment foretold. [d]
    """
    return DateQuantiles(
        *(calendar.moment(float(q)) if q <= horizon_d + 1e-9 else None for q in _ranked(moments_d))
    )


def no_dates() -> DateQuantiles:
    """Quantiles of what has no date."""
    return DateQuantiles(None, None, None, None, None)


def _ranked(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Quantiles that never mix a finite value with an infinite one."""
    ordered = np.sort(values)
    place = np.array(QUANTILES) * (len(ordered) - 1)
    result: NDArray[np.float64] = ordered[np.rint(place).astype(np.int64)]
    return result


def band(values: NDArray[np.float64]) -> Band:
    """Five quantiles at each time, from shape (times, members)."""
    rows = np.quantile(values, QUANTILES, axis=1)
    return Band(*(tuple(float(v) for v in row) for row in rows))
