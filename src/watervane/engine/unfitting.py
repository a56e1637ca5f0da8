"""Days whose readings fit no course of the tank, one finding a day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from watervane.inference.cross_check import day_chances
from watervane.records import SAID, Finding, Reading
from watervane.units import format_reading

UNLIKELY_DAY = 0.01


def unfitting_days(
    readings: Sequence[Reading], fit: NDArray[np.float64], unlikely: float = UNLIKELY_DAY
) -> list[Finding]:
    """One finding for each day whose readings the rest of the log all but rules out.

    Parameters
    ----------
    readings
        In the order of `fit`.
    fit
        See `watervane.inference.cross_check.CrossCheck`.
    unlikely
        Chance under which a day is named: its rate of false alarms, at most.
    """
    findings = []
    for places, chance in day_chances(readings, fit):
        if chance >= unlikely:
            continue
        # Those that alone would do, and those that point the same way.
        named = [i for i in places if fit[i] < unlikely]
        worst = readings[min(named, key=lambda i: float(fit[i]))]
        key = "source-contradicts" if worst.of_source_water else "day-contradicts"
        told = {
            "day": worst.at.date(),
            "readings": [_told(readings[i]) for i in named],
            "chance": chance,
        }
        findings.append(Finding(key, "caution", told, line=worst.line))
    return findings


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
