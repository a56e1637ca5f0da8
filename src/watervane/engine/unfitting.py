"""Days whose readings fit no course of the tank: one finding a day, unless there are many."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from watervane.inference.cross_check import day_chances
from watervane.records import SAID, Finding, Reading
from watervane.units import format_reading

Numbers = NDArray[np.float64]
HONEST_NAMED = 0.1  # of honest logs have a day named, at most
FEW_DAYS, MOST_DAYS = 2, 0.25  # of the days, to be named one by one


def unfitting_days(
    readings: Sequence[Reading], fit: Numbers, honest_named: float = HONEST_NAMED
) -> list[Finding]:
    """One finding for each day whose readings the rest of the log all but rules out.

    Where more than a quarter of the days are such, it is no slip of one day, and a single finding
    says so.

    Parameters
    ----------
    readings
        In the order of `fit`.
    fit
        See `watervane.inference.cross_check.CrossCheck`.
    honest_named
        Share of honest logs in which any day is named, at most: each day has its part of it.

    Notes
    -----
    A bound (Bonferroni), met by kits with fine digits. Of simulated honest logs with eight days of
    coarse tests far fewer had a day named; how many, and what is found in spoilt ones, is told by
    ``docs/evidence.md``.
    """
    days = day_chances(readings, fit)
    unlikely = honest_named / max(len(days), 1)
    odd = [(places, chance) for places, chance in days if chance < unlikely]
    # Those that alone would do, and those that point the same way.
    named = [[i for i in places if fit[i] < unlikely] for places, _ in odd]
    if len(odd) > max(FEW_DAYS, MOST_DAYS * len(days)):
        return [_throughout([readings[i] for each in named for i in each], len(odd), len(days))]
    return [
        _of_day([readings[i] for i in places], fit[places], chance)
        for places, (_, chance) in zip(named, odd, strict=True)
    ]


def _of_day(readings: Sequence[Reading], fit: Numbers, chance: float) -> Finding:
    worst = readings[int(fit.argmin())]
    told = {
        "day": worst.at.date(),
        "readings": [_told(reading) for reading in readings],
        "chance": chance,
    }
    key = "source-contradicts" if worst.of_source_water else "day-contradicts"
    return Finding(key, "caution", told, line=worst.line)


def _throughout(readings: Sequence[Reading], odd: int, days: int) -> Finding:
    """So many days are no slips: something is told wrongly throughout, or the model is wrong."""
    quantities = [name for name, _ in Counter(r.quantity for r in readings).most_common()]
    told = {
        "odd": odd,
        "days": days,
        "quantities": quantities,
        "readings": [_told(reading) for reading in readings],
    }
    return Finding("log-contradicts", "caution", told)


def _told(reading: Reading) -> dict[str, str]:
    """What it says of the tank's own water: of a thinned sample the whole."""
    value, fold = reading.value, reading.diluted
    if value.kind in SAID:
        return {"quantity": reading.quantity, "value": value.kind}
    if fold == 1.0:
        written = value.raw or format_reading(value, reading.quantity)
        return {"quantity": reading.quantity, "value": written}
    whole = replace(
        value,
        low=None if value.low is None else fold * value.low,
        high=None if value.high is None else fold * value.high,
    )
    return {"quantity": reading.quantity, "value": format_reading(whole, reading.quantity)}
