"""Invented rehearsals: the mishap doubles ammonia, halves oxygen and a colony."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from sample_forecasts import FILLED, sample_forecast

from watervane.records import Extreme, Mishap, NumberQuantiles, Rehearsal, Rehearsals


def _about(middle: float) -> NumberQuantiles:
    return NumberQuantiles(*(middle * share for share in (0.5, 0.8, 1.0, 1.2, 1.5)))


def sample_rehearsals(mishaps: Sequence[Mishap]) -> Rehearsals:
    """One rehearsal for each mishap."""
    begins = FILLED + timedelta(days=12, hours=12)
    rehearsed = tuple(
        Rehearsal(
            mishap,
            begins,
            begins + timedelta(hours=8),
            (
                Extreme("ammonia_mg_n_per_l", True, _about(0.5), _about(1.0)),
                Extreme("oxygen_mg_per_l", False, _about(7.0), _about(3.5)),
                Extreme("temperature_c", True, _about(25.0), _about(25.0)),
                Extreme("ph", False, _about(7.0), NumberQuantiles(None, None, None, None, None)),
            ),
            {"oxygen_below_3_mg_per_l": (0.0, 0.4), "ph_below_6": (0.1, 0.12)},
            {"ammonia": _about(0.5), "nitrite": _about(0.97)},
        )
        for mishap in mishaps
    )
    forecast = sample_forecast(day=11.0)
    return Rehearsals(
        forecast.tank, forecast.owner, forecast.as_of, 21, 1, rehearsed, forecast.diagnostics
    )
