"""What a forecast expects at one moment between those it was made for."""

from __future__ import annotations

from datetime import datetime

import numpy as np

from watervane.records import QUANTILE_KEYS, Forecast


def reaches(forecast: Forecast, at: datetime) -> bool:
    """Whether a moment lies between the first and the last of a forecast."""
    return bool(forecast.times) and forecast.times[0] <= at <= forecast.times[-1]


def quantiles_at(forecast: Forecast, name: str, at: datetime) -> list[float]:
    """The five quantiles of a series, straight between two moments; at either end those there.

    Parameters
    ----------
    forecast
        With moments.
    name
        Of the series, in whose unit the quantiles are.
    at
        The moment, aware.
    """
    begin, band = forecast.times[0], forecast.series[name]
    seconds = [(each - begin).total_seconds() for each in forecast.times]
    when = (at - begin).total_seconds()
    return [float(np.interp(when, seconds, getattr(band, key))) for key in QUANTILE_KEYS]
