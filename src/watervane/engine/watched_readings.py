"""Readings of one quantity beside the forecasts that were kept before them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from watervane.advice.drift_test import Compared
from watervane.advice.watched_kinds import WatchedKind
from watervane.engine.showable import showable
from watervane.inference.kits import with_kit_basis
from watervane.kits.sizes import ADDITIVE, RATIO_ION_TO_N, errors_of_kit
from watervane.process.calendar import Calendar
from watervane.records import (
    SAID,
    AnimalsIn,
    AnimalsOut,
    Clean,
    Died,
    Dose,
    EquipmentChange,
    Event,
    Forecast,
    MediaMoved,
    Outage,
    Reading,
    Tank,
    Treatment,
    WaterChange,
)
from watervane.records.watching import Foretold

Numbers = NDArray[np.float64]
DAY = timedelta(days=1)
_TO_SD = 1.0 / 3.289707  # from the 5 % to the 95 % quantile of a normal law
PROBE_EVERY_D = 3.0  # a probe's error forgets itself no sooner
# What a forecast cannot have known and that makes it speak of another tank, by quantity.
ENDS: dict[str, tuple[type[Event], ...]] = {
    "nitrate": (AnimalsIn, AnimalsOut, Died, Dose),
    "kh": (AnimalsIn, Dose),
    "ammonia": (AnimalsIn, Died, Dose, Clean, MediaMoved, Outage, Treatment),
    "temperature": (Outage,),  # and other settings, as other parts do for the rest
}


def watched_readings(tank: Tank, quantity: str, calendar: Calendar) -> tuple[Reading, ...]:
    """Those of the tank's own water with a clear number: one a day, a probe's every third day."""
    found: list[Reading] = []
    for raw in sorted(tank.readings, key=lambda each: each.at):
        kit = tank.kits.get(raw.kit) if raw.kit else None
        reading = with_kit_basis(raw, kit)
        if reading.quantity != quantity or reading.of_source_water or reading.value.kind in SAID:
            continue
        unclear = quantity in RATIO_ION_TO_N and reading.value.basis == "unknown"
        if unclear and (reading.value.high or np.inf) > 0.0:
            continue
        apart = PROBE_EVERY_D if kit is not None and kit.kind == "probe" else 0.5
        if found and calendar.days(reading.at) - calendar.days(found[-1].at) < apart:
            continue
        found.append(reading)
    return tuple(found)


def in_force(told: Sequence[Foretold], readings: Sequence[Reading]) -> list[Foretold | None]:
    """The last forecast made before each reading."""
    ordered = sorted(told, key=lambda each: each.forecast.as_of)
    return [
        next((f for f in reversed(ordered) if f.forecast.as_of < reading.at), None)
        for reading in readings
    ]


def compared(
    tank: Tank,
    kind: WatchedKind,
    readings: Sequence[Reading],
    before: Sequence[Foretold | None],
    calendar: Calendar,
) -> Compared:
    """All that the test of one kind of drift needs.

    Parameters
    ----------
    tank
        For its kits and its source water.
    kind
        Of drift.
    readings, before
        See `watched_readings` and `in_force`.
    calendar
        Of the tank.
    """
    count = len(readings)
    middle, doubt, noise, bias = (np.full((count, count), np.nan) for _ in range(4))
    for row, told in enumerate(before):
        if told is None:
            continue
        for column in range(row, count):
            seen = foretold_level(tank, kind, told, readings[column].at)
            if seen is None:
                break
            middle[row, column], doubt[row, column] = seen
            noise[row, column], bias[row, column] = _errors(tank, readings[column], seen[0])
    cells = [showable(tank, each).cells[-1] for each in readings]
    folds = np.array([each.diluted for each in readings])
    starts = [np.nan if f is None else calendar.days(f.forecast.as_of) for f in before]
    return Compared(
        day=np.array([calendar.days(each.at) for each in readings]),
        low=folds * np.array([cell.low for cell in cells]),
        high=folds * np.array([cell.high for cell in cells]),
        stray=np.maximum([cell.stray for cell in cells], 1e-6),
        outlier=np.array([showable(tank, each).outlier_chance for each in readings]),
        start_d=np.array(starts),
        middle=middle,
        doubt=doubt,
        noise=noise,
        bias=bias,
        positive=kind.quantity not in ADDITIVE,
    )


def foretold_level(
    tank: Tank, kind: WatchedKind, told: Foretold, at: datetime
) -> tuple[float, float] | None:
    """What a forecast says of a moment, and its standard deviation.

    A water change it did not know of is allowed for where the source water is known; past its
    horizon, or after what makes another tank of it, it says nothing.
    """
    forecast = told.forecast
    if not forecast.times or at > forecast.times[-1] + DAY / 4:
        return None
    since = [e for e in told.unknown if forecast.as_of < e.at < at]
    if any(_ends(event, kind.quantity) for event in since):
        return None
    middle = doubt = 0.0
    for name in kind.series:
        if name not in forecast.series:
            return None
        low, half, high = _quantiles(forecast, name, at)
        middle, doubt = middle + half, float(np.hypot(doubt, (high - low) * _TO_SD))
    changes = [event.fraction for event in since if isinstance(event, WaterChange)]
    if changes and kind.quantity in ("nitrate", "kh"):
        source = _source(tank, kind.quantity)
        if source is None:
            return None
        kept = float(np.prod([1.0 - share for share in changes]))
        middle, doubt = source + kept * (middle - source), kept * doubt + 0.1 * (1.0 - kept)
    return middle, doubt


def _ends(event: Event, quantity: str) -> bool:
    if isinstance(event, Dose) and event.substance == "conditioner":
        return False
    if isinstance(event, Clean) and event.part != "filter":
        return False
    if isinstance(event, EquipmentChange):
        return bool(event.changes) if quantity == "temperature" else event.fits
    return isinstance(event, ENDS[quantity])


def _source(tank: Tank, quantity: str) -> float | None:
    water = tank.source_water
    return water.kh_dkh if quantity == "kh" else water.nitrate_mg_n_per_l


def _quantiles(forecast: Forecast, name: str, at: datetime) -> tuple[float, float, float]:
    begin = forecast.times[0]
    days = [(each - begin) / DAY for each in forecast.times]
    band = forecast.series[name]
    low, middle, high = (
        float(np.interp((at - begin) / DAY, days, row)) for row in (band.p05, band.p50, band.p95)
    )
    return low, middle, high


def _errors(tank: Tank, reading: Reading, level: float) -> tuple[float, float]:
    """Standard deviation of one reading about a level, and of the kit's steady error."""
    kit = tank.kits.get(reading.kit) if reading.kit else None
    errors = errors_of_kit(kit, reading.quantity)
    additive = reading.quantity in ADDITIVE
    bias = errors.bias_floor if additive else errors.bias_log_sd * level
    return float(errors.spread(np.array([level]))[0]), bias
